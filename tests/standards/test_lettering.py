"""Lettering against published values.

ISO 3098 type B: the table of NF EN ISO 3098-0 as a public course page reproduces it (heights, spacings a, e, b3 and
stroke width d in mm). Font: the coordinates of "futural" as the package Hershey-Fonts 2.1.0 gives them.
"""

from __future__ import annotations

import pytest
from HersheyFonts import HersheyFonts

from service.marks.futural import BASE_LINE, CAP_TOP, FUTURAL
from service.marks.strokes import (
    AMENDED,
    CAP_HEIGHTS_MM,
    CHARACTER_SPACING,
    LINE_SPACING,
    STROKE_WIDTH,
    WORD_SPACING,
    set_line,
)

# h, a, e, d, b3 of ISO 3098 type B in mm.
TABLE = (
    (2.5, 0.5, 1.5, 0.25, 3.25),
    (3.5, 0.7, 2.1, 0.35, 4.55),
    (5.0, 1.0, 3.0, 0.5, 6.5),
    (7.0, 1.4, 4.2, 0.7, 9.1),
    (10.0, 2.0, 6.0, 1.0, 13.0),
    (14.0, 2.8, 8.4, 1.4, 18.2),
    (20.0, 4.0, 12.0, 2.0, 26.0),
)


def test_the_heights_are_those_of_iso_3098() -> None:
    assert tuple(row[0] for row in TABLE) == CAP_HEIGHTS_MM


@pytest.mark.parametrize(("height", "character", "word", "stroke", "line"), TABLE)
def test_the_spacings_are_those_of_iso_3098_type_b(
    height: float, character: float, word: float, stroke: float, line: float
) -> None:
    assert CHARACTER_SPACING * height == pytest.approx(character)
    assert WORD_SPACING * height == pytest.approx(word)
    assert STROKE_WIDTH * height == pytest.approx(stroke)
    assert LINE_SPACING * height == pytest.approx(line)


@pytest.mark.parametrize(("height", "character", "word", "stroke", "_line"), TABLE)
def test_the_gap_between_two_grooves_is_that_of_the_table(
    height: float, character: float, word: float, stroke: float, _line: float
) -> None:
    def gap(text: str) -> float:
        left, right = set_line(text, height).strokes
        return right[0][0] - left[0][0] - stroke

    assert gap("II") == pytest.approx(character)
    assert gap("I I") == pytest.approx(word)


def test_the_a_of_futural_has_the_published_coordinates() -> None:
    # Hershey-Fonts 2.1.0, lines_for_text("A") normalised to 10: three strokes, whose cap height is 7.5 of the 10.
    published = [((3.214, 10), (0.357, 2.5)), ((3.214, 10), (6.071, 2.5)), ((1.429, 5), (5, 5))]
    ours = [
        tuple(
            (3.214 + float(x) * 7.5 / 21, 2.5 + (BASE_LINE - float(y)) * 7.5 / 21)
            for x, y in (pair.split(",") for pair in run.split())
        )
        for run in FUTURAL["A"].split("|")
    ]
    for line, expected in zip(ours, published, strict=True):
        for point, other in zip(line, expected, strict=True):
            assert point == pytest.approx(other, abs=0.001)


@pytest.mark.parametrize("char", FUTURAL)
def test_the_table_is_that_of_the_package(char: str) -> None:
    font = HersheyFonts()
    font.load_default_font("futural")
    published = [[tuple(point) for point in stroke] for stroke in font.all_glyphs[char].strokes]
    ours = [[tuple(map(int, pair.split(","))) for pair in run.split()] for run in FUTURAL[char].split("|")]
    assert ours == published


def test_capitals_and_digits_are_as_tall_as_the_nominal_height() -> None:
    for char in "ABCDEFGHIJKLMNOPRSTUVWXYZ0123456789":
        heights = [y for stroke in set_line(char, 5.0).strokes for _, y in stroke]
        assert (min(heights), max(heights)) == pytest.approx((0.0, 5.0)), char
    assert CAP_TOP == -12


def test_only_known_faults_of_the_font_are_amended() -> None:
    assert set(AMENDED) == {"A", "-", "."}
