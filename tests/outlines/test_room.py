"""A rectangle on a part, and the point where a label sits best."""

from __future__ import annotations

import pytest
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.outlines.drawing import Drawing
from service.outlines.room import Rectangle, label_point


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


def test_a_rectangle_is_turned_about_its_centre() -> None:
    rectangle = Rectangle((30.0, 40.0), 20.0, 10.0, 90.0)
    assert rectangle.polygon().symmetric_difference(box(25, 30, 35, 50)).area == pytest.approx(0, abs=1e-9)


class TestLabelPoint:
    def test_it_is_the_middle_of_a_disc(self) -> None:
        assert label_point(part(Point(30, 40).buffer(20))) == pytest.approx((30, 40), abs=0.2)

    def test_it_lies_on_the_material_also_of_a_ring(self) -> None:
        drawing = part(Point(0, 0).buffer(50).difference(Point(0, 0).buffer(30)))
        assert drawing.material.contains(Point(label_point(drawing)))

    def test_it_lies_on_the_largest_piece(self) -> None:
        assert label_point(part(box(0, 0, 10, 10), box(20, 0, 60, 40))) == pytest.approx((40, 20), abs=0.2)
