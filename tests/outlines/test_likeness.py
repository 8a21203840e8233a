"""How alike two parts are: figures that no motion changes, one shape told from another."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import whole_motions
from service.outlines.hole_pattern import hole_pattern
from service.outlines.likeness import best_motion, farthest_mm, figures_about, overlap, same_shape, thinned
from tests.outlines.hole_sets import SCALENE, hole, plate
from tests.part_factory import make_drawing


def part(*, turn: float = 0.0, over: bool = False, notch: bool = True) -> Drawing:
    """A plate that is no image of itself, turned over if so and then turned about the origin."""
    drawing = plate([hole(point) for point in SCALENE])
    shape = drawing.material.difference(box(100, 80, 200, 200)) if notch else drawing.material
    if over:
        shape = affinity.scale(shape, 1, -1, origin=(0, 0))
    return make_drawing(affinity.rotate(shape, turn, origin=(0, 0)))


@given(turn=st.floats(0, 360), over=st.booleans())
@settings(max_examples=30, deadline=None)
def test_figures_stay_however_a_part_lies(*, turn: float, over: bool) -> None:
    here, there = part(), part(turn=turn, over=over)
    one, other = (figures_about(some, hole_pattern(some).centre) for some in (here, there))
    assert one.near(other)
    assert one.area_mm2 == pytest.approx(here.area_mm2)
    assert other.spin_mm == pytest.approx(one.spin_mm, rel=1e-6)


def test_the_spin_of_known_shapes() -> None:
    """A rectangle a by b about its middle: the root of (a² + b²) / 12; a disc of radius r: r over the root of 2."""
    rectangle = figures_about(make_drawing(box(-30, -20, 30, 20)), 0j)
    assert rectangle.spin_mm == pytest.approx(math.sqrt((60**2 + 40**2) / 12))
    assert rectangle.reach_mm == pytest.approx(math.hypot(30, 20))
    ring = Point(0, 0).buffer(50, quad_segs=256).difference(Point(0, 0).buffer(30, quad_segs=256))
    assert figures_about(make_drawing(ring), 0j).spin_mm == pytest.approx(math.sqrt((50**2 + 30**2) / 2), rel=1e-4)


@pytest.mark.parametrize(
    ("turn", "over", "notch", "expected"),
    [
        (0.0, False, True, (True, True)),
        (123.0, False, True, (True, True)),
        (77.0, True, True, (False, True)),
        (0.0, False, False, (False, False)),
    ],
)
def test_one_shape_is_known_turned_and_turned_over(
    *, turn: float, over: bool, notch: bool, expected: tuple[bool, bool]
) -> None:
    here, there = part(), part(turn=turn, over=over, notch=notch)
    assert same_shape(there, hole_pattern(there), here, hole_pattern(here)) == expected


def test_overlap_of_two_rectangles_by_hand() -> None:
    """60 by 40 over 60 by 50 with one corner in common: 2400 of 3000 mm², and their edges 10 mm apart."""
    one, other = (MultiPolygon([box(0, 0, 60, height)]) for height in (40, 50))
    holes = hole_pattern(plate([hole(point) for point in SCALENE]))
    motion = whole_motions(holes, holes)[0]
    assert overlap(one, other, motion) == pytest.approx(2400 / 3000, abs=1e-6)
    assert farthest_mm(one, other, motion) == pytest.approx(10.0, abs=1e-6)


def test_of_several_ways_the_one_that_covers_most_is_shown() -> None:
    square = [0j, 60 + 0j, 60 + 60j, 60j]
    long_part = plate([hole(point) for point in square], bounds=(-20, -20, 200, 80))
    pattern = hole_pattern(long_part)
    motion, covered = best_motion(thinned(long_part), thinned(long_part), whole_motions(pattern, pattern))
    assert covered == pytest.approx(1.0, abs=1e-6)
    assert not motion.over
    assert isinstance(thinned(long_part).geoms[0], Polygon)
