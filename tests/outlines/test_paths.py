"""SVG path data says what the shape is, and thinned shapes stay near it."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box

from service.outlines.paths import simplified, svg_path


def followed(path: str) -> list[list[tuple[float, float]]]:
    """The points of path data made of ``M``, relative ``l`` and ``z``, by the grammar of SVG 1.1, section 8.3.9."""
    outlines = []
    for start, run in re.findall(r"M([^lz]*)l?([^z]*)z", path):
        x, y = (float(value) for value in re.findall(r"-?(?:\d*\.\d+|\d+)", start))
        steps = [float(value) for value in re.findall(r"-?(?:\d*\.\d+|\d+)", run)]
        points = [(x, y)]
        for dx, dy in zip(steps[::2], steps[1::2], strict=True):
            points.append((points[-1][0] + dx, points[-1][1] + dy))
        outlines.append(points)
    return outlines


def test_a_square() -> None:
    assert svg_path(box(0, 0, 10, 10), flip_y=False) == "M10 0l0 10-10 0 0-10z"
    assert svg_path(box(0, 0, 10, 10)) == "M10 0l0-10-10 0 0 10z"


def test_fractions_lose_their_zeros() -> None:
    assert svg_path(Polygon([(0.5, 0), (1.25, 0), (1.25, -0.1)]), flip_y=False) == "M.5 0l.75 0 0-.1z"
    assert svg_path(box(0.4, 0, 10.6, 10), digits=0, flip_y=False) == "M11 0l0 10-11 0 0-10z"


def test_holes_and_pieces_are_outlines_of_their_own() -> None:
    ring = Point(0, 0).buffer(10).difference(Point(0, 0).buffer(5))
    assert isinstance(ring, Polygon)
    assert svg_path(MultiPolygon([ring, box(20, 0, 30, 10)])).count("z") == 3


@given(
    points=st.lists(st.tuples(st.floats(-2000, 2000), st.floats(-2000, 2000)), min_size=3, max_size=40),
    digits=st.integers(0, 4),
    flip_y=st.booleans(),
)
def test_rounding_does_not_add_up(points: list[tuple[float, float]], digits: int, flip_y: bool) -> None:  # noqa: FBT001 -- drawn by Hypothesis
    ring = Polygon(points)
    (outline,) = followed(svg_path(ring, digits=digits, flip_y=flip_y))
    wanted = [
        (round(x * 10**digits), round((-y if flip_y else y) * 10**digits)) for x, y in list(ring.exterior.coords)[:-1]
    ]
    kept = [point for at, point in enumerate(wanted) if at == 0 or point != wanted[at - 1]]
    if len(kept) > 1 and kept[-1] == kept[0]:
        kept.pop()
    assert [(round(x * 10**digits), round(y * 10**digits)) for x, y in outline] == kept


def test_thinning_keeps_the_shape_within_the_tolerance() -> None:
    outside, hole = (Point(0, 0).buffer(radius, quad_segs=200) for radius in (100, 40))
    ring = MultiPolygon([Polygon(outside.exterior, [hole.exterior])])
    thin = simplified(ring, 0.2)
    assert isinstance(thin, MultiPolygon)
    assert len(thin.geoms[0].exterior.coords) < len(ring.geoms[0].exterior.coords) / 4
    assert len(thin.geoms[0].interiors) == 1
    assert thin.hausdorff_distance(ring) <= 0.2 + 1e-9
    assert thin.area == pytest.approx(math.pi * (100**2 - 40**2), rel=0.01)


def test_no_tolerance_gives_the_shape_back() -> None:
    square = box(0, 0, 10, 10)
    assert simplified(square, 0) is square
