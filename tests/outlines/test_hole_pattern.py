"""Which openings of a part take a bolt."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from service.outlines.hole_pattern import WIDEST_MM, hole_of, hole_pattern, pattern_of, slot_words
from tests.outlines.hole_sets import SCALENE, hole, moved, pattern, plate


@given(
    width=st.floats(4.0, WIDEST_MM - 0.2),
    longer=st.sampled_from([0.0, 5.0, 13.0, 40.0]),
    along=st.floats(0.0, 179.0),
)
@settings(max_examples=60)
def test_round_holes_and_slots_are_found_with_their_sizes(width: float, longer: float, along: float) -> None:
    drawn = hole(12.5 - 7.25j, width, width + longer, along if longer else 0.0)
    found = hole_pattern(plate([drawn], bounds=(-90, -90, 110, 90))).holes[0]
    assert abs(found.at - drawn.at) < 1e-6
    assert found.width_mm == pytest.approx(width, abs=0.02)
    assert found.length_mm == pytest.approx(width + longer, abs=0.02)
    if longer:
        assert abs((found.along_deg - along + 90) % 180 - 90) < 0.5


@pytest.mark.parametrize(
    "opening",
    [
        box(0, 0, 20, 20),
        box(0, 0, 40, 9),
        Polygon([(0, 0), (12, 0), (6, 10)]),
        Point(0, 0).buffer(30, quad_segs=64),
        Point(0, 0).buffer(20, quad_segs=64).difference(Point(0, 8).buffer(20, quad_segs=64)),
    ],
    ids=["square", "bar", "triangle", "bore", "crescent"],
)
def test_windows_bores_and_crescents_take_no_bolt(opening: Polygon) -> None:
    assert hole_of(opening) is None


def test_a_part_of_the_demo_has_the_holes_that_it_was_drawn_with() -> None:
    four = [hole(complex(x, y)) for x in (0, 60) for y in (0, 40)]
    slot = hole(100 + 20j, 9.0, 22.0, 90.0)
    found = hole_pattern(plate([*four, slot]))
    assert len(found.holes) == 5
    assert [one.is_slot for one in found.holes].count(True) == 1
    assert found.distances[0] == pytest.approx(40.0)
    assert found.centre == pytest.approx(sum(one.at for one in [*four, slot]) / 5)


@given(turn=st.floats(0, 360), over=st.booleans(), x=st.floats(-500, 500), y=st.floats(-500, 500))
@settings(max_examples=60)
def test_what_a_pattern_is_known_by_stays_however_it_is_moved(*, turn: float, over: bool, x: float, y: float) -> None:
    here, there = pattern(SCALENE), pattern(moved(SCALENE, turn_deg=turn, over=over, shift=complex(x, y)))
    assert there.distances == pytest.approx(here.distances)
    assert there.widths == here.widths


def test_the_order_of_the_holes_makes_no_difference() -> None:
    assert pattern(SCALENE) == pattern(reversed(SCALENE))
    assert pattern_of([]).centre == 0


def test_words_of_a_drawing() -> None:
    assert slot_words(9.0, 9.0) == "hole of 9.0 mm"
    assert slot_words(6.6, 18.0) == "slot of 6.6 × 18.0 mm"
