"""Regions bounded by lines and circles: tangent corners, the right side, and areas by formula."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.demo.contour import Contour, Point, polar
from service.demo.fillets import Corner, Round, Straight, bounded
from service.demo.guides import edge
from tests.demo.flattened import polygon


def kinks(contour: Contour) -> list[float]:
    edges = list(contour.edges())
    return [
        (following.heading_deg - before.arrival_deg + 180) % 360 - 180
        for before, following in zip(edges, edges[1:] + edges[:1], strict=True)
    ]


@settings(max_examples=50)
@given(width=st.floats(40, 400), height=st.floats(40, 400), radius=st.floats(1, 15), turn=st.floats(-180, 180))
def test_a_rounded_rectangle_has_the_area_of_its_formula(
    width: float, height: float, radius: float, turn: float
) -> None:
    across, up = polar(width, turn), polar(height, turn + 90)
    turned = [Point(0, 0), across, Point(across.x + up.x, across.y + up.y), up]
    shape = bounded([edge(turned[n], turned[(n + 1) % 4], radius) for n in range(4)])
    assert polygon(shape, steps=300).area == pytest.approx(width * height - (4 - pi) * radius**2, abs=0.05)
    assert max(map(abs, kinks(shape))) < 1e-6


def test_a_guide_between_two_circles_clears_both() -> None:
    left, right = Point(-200, 0), Point(200, 0)
    shape = bounded(
        [
            Corner(Straight(Point(0, -80), 0), Point(60, -80), 5),
            Corner(Round(right, 160), Point(60, 80), 5),
            Corner(Straight(Point(0, 80), 180), Point(-60, 80), 5),
            Corner(Round(left, 160), Point(-60, -80), 5),
        ]
    )
    body = polygon(shape, steps=300)
    assert body.exterior.is_ccw
    assert max(map(abs, kinks(shape))) < 1e-6
    for centre in (left, right):
        reach = min(((x - centre.x) ** 2 + (y - centre.y) ** 2) ** 0.5 for x, y in body.exterior.coords)
        assert reach == pytest.approx(160, abs=1e-6)
    # The waist between the circles is 80 mm wide.
    assert body.bounds[1] == pytest.approx(-80)
    assert body.intersection(polygon(bounded([edge(a, b, 0.1) for a, b in SLIVER]))).area == pytest.approx(
        80 * 0.4, rel=0.03
    )


SLIVER = [
    ((-60.0, -0.2), (60.0, -0.2)),
    ((60.0, -0.2), (60.0, 0.2)),
    ((60.0, 0.2), (-60.0, 0.2)),
    ((-60.0, 0.2), (-60.0, -0.2)),
]


def test_a_segment_of_a_disc_is_bounded_by_a_circle_with_the_material_inside() -> None:
    shape = bounded(
        [
            Corner(Straight(Point(0, 0), 0), Point(100, 0), 0.001),
            Corner(Round(Point(0, 0), 100, material_inside=True), Point(-100, 0), 0.001),
        ]
    )
    assert polygon(shape, steps=1000).area == pytest.approx(pi * 100**2 / 2, abs=0.5)


def test_boundaries_that_do_not_meet_are_refused() -> None:
    with pytest.raises(ValueError, match="do not meet"):
        bounded(
            [
                Corner(Straight(Point(0, 0), 0), Point(10, 0), 1),
                Corner(Straight(Point(0, 50), 0), Point(10, 50), 1),
                Corner(Round(Point(0, 20), 5), Point(0, 0), 1),
            ]
        )
    with pytest.raises(ValueError, match="do not meet"):
        bounded(
            [
                Corner(Round(Point(0, 0), 5), Point(0, 0), 1),
                Corner(Round(Point(100, 0), 5), Point(0, 0), 1),
            ]
        )


def test_feet_are_the_nearest_points() -> None:
    assert Straight(Point(0, 0), 45).foot(Point(10, 0)) == pytest.approx((5, 5))
    assert Round(Point(0, 0), 10).foot(Point(3, 4)) == pytest.approx((6, 8))
    assert Straight(Point(0, 0), 0).inset(3).through == pytest.approx((0, 3))
    assert Round(Point(0, 0), 10).inset(3).radius_mm == 13
    assert Round(Point(0, 0), 10, material_inside=True).inset(3).radius_mm == 7
