"""The hole that keeps two parts apart: after it, no turning, mirroring or turning over brings them over each other."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import motions, needed
from service.outlines.hole_pattern import HolePattern, hole_pattern, pattern_of
from service.outlines.odd_hole import CLEAR_MM, EDGE_MM, LAND_MM, OddHole, added_holes, moved_hole
from tests.outlines.hole_sets import RECTANGLE, SCALENE, hole, moved, plate
from tests.part_factory import make_drawing


def plates(points: list[complex]) -> tuple[tuple[Drawing, Drawing], tuple[HolePattern, HolePattern]]:
    """Two plates with holes at these points, the second with one corner cut off."""
    first = plate([hole(point) for point in points])
    second = make_drawing(first.material.difference(box(100, 60, 200, 200)))
    return (first, second), (hole_pattern(first), hole_pattern(second))


def stud_is_met(stud: OddHole, place: HolePattern, part: HolePattern, least: int) -> bool:
    """Whether a stud finds a hole of a part, in any way in which that finds enough bolts of the place."""
    return any(
        abs(motion.moved(one.at) - stud.at) < CLEAR_MM
        for motion in motions(part, place, least=least)
        for one in part.holes
    )


def changed(pattern: HolePattern, odd: OddHole) -> HolePattern:
    """A pattern with an odd hole added."""
    return pattern_of([*pattern.holes, odd.hole])


def roomy(drawing: Drawing, odd: OddHole, own: HolePattern) -> None:
    """The new hole keeps its distance from the edge and from every other hole."""
    spot = Point(odd.at.real, odd.at.imag)
    outside = Polygon(drawing.material.geoms[0].exterior)
    assert outside.contains(spot)
    assert outside.boundary.distance(spot) - odd.width_mm / 2 >= EDGE_MM - 0.01
    for one in own.holes:
        if one is not odd.instead_of:
            assert abs(one.at - odd.at) - one.width_mm / 2 - odd.width_mm / 2 >= LAND_MM - 0.01


@pytest.mark.parametrize("points", [[0j, 80 + 0j], list(SCALENE)], ids=["two", "three"])
def test_a_moved_hole_keeps_both_parts_off(points: list[complex]) -> None:
    parts, patterns = plates(points)
    assert motions(*patterns)
    odd = moved_hole(parts[0], *patterns)
    assert odd is not None
    assert odd.what == "move"
    assert odd.stops_both
    roomy(parts[0], odd, patterns[0])
    moved_on = pattern_of([odd.hole if one is odd.instead_of else one for one in patterns[0].holes])
    least = needed(*patterns)
    assert not stud_is_met(odd, moved_on, patterns[1], least)
    # In the other's place the stud stands where the moved hole was, and nothing of the changed part is open there.
    assert odd.instead_of is not None
    old = patterns[1].holes[patterns[0].holes.index(odd.instead_of)]
    assert all(
        abs(motion.moved(one.at) - old.at) >= CLEAR_MM
        for motion in motions(moved_on, patterns[1], least=least)
        for one in moved_on.holes
    )


def test_a_regular_pattern_is_not_told_apart_by_moving_one_hole() -> None:
    """Turned by a half, the part finds three bolts whichever hole was moved, and none of them is its odd one."""
    parts, patterns = plates(list(RECTANGLE))
    assert moved_hole(parts[0], *patterns) is None


@given(
    points=st.sampled_from([list(RECTANGLE), [0j, 60 + 0j, 60 + 60j, 60j], list(SCALENE), [0j, 90 + 0j]]),
    turn=st.sampled_from([0.0, 90.0, 180.0, 37.0]),
    over=st.booleans(),
)
@settings(max_examples=20, deadline=None)
def test_added_holes_keep_each_part_off_the_other_s_place(*, points: list[complex], turn: float, over: bool) -> None:
    middle = sum(points) / len(points)
    first = plate([hole(point) for point in points], bounds=(-80, -80, 180, 150))
    turned = moved([point - middle for point in points], turn_deg=turn, over=over, shift=middle)
    second = plate([hole(point) for point in turned], bounds=(-90, -90, 190, 160))
    patterns = hole_pattern(first), hole_pattern(second)
    odd = added_holes((first, second), patterns)
    assert odd[0] is not None
    assert odd[1] is not None
    roomy(first, odd[0], patterns[0])
    roomy(second, odd[1], patterns[1])
    least = needed(*patterns)
    assert not stud_is_met(odd[0], patterns[0], changed(patterns[1], odd[1]), least)
    assert not stud_is_met(odd[1], patterns[1], changed(patterns[0], odd[0]), least)


def test_mirror_twins_do_not_get_holes_that_answer_to_each_other() -> None:
    left = plate([hole(point) for point in SCALENE])
    right = plate([hole(point) for point in moved(SCALENE, over=True)], bounds=(-60, -120, 160, 60))
    patterns = hole_pattern(left), hole_pattern(right)
    odd = added_holes((left, right), patterns)
    assert odd[0] is not None
    assert odd[1] is not None
    assert not stud_is_met(odd[0], patterns[0], changed(patterns[1], odd[1]), 2)
    assert not stud_is_met(odd[1], patterns[1], changed(patterns[0], odd[0]), 2)


def test_a_part_that_is_set_along_slots_gets_a_slot() -> None:
    slots = [hole(0j, 9, 30), hole(90 + 0j, 9, 30)]
    rail = plate(slots, bounds=(-60, -20, 160, 20))
    pattern = hole_pattern(rail)
    first, second = added_holes((rail, rail), (pattern, pattern))
    assert moved_hole(rail, pattern, pattern) is None
    assert first is not None
    assert second is not None
    assert first.length_mm == pytest.approx(30, abs=0.05)
    assert first.along_deg % 180 == pytest.approx(0, abs=0.5)


def test_no_room_gives_no_hole() -> None:
    small = plate([hole(0j), hole(40 + 0j)], bounds=(-12, -12, 52, 12))
    pattern = hole_pattern(small)
    assert moved_hole(small, pattern, pattern) is None
    assert added_holes((small, small), (pattern, pattern)) == (None, None)


def test_zones_to_be_kept_clear_stay_clear() -> None:
    points = [0j, 80 + 0j]
    free = plate([hole(point) for point in points])
    odd = moved_hole(free, hole_pattern(free), hole_pattern(free))
    assert odd is not None
    zone = Point(odd.at.real, odd.at.imag).buffer(15)
    kept = Drawing(free.material, (), (zone,), (), "mm", 1.0)
    other = moved_hole(kept, hole_pattern(free), hole_pattern(free))
    assert other is not None
    assert not zone.buffer(other.width_mm / 2).contains(Point(other.at.real, other.at.imag))
    assert math.isfinite(other.edge_mm)
