"""Entities to points: every kind of entity that an outline is drawn with becomes a row of points in millimetres.

Arcs, circles, ellipses and bulges keep their exact area (see ``arcs``); splines are flattened with points on the curve,
none farther than ``FLATTENING_MM`` from it. Everything must lie flat: heights are left out, and an entity whose own
points differ in height is refused. Entities drawn from below (extrusion 0, 0, -1) are mirrored as the drawing shows
them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import islice, pairwise
from typing import cast

import numpy as np
import numpy.typing as npt
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.ellipse import Ellipse
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline
from ezdxf.lldxf.const import DXFError
from ezdxf.math import Vec3

from service.errors import BadCutFile
from service.outlines.arcs import FLATTENING_MM, arc_points, polyline_points
from service.outlines.entities import ShownCurve

Points = npt.NDArray[np.float64]
"""Rows of x and y in millimetres."""

MAX_COORDINATE_MM = 1e6
"""Farthest from the origin that anything may lie: a kilometre, well beyond any assembly."""
MAX_POINTS = 400_000
"""Most points of one entity after flattening."""
MAX_SPLINE_DEGREE = 12
_LEVEL_MM = 0.05  # most that the heights of the points of one entity may differ


@dataclass(frozen=True, slots=True)
class Curve:
    """One entity as points.

    Attributes:
        points: rows of x and y in mm, without repeated neighbours; a closed one does not repeat its first point.
        closed: whether the entity itself says that it is closed.
        layer: the layer that it lies on.
        place: how a message names it.
    """

    points: Points
    closed: bool
    layer: str
    place: str


class _Unusable(Exception):
    """The text says why an entity is no usable curve."""


def curve_of(shown: ShownCurve, *, mm_per_unit: float, name: str) -> Curve:
    """The points of an entity.

    Args:
        shown: the entity.
        mm_per_unit: millimetres in one unit of the drawing.
        name: the file's name, for messages.

    Raises:
        BadCutFile: the entity lacks a value, has one that cannot be, is not flat or lies farther than
            ``MAX_COORDINATE_MM`` from the origin.
    """
    try:
        points, closed = _READERS[shown.entity.dxftype()](shown.entity, mm_per_unit)
        return Curve(_distinct(points, closed=closed), closed, shown.layer, shown.place)
    except _Unusable as unusable:
        reason = str(unusable)
    except (DXFError, ArithmeticError, ValueError, TypeError, AttributeError, LookupError, RecursionError) as error:
        reason = f"its definition is wrong ({type(error).__name__})"
    raise BadCutFile(
        reason,
        field="file",
        value=name,
        todo="Correct or delete this entity and save the drawing again",
        place=shown.place,
    )


def _line(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    line = cast("Line", entity)
    _need(line, "start", "end")
    return _level([line.dxf.start, line.dxf.end], scale), False


def _arc(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    arc = cast("Arc", entity)
    _need(arc, "center", "radius", "start_angle", "end_angle")
    begin, end = float(arc.dxf.start_angle), float(arc.dxf.end_angle)
    if not (math.isfinite(begin) and math.isfinite(end)):
        raise _Unusable("an angle is no number")
    sweep = (end - begin) % 360
    if sweep == 0:
        return _circle(entity, scale)
    return _round(arc, scale, math.radians(begin), math.radians(sweep)), False


def _circle(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    circle = cast("Circle", entity)
    _need(circle, "center", "radius")
    return _round(circle, scale, 0.0, math.tau)[:-1], True


def _round(entity: Arc | Circle, scale: float, start: float, sweep: float) -> Points:
    centre, radius = Vec3(entity.dxf.center) * scale, float(entity.dxf.radius) * scale
    _reachable([(centre.x, centre.y), (radius, 0.0)])
    if radius <= 0:
        raise _Unusable("its radius is not positive")
    return _seen_from_above(entity, np.array(arc_points((centre.x, centre.y), radius, start, sweep)))


def _ellipse(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    """An ellipse is the flattened unit circle, stretched: that keeps the exact area too."""
    ellipse = cast("Ellipse", entity)
    _need(ellipse, "center", "major_axis", "ratio")
    major = Vec3(ellipse.dxf.major_axis) * scale
    minor = Vec3(ellipse.dxf.extrusion).normalize().cross(major) * float(ellipse.dxf.ratio)
    centre = Vec3(ellipse.dxf.center) * scale
    start, end = float(ellipse.dxf.get("start_param", 0.0)), float(ellipse.dxf.get("end_param", math.tau))
    _reachable([(start, end), *((vector.x, vector.y) for vector in (centre, major, minor))])
    if abs(major.z) > _LEVEL_MM or abs(minor.z) > _LEVEL_MM:
        raise _Unusable("it does not lie flat")
    size = max(major.magnitude, minor.magnitude)
    if min(major.magnitude, minor.magnitude) < 1e-6:
        raise _Unusable("one of its axes has no length")
    sweep = (end - start) % math.tau
    full = min(sweep, math.tau - sweep) < 1e-9
    unit = np.array(arc_points((0.0, 0.0), 1.0, start, math.tau if full else sweep, tolerance=FLATTENING_MM / size))
    points = unit @ np.array([[major.x, major.y], [minor.x, minor.y]]) + np.array([centre.x, centre.y])
    return (points[:-1] if full else points), full


def _lwpolyline(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    polyline = cast("LWPolyline", entity)
    vertices = [(x * scale, y * scale, bulge) for x, y, bulge in polyline.get_points("xyb")]
    return _vertices(polyline, vertices, closed=bool(polyline.closed))


def _polyline(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    polyline = cast("Polyline", entity)
    # Vertices of a spline frame only control the curve that the other vertices follow.
    drawn = [vertex for vertex in polyline.vertices if not vertex.dxf.get("flags", 0) & 0b1_0000]
    if polyline.is_2d_polyline:
        vertices = [
            (at.x * scale, at.y * scale, float(vertex.dxf.get("bulge", 0.0)))
            for vertex, at in ((vertex, Vec3(vertex.dxf.location)) for vertex in drawn)
        ]
        return _vertices(polyline, vertices, closed=bool(polyline.is_closed))
    if polyline.is_3d_polyline:
        return _level([vertex.dxf.location for vertex in drawn], scale), bool(polyline.is_closed)
    raise _Unusable("it is a surface, not a line")


def _vertices(
    entity: LWPolyline | Polyline, vertices: list[tuple[float, float, float]], *, closed: bool
) -> tuple[Points, bool]:
    if len(vertices) < 2:
        raise _Unusable("it has fewer than two points")
    _reachable(vertex[:2] for vertex in vertices)
    if not all(math.isfinite(vertex[2]) for vertex in vertices):
        raise _Unusable("a bulge is no number")
    return _seen_from_above(entity, np.array(polyline_points(vertices, closed=closed))), closed


def _spline(entity: DXFGraphic, scale: float) -> tuple[Points, bool]:
    spline = cast("Spline", entity)
    if not 1 <= spline.dxf.degree <= MAX_SPLINE_DEGREE:
        raise _Unusable(f"its degree is not between 1 and {MAX_SPLINE_DEGREE}")
    knots, weights = list(spline.knots), list(spline.weights)
    if not all(math.isfinite(knot) for knot in knots) or any(after < before for before, after in pairwise(knots)):
        raise _Unusable("its knots do not rise")
    if not all(math.isfinite(weight) and 0 < weight < 1e6 for weight in weights):
        raise _Unusable("a weight is not positive")
    _level([Vec3(at) for at in (*spline.control_points, *spline.fit_points)], scale)
    flattened = list(islice(spline.flattening(FLATTENING_MM / scale), MAX_POINTS + 1))
    if len(flattened) > MAX_POINTS:
        raise _Unusable(f"it needs more than {MAX_POINTS:,} points")
    return _level(flattened, scale), False


_READERS: dict[str, Callable[[DXFGraphic, float], tuple[Points, bool]]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}


def _need(entity: DXFGraphic, *attributes: str) -> None:
    for attribute in attributes:
        if not entity.dxf.hasattr(attribute):
            raise _Unusable(f"its {attribute.replace('_', ' ')} is missing")


def _reachable(pairs: Iterable[tuple[float, float]]) -> None:
    for pair in pairs:
        for value in pair:
            if not math.isfinite(value):
                raise _Unusable("a coordinate is no number")
            if abs(value) > MAX_COORDINATE_MM:
                raise _Unusable("it lies more than a kilometre from the origin or is larger than that; check the units")


def _level(points: Iterable[Vec3], scale: float) -> Points:
    """World points in mm without their heights, which must agree."""
    scaled = [Vec3(point) * scale for point in points]
    _reachable((point.x, point.y) for point in scaled)
    heights = [point.z for point in scaled]
    if not heights:
        raise _Unusable("it has no points")
    if not max(heights) - min(heights) <= _LEVEL_MM:  # also when a height is no number
        raise _Unusable("it does not lie flat")
    return np.array([(point.x, point.y) for point in scaled])


def _seen_from_above(entity: DXFGraphic, points: Points) -> Points:
    """Points of an entity's own plane as world points; the plane must be level, seen from above or from below.

    Source: DXF Reference, "Arbitrary axis algorithm": seen from below, x runs the other way.
    """
    normal = Vec3(entity.dxf.get("extrusion", Vec3(0, 0, 1)))
    if not abs(normal.normalize().z) > 1 - 1e-9:
        raise _Unusable("it does not lie flat")
    return points * np.array([-1.0, 1.0]) if normal.z < 0 else points


def _distinct(points: Points, *, closed: bool) -> Points:
    """The points without neighbours that repeat each other."""
    following = np.roll(points, -1, axis=0)
    keep = np.hypot(*(following - points).T) > 1e-7
    if not closed:
        keep[-1] = True
    return points[keep] if keep.any() else points[:1]
