"""The stroke reader: reads what was set however it lies, and nothing that is not the text."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks.stroke_reading import UNREADABLE, read_block, read_strokes
from service.marks.strokes import CAP_HEIGHTS_MM, CHARACTERS, Stroke, set_line

KEY_SYMBOLS = "23456789ACEFHJKMNPRTWXY"


def turned(strokes: tuple[Stroke, ...], angle_deg: float, dx: float = 0.0, dy: float = 0.0) -> tuple[Stroke, ...]:
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return tuple(tuple((dx + x * cos - y * sin, dy + x * sin + y * cos) for x, y in stroke) for stroke in strokes)


def mirrored(strokes: tuple[Stroke, ...]) -> tuple[Stroke, ...]:
    return tuple(tuple((-x, y) for x, y in stroke) for stroke in strokes)


@pytest.mark.parametrize("char", CHARACTERS)
def test_every_letter_is_read_between_capitals(char: str) -> None:
    assert read_strokes(set_line(f"H{char}H", 5).strokes, 5) == [f"H{char}H"]


@given(
    text=st.text(alphabet=CHARACTERS, min_size=1, max_size=14).map(lambda text: f"H{text}"),
    height=st.sampled_from(CAP_HEIGHTS_MM),
    angle_deg=st.floats(-180, 180),
)
@settings(max_examples=60, deadline=None)
def test_what_was_set_is_what_is_read(text: str, height: float, angle_deg: float) -> None:
    strokes = turned(set_line(text, height).strokes, angle_deg, dx=-312.5, dy=845.25)
    assert read_strokes(strokes, height, angle_deg=angle_deg) == [text]


@given(key=st.text(alphabet=KEY_SYMBOLS, min_size=8, max_size=8), seed=st.randoms(use_true_random=False))
@settings(max_examples=50, deadline=None)
def test_the_order_and_direction_of_strokes_do_not_matter(key: str, seed: object) -> None:
    strokes = [tuple(reversed(stroke)) for stroke in set_line(key, 3.5).strokes]
    seed.shuffle(strokes)  # type: ignore[attr-defined]  # hypothesis types it as Random only when it runs
    assert read_strokes(strokes, 3.5) == [key]


@given(key=st.text(alphabet=KEY_SYMBOLS, min_size=8, max_size=8), dropped=st.integers(0, 30))
@settings(max_examples=80, deadline=None)
def test_a_dropped_stroke_is_noticed(key: str, dropped: int) -> None:
    strokes = list(set_line(key, 5).strokes)
    del strokes[dropped % len(strokes)]
    assert read_strokes(strokes, 5) != [key]


@pytest.mark.parametrize("text", ["OSV4-FC1-A500", "SW2-U3-42", "K7M4-XRAW", "P3HW-9TCP", "R8CN-5JF3"])
def test_mirrored_text_is_not_read_as_the_text(text: str) -> None:
    read = read_strokes(mirrored(set_line(text, 5).strokes), 5)
    assert read != [text]
    assert UNREADABLE in read[0]


@pytest.mark.parametrize("angle_deg", [180.0, 90.0, -90.0])
def test_text_that_lies_another_way_is_not_read_as_the_text(angle_deg: float) -> None:
    assert read_strokes(turned(set_line("SW2-U3-42", 5).strokes, angle_deg), 5) != ["SW2-U3-42"]


@pytest.mark.parametrize("wrong_height", [2.5, 4.9, 5.2, 7.0])
def test_text_of_another_size_is_not_read_as_the_text(wrong_height: float) -> None:
    assert read_strokes(set_line("SW2-U3-42", 5).strokes, wrong_height) != ["SW2-U3-42"]


def test_a_six_on_its_head_reads_nine_and_only_the_base_line_tells() -> None:
    # A half-turn of futural's 6 is near its 9 but not the same; what a person sees is what the base line is for.
    upright = set_line("6", 5).strokes
    assert read_strokes(upright, 5) == ["6"]
    assert read_strokes(turned(upright, 180), 5) != ["6"]


def test_lines_are_read_from_the_top_and_words_are_parted() -> None:
    upper = turned(set_line("OSV4 FC1", 5).strokes, 0, dy=6.5)
    assert read_strokes((*set_line("SW2-U3", 5).strokes, *upper), 5) == ["OSV4 FC1", "SW2-U3"]


def test_a_rule_under_the_text_is_a_base_line_and_no_letter() -> None:
    line = set_line("K7M4-XRAW", 5)
    rule: Stroke = ((0.0, -1.5), (line.width_mm, -1.5))
    reading = read_block((*line.strokes, rule), 5)
    assert (reading.lines, reading.base_line) == (("K7M4-XRAW",), True)
    short: Stroke = ((0.0, -1.5), (line.width_mm / 2, -1.5))
    assert not read_block((*line.strokes, short), 5).base_line


def test_nothing_reads_as_nothing() -> None:
    assert read_strokes((), 5) == []


def test_scribble_is_unreadable() -> None:
    scribble: Stroke = ((0.0, 0.0), (3.0, 5.0), (1.0, 2.0), (4.0, 0.5))
    assert read_strokes((scribble,), 5) == [UNREADABLE]
