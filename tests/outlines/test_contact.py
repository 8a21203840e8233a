"""Joints found from outlines in assembly coordinates."""

from __future__ import annotations

import math

import pytest
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.outlines.contact import contacts
from service.outlines.drawing import Drawing


def part(shape: BaseGeometry) -> Drawing:
    """A drawing that is this shape."""
    assert isinstance(shape, Polygon)
    return Drawing(MultiPolygon([shape]), (), (), (), "mm", 1.0)


def jigsaw_halves(*, clearance_mm: float) -> tuple[BaseGeometry, BaseGeometry]:
    """Two halves of a plate of 200 × 100 mm whose joint has a round lobe; clearance a side."""
    left = box(0, 0, 100, 100).union(Point(108, 50).buffer(12))
    right = box(0, 0, 200, 100).difference(left)
    return left.buffer(-clearance_mm), right.buffer(-clearance_mm)


@pytest.mark.parametrize("clearance_mm", [0.1, 0.15, 0.29])
def test_halves_of_a_plate_touch_along_their_joint(clearance_mm: float) -> None:
    left, right = jigsaw_halves(clearance_mm=clearance_mm)
    (contact,) = contacts({"U2": part(right), "U1": part(left)})
    assert (contact.a, contact.b) == ("U1", "U2")
    # Straight parts and the lobe: 100 - 2 × 8.944 + 12 × (2 pi - 2 acos(8 / 12)).
    expected = 100 - 2 * math.sqrt(144 - 64) + 12 * (math.tau - 2 * math.acos(8 / 12))
    assert contact.length_mm == pytest.approx(expected, rel=0.03)
    assert left.boundary.distance(Point(contact.midpoint)) < 1e-6
    assert math.dist(contact.midpoint, (109, 50)) < 15


def test_halves_with_a_wide_gap_do_not_touch() -> None:
    left, right = jigsaw_halves(clearance_mm=0.4)
    assert contacts({"U1": part(left), "U2": part(right)}) == ()
    assert len(contacts({"U1": part(left), "U2": part(right)}, gap_mm=1.0)) == 1


def test_a_gap_that_opens_counts_as_far_as_it_is_narrow() -> None:
    wedge = Polygon([(0, 0), (200, -4), (200, -50), (0, -50)])  # the gap reaches 0.6 mm after 30 mm
    (contact,) = contacts({"A": part(box(0, 0, 200, 50)), "B": part(wedge)})
    assert contact.length_mm == pytest.approx(30, rel=0.05)


def test_quarters_touch_their_neighbours_and_not_the_one_across() -> None:
    quarter = (
        Point(0, 0).buffer(200, quad_segs=64).difference(Point(0, 0).buffer(30)).intersection(box(0.15, 0.15, 300, 300))
    )
    parts = {f"U{turn + 1}": part(affinity.rotate(quarter, -90 * turn, origin=(0, 0))) for turn in range(4)}
    assert [(contact.a, contact.b) for contact in contacts(parts)] == [
        ("U1", "U2"),
        ("U1", "U4"),
        ("U2", "U3"),
        ("U3", "U4"),
    ]


def test_corners_that_come_near_are_no_joint() -> None:
    assert contacts({"A": part(box(0, 0, 10, 10)), "B": part(box(10.2, 10.2, 20, 20))}) == ()


def test_parts_over_each_other_are_no_joint() -> None:
    plate = box(0, 0, 100, 50)
    assert contacts({"A": part(plate), "B": part(plate)}) == ()
    assert contacts({"A": part(plate), "B": part(affinity.translate(plate, 50))}) == ()


def test_parts_that_bind_a_little_still_touch() -> None:
    assert len(contacts({"A": part(box(0, 0, 100, 50)), "B": part(box(99.95, 0, 200, 50))})) == 1


def test_a_ring_and_the_disc_in_it_touch() -> None:
    ring = Point(0, 0).buffer(50, quad_segs=64).difference(Point(0, 0).buffer(30, quad_segs=64))
    (contact,) = contacts({"ring": part(ring), "disc": part(Point(0, 0).buffer(29.8, quad_segs=64))})
    assert contact.length_mm == pytest.approx(math.tau * 29.9, rel=1e-3)


def test_nothing_touches_nothing() -> None:
    assert contacts({}) == ()
    assert contacts({"A": part(box(0, 0, 10, 10))}) == ()
