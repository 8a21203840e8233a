"""Contours and parts as shapely polygons, by walking their edges: independent of any DXF."""

from __future__ import annotations

from shapely import Point as Spot
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from service.demo.contour import Contour, Point
from service.demo.part import Disc, Freeform, Part


def walked(contour: Contour, *, steps: int = 200) -> list[Point]:
    """Points along the contour, ``steps`` on every edge."""
    edges = list(contour.edges())
    spots = [edge.at(step / steps) for edge in edges for step in range(steps)]
    return spots if contour.closed else [*spots, edges[-1].end]


def polygon(shape: Contour | Disc | Freeform, *, steps: int = 60) -> Polygon:
    """The area inside a contour or a circle; a spline is left to a DXF reader."""
    assert not isinstance(shape, Freeform)
    if isinstance(shape, Disc):
        return Spot(shape.centre).buffer(shape.radius_mm, quad_segs=steps)
    return Polygon(walked(shape, steps=steps))


def material(part: Part, *, steps: int = 60) -> Polygon:
    """The part without its holes; every hole must lie inside it."""
    left: BaseGeometry = polygon(part.outline, steps=steps)
    for hole in part.holes:
        assert left.contains(polygon(hole, steps=steps))
        left = left - polygon(hole, steps=steps)
    assert isinstance(left, Polygon)
    return left
