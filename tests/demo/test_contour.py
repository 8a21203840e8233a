"""Contours of lines and arcs, held against the DXF reference values and against ezdxf's own arithmetic."""

from __future__ import annotations

from math import dist

import pytest
from ezdxf.math import Vec2, bulge_to_arc
from hypothesis import given, settings
from hypothesis import strategies as st

from service.demo.contour import Contour, Edge, Hit, Point, Vertex, bulge_of, joined, polar, turned_by
from service.demo.shapes import arc, circle, curved_slot, rectangle, rounded, slot
from tests.demo.flattened import polygon

coordinates = st.floats(-500, 500)
points = st.builds(Point, coordinates, coordinates)
bulges = st.floats(-0.99, 0.99).filter(lambda bulge: abs(bulge) > 0.01)


def length_mm(contour: Contour) -> float:
    total = 0.0
    for edge in contour.edges():
        sweep = abs(turned_by(edge.bulge))
        total += edge.chord_mm if edge.bulge == 0 else edge.radius_mm * sweep * 3.141592653589793 / 180
    return total


@pytest.mark.parametrize(
    ("bulge", "radius_mm", "sweep_deg", "centre"),
    [(0.5, 6.25, 106.2602, (5, 3.75)), (1.0, 5.0, 180.0, (5, 0)), (0.414214, 7.0711, 90.0, (5, 5))],
)
def test_an_edge_from_0_0_to_10_0_is_the_arc_that_the_dxf_reference_means(
    bulge: float, radius_mm: float, sweep_deg: float, centre: tuple[float, float]
) -> None:
    # DXF reference, LWPOLYLINE group code 42: bulge = tan(sweep / 4); values computed with ezdxf 1.4.
    edge = Edge(Point(0, 0), Point(10, 0), bulge)
    assert edge.radius_mm == pytest.approx(radius_mm, abs=1e-4)
    assert turned_by(bulge) == pytest.approx(sweep_deg, abs=1e-4)
    assert edge.centre == pytest.approx(centre, abs=1e-4)


@settings(max_examples=100)
@given(start=points, end=points, bulge=bulges)
def test_an_edge_has_the_centre_and_the_radius_that_ezdxf_finds(start: Point, end: Point, bulge: float) -> None:
    if dist(start, end) < 1:
        return
    edge = Edge(start, end, bulge)
    centre, _, _, radius = bulge_to_arc(Vec2(start), Vec2(end), bulge)
    assert edge.radius_mm == pytest.approx(radius)
    assert dist(edge.centre, (centre.x, centre.y)) < 1e-6 * max(1.0, radius)
    assert dist(edge.at(0), start) < 1e-6 * max(1.0, radius)
    assert dist(edge.at(1), end) < 1e-6 * max(1.0, radius)


@settings(max_examples=100)
@given(start=points, end=points, bulge=bulges, fraction=st.floats(0.05, 0.95))
def test_a_line_through_a_point_of_an_arc_meets_it_there(
    start: Point, end: Point, bulge: float, fraction: float
) -> None:
    if dist(start, end) < 1:
        return
    edge = Edge(start, end, bulge)
    there = edge.at(fraction)
    beyond = Point(2 * there.x - edge.centre.x, 2 * there.y - edge.centre.y)
    inward = Point((there.x + edge.centre.x) / 2, (there.y + edge.centre.y) / 2)
    met = edge.met_by(inward, beyond)
    assert any(found == pytest.approx(fraction, abs=1e-6) for found, _ in met)


@settings(max_examples=100)
@given(
    first=st.integers(0, 5),
    last=st.integers(0, 5),
    first_part=st.floats(0, 0.99),
    last_part=st.floats(0, 0.99),
)
def test_two_places_part_a_contour_into_two_pieces_that_are_its_whole_length(
    first: int, last: int, first_part: float, last_part: float
) -> None:
    whole = joined(arc((0, 0), 50, 0, 180), arc((-60, 0), 10, 0, -180), arc((0, 0), 70, 180, 180))
    first, last = first % len(whole.vertices), last % len(whole.vertices)
    if (first, first_part) == (last, last_part) or (first == last and abs(first_part - last_part) < 1e-6):
        return
    there = whole.between(Hit(first, first_part), Hit(last, last_part))
    back = whole.between(Hit(last, last_part), Hit(first, first_part))
    assert length_mm(there) + length_mm(back) == pytest.approx(length_mm(whole))


