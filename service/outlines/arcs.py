"""Arcs to points, with the exact area and the exact extent.

An arc is parted where it crosses the axes through its centre. The ends of each part lie on the circle; its inner points
lie a little outside, by as much as makes the polygon's area that of the arc, so areas and masses carry no flattening
error and neither does a bounding box.

Bulge: DXF Reference, group code 42: the tangent of a quarter of the arc's angle, positive when it runs anticlockwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

FLATTENING_MM = 0.01
"""Largest distance between a curve and the polygon that stands for it."""

_QUARTER = math.pi / 2
_STRAIGHT_MM = 1e-6  # an arc that rises less than this above its chord is the chord

Point = tuple[float, float]


def arc_points(
    centre: Point, radius: float, start: float, sweep: float, *, tolerance: float = FLATTENING_MM
) -> list[Point]:
    """Points along an arc, both ends included.

    Args:
        centre: the centre.
        radius: the radius, positive, in the same unit.
        start: angle of the first point in radians, anticlockwise from the x axis.
        sweep: signed angle to the last point in radians, positive anticlockwise, at most a full turn.
        tolerance: largest distance from the circle, in the same unit.
    """
    points = [_on_circle(centre, radius, start)]
    angles = _parts(start, sweep)
    for begin, end in pairwise(angles):
        part = end - begin
        count = max(2, math.ceil(abs(part) / _step(radius, tolerance)))
        outer = _equal_area_radius(radius, abs(part), count)
        points.extend(_on_circle(centre, outer, begin + part * index / count) for index in range(1, count))
        points.append(_on_circle(centre, radius, end))
    return points


def bulge_points(start: Point, end: Point, bulge: float, *, tolerance: float = FLATTENING_MM) -> list[Point]:
    """Points along the arc between two vertices of a polyline, without the first one and with the last one.

    Args:
        start: the vertex that carries the bulge.
        end: the next vertex.
        bulge: tangent of a quarter of the arc's angle; positive when the arc runs anticlockwise, 0 for a straight line.
        tolerance: largest distance from the arc, in the same unit.
    """
    chord = math.dist(start, end)
    if chord * abs(bulge) / 2 < _STRAIGHT_MM:
        return [end]
    sweep = 4 * math.atan(bulge)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    # The centre lies on the chord's left for an anticlockwise arc of less than half a turn.
    offset = (1 - bulge * bulge) / (4 * bulge)
    centre = (
        (start[0] + end[0]) / 2 - (end[1] - start[1]) * offset,
        (start[1] + end[1]) / 2 + (end[0] - start[0]) * offset,
    )
    begin = math.atan2(start[1] - centre[1], start[0] - centre[0])
    return [*arc_points(centre, radius, begin, sweep, tolerance=tolerance)[1:-1], end]


def polyline_points(vertices: Sequence[tuple[float, float, float]], *, closed: bool) -> list[Point]:
    """Points along a polyline with bulges; a closed one does not repeat its first point.

    Args:
        vertices: x, y and the bulge of the line from this vertex to the next.
        closed: whether a line runs from the last vertex to the first.
    """
    points: list[Point] = [vertices[0][:2]] if vertices else []
    following: Iterable[tuple[float, float, float]] = (*vertices[1:], vertices[0]) if closed else vertices[1:]
    for here, there in zip(vertices, following, strict=False):
        points.extend(bulge_points(here[:2], there[:2], here[2]))
    return points[:-1] if closed and len(points) > 1 else points


def _parts(start: float, sweep: float) -> list[float]:
    """The angles at which an arc begins, crosses an axis through its centre, and ends."""
    direction = math.copysign(1.0, sweep)
    ahead = start * direction
    first = math.floor(ahead / _QUARTER + 1e-9) + 1
    crossings = []
    while first * _QUARTER < ahead + abs(sweep) - 1e-9:
        crossings.append(first * _QUARTER * direction)
        first += 1
    return [start, *crossings, start + sweep]


def _step(radius: float, tolerance: float) -> float:
    """Largest angle between neighbouring points; a part with one inner point lies 4/3 of the chord's rise outside."""
    rise = 0.75 * tolerance / radius
    return min(_QUARTER / 2, 2 * math.acos(max(-1.0, 1 - rise)))


def _equal_area_radius(radius: float, angle: float, count: int) -> float:
    """Radius of the inner points at which ``count`` chords enclose the sector's area with the centre.

    ½ sin α (2 R r + (n - 2) r²) = ½ R² n α, solved for r, with α the angle of one chord.
    """
    step = angle / count
    ratio = angle / math.sin(step)
    if count == 2:
        return radius * ratio / 2
    return radius * (math.sqrt(1 + (count - 2) * ratio) - 1) / (count - 2)


def _on_circle(centre: Point, radius: float, angle: float) -> Point:
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)
