"""Single-stroke letters: whole, closed where they should be, and clear of each other."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from service.errors import MissingGlyph
from service.marks.strokes import CAP_HEIGHTS_MM, CHARACTERS, STROKE_WIDTH, Stroke, glyph, set_line

# Closed counters of each letter, a matter of how the letters are written.
COUNTERS = dict.fromkeys("ADOPQR0469#", 1) | dict.fromkeys("B8", 2)


def groove(strokes: tuple[Stroke, ...], width: float) -> list[Polygon]:
    """What a cutter of this width leaves open."""
    cut = union_all([LineString(stroke).buffer(width / 2) for stroke in strokes])
    pieces = cut.geoms if isinstance(cut, MultiPolygon) else [cut]
    return [piece for piece in pieces if isinstance(piece, Polygon)]


@pytest.mark.parametrize("char", CHARACTERS)
def test_a_letter_is_one_groove_with_the_counters_it_should_have(char: str) -> None:
    pieces = groove(glyph(char).strokes, STROKE_WIDTH)
    assert len(pieces) == (2 if char == ":" else 1)
    assert sum(len(piece.interiors) for piece in pieces) == COUNTERS.get(char, 0)


@pytest.mark.parametrize("char", CHARACTERS)
def test_strokes_that_should_meet_do_meet(char: str) -> None:
    strokes = glyph(char).strokes
    for stroke in strokes:
        others = [LineString(other) for other in strokes if other is not stroke]
        for end in (stroke[0], stroke[-1]):
            near = [line.distance(Point(end)) for line in others]
            assert all(apart < 1e-9 or apart > 0.06 for apart in near), (char, end, near)


@pytest.mark.parametrize("text", ["AA", "FT", "TT", "LA", "AV", "K7", "7A", "LT", "A4", "WW", "-4"])
def test_tight_pairs_do_not_fuse_at_a_cutter_as_wide_as_a_fifth_of_the_height(text: str) -> None:
    assert len(groove(set_line(text, 2.5).strokes, 0.2 * 2.5)) == 2


@given(
    text=st.text(alphabet=CHARACTERS.replace(":", ""), min_size=1, max_size=24), height=st.sampled_from(CAP_HEIGHTS_MM)
)
@settings(max_examples=80, deadline=None)
def test_every_letter_of_a_line_stands_clear_of_its_neighbours(text: str, height: float) -> None:
    line = set_line(text, height)
    spans: list[tuple[float, float]] = []
    rest = list(line.strokes)
    for char in text:
        own = [rest.pop(0) for _ in glyph(char).strokes]
        xs = [x for stroke in own for x, _ in stroke]
        spans.append((min(xs), max(xs)))
    assert not rest
    for left, right in pairwise(spans):
        assert right[0] - left[1] - STROKE_WIDTH * height >= 0.2 * height - 1e-9
    assert spans[0][0] == pytest.approx(0, abs=1e-9)
    assert spans[-1][1] == pytest.approx(line.width_mm)


def test_a_line_is_scaled_by_the_height_of_its_capitals() -> None:
    small, large = set_line("OSV4-FC1", 2.5), set_line("OSV4-FC1", 10)
    assert large.width_mm == pytest.approx(4 * small.width_mm)
    assert math.isclose(max(y for stroke in large.strokes for _, y in stroke), 10)


def test_blanks_part_words_and_nothing_else() -> None:
    assert set_line("  SW2   U3 ", 5) == set_line("SW2 U3", 5)
    assert set_line("", 5).width_mm == 0
    assert set_line("  ", 5).strokes == ()


@pytest.mark.parametrize(("text", "char"), [("Ø5", "Ø"), ("a", "a"), ("SW2_U3", "_"), ("50°", "°"), ("漢", "漢")])
def test_a_letter_that_the_font_lacks_is_named(text: str, char: str) -> None:
    with pytest.raises(MissingGlyph, match=char) as caught:
        set_line(text, 5)
    assert caught.value.value == char