def test_turning_moving_mirroring_and_walking_backwards_keep_the_area() -> None:
    shape = curved_slot((10, 20), 80, 20, 15, 70)
    area = polygon(shape).area
    for other in (shape.turned(33), shape.moved(-5, 7), shape.mirrored(), shape.reversed()):
        assert polygon(other).area == pytest.approx(area)
    assert polygon(shape).exterior.is_ccw
    assert polygon(shape.mirrored()).exterior.is_ccw
    assert not polygon(shape.reversed()).exterior.is_ccw


@pytest.mark.parametrize(
    ("shape", "area_mm2"),
    [
        (circle((3, 4), 10), 314.159265),
        (slot((0, 0), 30, 10, 40), 20 * 10 + 78.539816),
        # The stadium of 20 × 10 with two ends of radius 5: 278.540 mm², as in the worked mass example.
        (slot((1, 2), 30, 10), 278.540),
        (rectangle((5, 5), 12, 7, 19), 84.0),
        (rounded([(0, 0), (40, 0), (40, 20), (0, 20)], 5), 800 - 25 * (4 - 3.14159265)),
        (curved_slot((0, 0), 100, 20, 0, 90), 3.14159265 / 4 * (110**2 - 90**2) + 314.159265),
    ],
)
def test_ready_shapes_have_the_area_of_their_formula(shape: Contour, area_mm2: float) -> None:
    assert polygon(shape, steps=2000).area == pytest.approx(area_mm2, abs=0.01)


def test_an_offset_chain_keeps_its_distance() -> None:
    chain = rounded([(0, 0), (40, 0), (60, 30), (120, 30)], 8, closed=False)
    for by in (2.0, -2.0):
        shifted = chain.offset(by)
        assert shifted.vertices[0].point == pytest.approx((0, by))
        for edge, other in zip(chain.edges(), shifted.edges(), strict=True):
            for step in (0.0, 0.3, 0.7, 1.0):
                assert dist(edge.at(step), other.at(step)) == pytest.approx(2.0)


def test_a_side_too_short_for_its_corners_is_refused() -> None:
    with pytest.raises(ValueError, match="too short for a corner radius of 6 mm"):
        rounded([(0, 0), (10, 0), (10, 30), (0, 30)], 6)


def test_a_line_that_misses_is_refused() -> None:
    with pytest.raises(ValueError, match="misses the contour"):
        circle((0, 0), 10).hit_by(Point(20, -5), Point(20, 5))


def test_arcs_of_more_than_half_a_turn_are_drawn_in_parts() -> None:
    drawn = arc((0, 0), 10, 20, -300)
    assert all(abs(vertex.bulge) <= 1 for vertex in drawn.vertices)
    assert drawn.vertices[-1].point == pytest.approx(polar(10, -280))
    assert sum(turned_by(vertex.bulge) for vertex in drawn.vertices) == pytest.approx(-300)


def test_bulge_and_sweep_are_inverse() -> None:
    for sweep in (-359.0, -90.0, 1.0, 180.0, 270.0):
        assert turned_by(bulge_of(sweep)) == pytest.approx(sweep)


def test_joining_drops_doubled_vertices() -> None:
    square = joined(
        Contour((Vertex(0, 0), Vertex(1, 0), Vertex(1, 1)), closed=False),
        Contour((Vertex(1, 1), Vertex(0, 1), Vertex(0, 0)), closed=False),
    )
    assert [vertex.point for vertex in square.vertices] == [(0, 0), (1, 0), (1, 1), (0, 1)]
