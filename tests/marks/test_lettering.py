"""How large a text may be, and must be."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import MissingGlyph
from service.marks.lettering import (
    FontMetrics,
    Setting,
    block_height_mm,
    fit,
    least_cap_height_mm,
    reading_distance_mm,
)
from service.render.fonts import metrics

#: A face whose every letter is one capital height wide, so that expected sizes can be worked out by hand.
SQUARE = FontMetrics(
    name="square",
    units_per_em=1000,
    cap_height=700,
    advances={ord(char): 700 for char in "abcdefgh AB"},
    extents={ord(char): (0, 700) for char in "abcdefgh AB"},
)


def test_width_grows_with_the_capital_height() -> None:
    assert SQUARE.text_width_mm("abc", 2.0) == pytest.approx(6.0)
    assert SQUARE.size_mm(0.7) == pytest.approx(1.0)


def test_the_largest_size_that_fits_is_taken_and_the_ceiling_kept() -> None:
    assert fit("abcd", SQUARE, width_mm=8, height_mm=9, max_cap_mm=5, min_cap_mm=1) == Setting(("abcd",), 2.0)
    assert fit("abcd", SQUARE, width_mm=80, height_mm=9, max_cap_mm=5, min_cap_mm=1) == Setting(("abcd",), 5.0)
    assert fit("abcd", SQUARE, width_mm=80, height_mm=3, max_cap_mm=5, min_cap_mm=1) == Setting(("abcd",), 3.0)


def test_below_the_floor_nothing_fits() -> None:
    assert fit("abcd", SQUARE, width_mm=8, height_mm=9, max_cap_mm=5, min_cap_mm=2.05) is None


def test_lines_break_where_the_letters_come_out_largest() -> None:
    setting = fit("ab abcd", SQUARE, width_mm=8, height_mm=20, max_cap_mm=5, min_cap_mm=1, max_lines=2)
    assert setting == Setting(("ab", "abcd"), 2.0)


def test_a_word_is_never_broken() -> None:
    setting = fit("abcdefgh", SQUARE, width_mm=8, height_mm=20, max_cap_mm=5, min_cap_mm=1, max_lines=4)
    assert setting == Setting(("abcdefgh",), 1.0)


def test_the_border_of_reversed_letters_is_kept() -> None:
    assert fit("ab", SQUARE, width_mm=6, height_mm=9, max_cap_mm=5, min_cap_mm=1, border_caps=0.5) == Setting(
        ("ab",), 2.0
    )


def test_a_missing_letter_is_named() -> None:
    with pytest.raises(MissingGlyph, match="no '中'") as caught:
        metrics("bold").demand("tall 中 round", field="container")
    assert caught.value.field == "container"
    assert caught.value.place == "character 6"


def test_a_control_character_is_named() -> None:
    with pytest.raises(MissingGlyph, match=r"U\+0007"):
        metrics("bold").demand("a\x07", field="container")


@settings(max_examples=150)
@given(
    text=st.text(alphabet="abcdefghijklmnopqrstuvwxyz ABCÅŻgjpqy0123456789", min_size=1, max_size=40),
    width_mm=st.floats(5, 200),
    height_mm=st.floats(2, 80),
    max_lines=st.integers(1, 3),
)
def test_whatever_fits_lies_inside_the_box(text: str, width_mm: float, height_mm: float, max_lines: int) -> None:
    face = metrics("bold")
    setting = fit(
        text, face, width_mm=width_mm, height_mm=height_mm, max_cap_mm=20, min_cap_mm=0.5, max_lines=max_lines
    )
    if setting is None:
        return
    assert " ".join(setting.lines) == " ".join(text.split())
    assert len(setting.lines) <= max_lines
    assert max(face.text_width_mm(line, setting.cap_height_mm) for line in setting.lines) <= width_mm + 1e-6
    assert block_height_mm(setting.lines, face, setting.cap_height_mm) <= height_mm + 1e-6


@given(st.floats(100, 20_000))
def test_reading_distance_and_height_are_inverse(distance_mm: float) -> None:
    assert reading_distance_mm(least_cap_height_mm(distance_mm)) == pytest.approx(distance_mm)
