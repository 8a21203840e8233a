"""Flattened arcs: exact area, exact extent, and never far from the curve."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from service.outlines.arcs import FLATTENING_MM, arc_points, bulge_points, polyline_points

angles = st.floats(-10, 10)
sweeps = st.floats(0.01, math.tau).flatmap(lambda size: st.sampled_from([size, -size]))
radii = st.floats(0.05, 5000)


@given(start=angles, sweep=sweeps, radius=radii)
def test_an_arc_keeps_the_area_of_its_sector(start: float, sweep: float, radius: float) -> None:
    points = arc_points((0, 0), radius, start, sweep)
    twice = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(points))
    assert twice / 2 == pytest.approx(radius * radius * sweep / 2, rel=1e-9)


@given(start=angles, sweep=sweeps, radius=radii)
def test_an_arc_stays_near_the_circle_and_its_ends_lie_on_it(start: float, sweep: float, radius: float) -> None:
    points = arc_points((0, 0), radius, start, sweep)
    middles = [((x0 + x1) / 2, (y0 + y1) / 2) for (x0, y0), (x1, y1) in pairwise(points)]
    for x, y in (*points, *middles):
        assert abs(math.hypot(x, y) - radius) <= FLATTENING_MM * 1.001
    for point, angle in ((points[0], start), (points[-1], start + sweep)):
        assert point == pytest.approx((radius * math.cos(angle), radius * math.sin(angle)), abs=1e-9 * radius)


@given(start=angles, sweep=sweeps, radius=radii)
def test_an_arc_has_the_extent_of_the_curve(start: float, sweep: float, radius: float) -> None:
    turns = [quarter * math.pi / 2 for quarter in range(-20, 21)]
    low, high = sorted((start, start + sweep))
    reached = [start, start + sweep, *(turn for turn in turns if low < turn < high)]
    expected = (
        min(radius * math.cos(at) for at in reached),
        min(radius * math.sin(at) for at in reached),
        max(radius * math.cos(at) for at in reached),
        max(radius * math.sin(at) for at in reached),
    )
    assert LineString(arc_points((0, 0), radius, start, sweep)).bounds == pytest.approx(expected, abs=1e-9 * radius)


@given(
    start=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    end=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    bulge=st.floats(-3, 3),
)
def test_a_bulge_runs_through_the_top_of_its_arc(
    start: tuple[float, float], end: tuple[float, float], bulge: float
) -> None:
    chord = math.dist(start, end)
    if chord < 1:
        return
    path = LineString([start, *bulge_points(start, end, bulge)])
    # The arc rises by bulge × half the chord, on the right of the direction of travel when the bulge is positive.
    rise = bulge / 2
    top = (
        (start[0] + end[0]) / 2 + (end[1] - start[1]) * rise,
        (start[1] + end[1]) / 2 - (end[0] - start[0]) * rise,
    )
    assert path.distance(Point(top)) <= FLATTENING_MM * 1.001
    assert path.coords[-1] == end


def test_a_bulge_on_the_last_vertex_closes_the_polyline() -> None:
    half_moon = Polygon(polyline_points([(0, 0, 0), (10, 0, 1)], closed=True))
    assert half_moon.area == pytest.approx(math.pi * 25 / 2)
    assert half_moon.bounds == pytest.approx((0, 0, 10, 5))


def test_a_flat_bulge_is_a_straight_line() -> None:
    assert bulge_points((0, 0), (10, 0), 1e-9) == [(10, 0)]
