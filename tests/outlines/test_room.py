"""Room for an engraving: the largest free rectangle clears everything, and none much larger exists."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.errors import BadRequest
from service.outlines.drawing import Drawing
from service.outlines.room import Rectangle, Room, free_area, free_rectangle, label_point


def part(
    *shapes: BaseGeometry,
    zones: tuple[Polygon, ...] = (),
    keepouts: tuple[BaseGeometry, ...] = (),
    hubs: tuple[BaseGeometry, ...] = (),
) -> Drawing:
    """A drawing of some pieces."""
    return Drawing(MultiPolygon(_polygons(shapes)), zones, _polygons(keepouts), _polygons(hubs), "mm", 1.0)


def _polygons(shapes: tuple[BaseGeometry, ...]) -> tuple[Polygon, ...]:
    return tuple(shape for shape in shapes if isinstance(shape, Polygon))


def found(drawing: Drawing, *, aspect: float, angles_deg: tuple[float, ...] | None = None) -> Rectangle:
    """The rectangle, which must be there and of the right ratio."""
    rectangle = (
        free_rectangle(drawing, aspect=aspect)
        if angles_deg is None
        else free_rectangle(drawing, aspect=aspect, angles_deg=angles_deg)
    )
    assert rectangle is not None
    assert rectangle.width_mm / rectangle.height_mm == pytest.approx(aspect)
    return rectangle


@pytest.mark.parametrize("aspect", [0.5, 1.0, 3.0, 6.0])
def test_on_a_plain_plate_it_fills_the_plate_less_the_margin(aspect: float) -> None:
    rectangle = found(part(box(0, 0, 110, 50)), aspect=aspect, angles_deg=(0,))
    assert rectangle.height_mm == pytest.approx(min(40, 100 / aspect), rel=0.02)
    assert rectangle.angle_deg == 0


def test_the_margins_are_kept() -> None:
    drawing = part(box(0, 0, 110, 50).difference(Point(90, 25).buffer(8)))
    rectangle = found(drawing, aspect=2.5)
    assert drawing.material.boundary.distance(rectangle.polygon()) >= 5 - 1e-6


def test_a_turned_plate_is_filled_in_its_own_direction() -> None:
    drawing = part(affinity.rotate(box(0, 0, 200, 40), 37, origin=(0, 0)))
    rectangle = found(drawing, aspect=6)
    assert rectangle.angle_deg == 37
    assert rectangle.height_mm == pytest.approx(30, rel=0.02)


def test_keep_outs_and_hubs_are_cleared() -> None:
    drawing = part(box(0, 0, 200, 60), keepouts=(box(0, 30, 200, 60),), hubs=(Point(180, 15).buffer(10),))
    rectangle = found(drawing, aspect=5)
    assert not rectangle.polygon().intersects(drawing.keepouts[0].buffer(-1e-6))
    assert drawing.hubs[0].distance(rectangle.polygon()) >= 5 - 0.01  # a round margin is itself a polygon
    assert rectangle.height_mm == pytest.approx(25, rel=0.03)


def test_an_engraving_zone_is_used_to_its_border() -> None:
    zone = box(2, 2, 62, 22)
    rectangle = found(part(box(0, 0, 200, 60), zones=(zone,)), aspect=3)
    assert rectangle.width_mm == pytest.approx(60, rel=0.02)
    assert zone.buffer(1e-6).contains(rectangle.polygon())


def test_an_engraving_zone_that_hangs_over_the_edge_counts_only_on_the_material() -> None:
    rectangle = found(part(box(0, 0, 100, 50), zones=(box(60, 10, 140, 40),)), aspect=1, angles_deg=(0,))
    assert box(0, 0, 100, 50).buffer(1e-6).contains(rectangle.polygon())
    assert rectangle.height_mm == pytest.approx(30, rel=0.02)


def test_no_room_is_no_rectangle() -> None:
    assert free_rectangle(part(box(0, 0, 100, 9)), aspect=3) is None
    assert free_rectangle(part(box(0, 0, 100, 50), keepouts=(box(-1, -1, 101, 51),)), aspect=3) is None


@pytest.mark.parametrize("aspect", [0.0, -1.0, math.nan, math.inf])
def test_a_ratio_that_is_none_is_refused(aspect: float) -> None:
    with pytest.raises(BadRequest, match="aspect"):
        free_rectangle(part(box(0, 0, 100, 50)), aspect=aspect)


def test_level_text_is_preferred_where_it_costs_little() -> None:
    assert found(part(Point(0, 0).buffer(60)), aspect=3).angle_deg == 0


@given(
    radii=st.lists(st.floats(25, 120), min_size=5, max_size=16),
    aspect=st.sampled_from([1.5, 4.0, 7.0]),
    hole_at=st.floats(0, math.tau),
)
@settings(max_examples=40, deadline=None)
def test_it_lies_in_the_free_area_and_no_grid_search_beats_it_by_much(
    radii: list[float], aspect: float, hole_at: float
) -> None:
    outline = Polygon(
        [
            (radius * math.cos(math.tau * index / len(radii)), radius * math.sin(math.tau * index / len(radii)))
            for index, radius in enumerate(radii)
        ]
    )
    drawing = part(outline.difference(Point(12 * math.cos(hole_at), 12 * math.sin(hole_at)).buffer(6)))
    free = free_area(drawing)
    rectangle = free_rectangle(drawing, aspect=aspect, angles_deg=(0,))
    if rectangle is not None:
        assert free.buffer(1e-6).contains(rectangle.polygon())
    least = rectangle.height_mm if rectangle else 0.0
    # A plain search over a coarse grid of centres: it must not find anything clearly higher.
    height = least * 1.06 + 1.5
    left, bottom, right, top = drawing.bounds_mm
    for x in range(int(left), int(right), 6):
        for y in range(int(bottom), int(top), 6):
            candidate = box(x - aspect * height / 2, y - height / 2, x + aspect * height / 2, y + height / 2)
            assert not free.contains(candidate)


def test_several_searches_share_one_room() -> None:
    drawing = part(box(0, 0, 110, 50))
    room = Room(drawing)
    assert [room.rectangle(aspect) for aspect in (2.0, 5.0)] == [
        free_rectangle(drawing, aspect=aspect) for aspect in (2.0, 5.0)
    ]


class TestLabelPoint:
    def test_it_is_the_middle_of_a_disc(self) -> None:
        assert label_point(part(Point(30, 40).buffer(20))) == pytest.approx((30, 40), abs=0.2)

    def test_it_lies_on_the_material_also_of_a_ring(self) -> None:
        drawing = part(Point(0, 0).buffer(50).difference(Point(0, 0).buffer(30)))
        assert drawing.material.contains(Point(label_point(drawing)))

    def test_it_lies_on_the_largest_piece(self) -> None:
        assert label_point(part(box(0, 0, 10, 10), box(20, 0, 60, 40))) == pytest.approx((40, 20), abs=0.2)
