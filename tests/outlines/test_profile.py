"""The path of a profile cutter: the contour it leaves is the part's, but for corners sharper than itself."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box

from service.outlines.profile import profile_of
from tests.part_factory import make_drawing, star_segment


@given(st.floats(20, 200), st.floats(20, 200), st.floats(0.5, 12))
@settings(max_examples=50)
def test_the_path_round_a_rectangle_is_as_long_as_geometry_says(width: float, height: float, diameter: float) -> None:
    # Offset of a convex outline by r: its length grows by 2 pi r (Steiner's formula).
    ring = profile_of(make_drawing(box(0, 0, width, height)), diameter).outsides[0]
    length = sum(math.dist(a, b) for a, b in itertools.pairwise(ring))
    assert length == pytest.approx(2 * (width + height) + math.pi * diameter, rel=2e-4)


def test_a_round_hole_leaves_a_smaller_circle_cut_anticlockwise() -> None:
    # A bore of 24 mm cut with 6 mm: the middle runs on 18 mm.
    profile = profile_of(make_drawing(box(0, 0, 200, 90).difference(Point(100, 45).buffer(12, 256))), 6)
    hole = Polygon(profile.holes[0])
    assert hole.exterior.is_ccw
    assert not Polygon(profile.outsides[0]).exterior.is_ccw
    assert hole.area == pytest.approx(math.pi * 9**2, rel=1e-3)
    assert profile.unreached_mm2 == 0


def test_a_sharp_inner_corner_keeps_what_a_round_cutter_cannot_reach() -> None:
    # A square corner and a cutter of radius r: r² (1 - pi/4) stay, for r = 3 1.931 mm².
    shape = box(0, 0, 100, 100).difference(box(60, 60, 101, 101))
    assert profile_of(make_drawing(shape), 6).unreached_mm2 == pytest.approx(9 * (1 - math.pi / 4), rel=2e-2)


def test_a_hole_narrower_than_the_cutter_is_named() -> None:
    shape = box(0, 0, 200, 90).difference(Point(50, 45).buffer(2.5)).difference(Point(150, 45).buffer(10))
    profile = profile_of(make_drawing(shape), 6)
    assert len(profile.holes) == 1
    assert len(profile.closed) == 1
    assert math.dist(profile.closed[0], (50, 45)) < 2.5


def test_parts_that_lie_closer_than_the_cutter_are_crowded() -> None:
    near = MultiPolygon([box(0, 0, 50, 50), box(54, 0, 104, 50)])
    apart = MultiPolygon([box(0, 0, 50, 50), box(57, 0, 107, 50)])
    assert profile_of(make_drawing(near), 6).crowded
    assert not profile_of(make_drawing(apart), 6).crowded


def test_what_the_cutter_sweeps_leaves_the_part_whole() -> None:
    shape = star_segment(pockets=16, pitch_radius_mm=300, pocket_mm=66, segments=4, ordinal=1)
    profile = profile_of(make_drawing(shape), 6)
    swept = Polygon(profile.outsides[0]).exterior.buffer(3)
    assert swept.intersection(shape).area < 0.5
    assert shape.exterior.distance(swept) < 0.01
