"""Regions bounded by lines and circles, with every corner rounded by a true tangent arc.

Guides between star wheels are such regions: an arc concentric with each star, closed by straight edges. The boundaries
are given counter-clockwise, so that the material lies to the left of the walk.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin, sqrt

from service.demo.contour import Contour, Point, Vertex, bearing, bulge_of, polar


@dataclass(frozen=True, slots=True)
class Straight:
    """A line through a point, walked in a direction, material on its left."""

    through: Point
    heading_deg: float

    def inset(self, by_mm: float) -> Straight:
        """The line shifted into the material."""
        return Straight(polar(by_mm, self.heading_deg + 90.0, self.through), self.heading_deg)

    def foot(self, point: Point) -> Point:
        """The nearest point of the line."""
        c, s = cos(radians(self.heading_deg)), sin(radians(self.heading_deg))
        along = (point.x - self.through.x) * c + (point.y - self.through.y) * s
        return Point(self.through.x + along * c, self.through.y + along * s)


@dataclass(frozen=True, slots=True)
class Round:
    """A circle with the material inside it (walked counter-clockwise) or outside it (walked clockwise)."""

    centre: Point
    radius_mm: float
    material_inside: bool = False

    def inset(self, by_mm: float) -> Round:
        """The circle shrunk or grown into the material."""
        radius_mm = self.radius_mm - by_mm if self.material_inside else self.radius_mm + by_mm
        return Round(self.centre, radius_mm, self.material_inside)

    def foot(self, point: Point) -> Point:
        """The nearest point of the circle."""
        return polar(self.radius_mm, bearing(self.centre, point), self.centre)

    def bulge(self, start: Point, end: Point) -> float:
        """The bulge of the arc walked from ``start`` to ``end``."""
        sweep = (bearing(self.centre, end) - bearing(self.centre, start)) % 360.0
        return bulge_of(sweep if self.material_inside else sweep - 360.0)


Boundary = Straight | Round


@dataclass(frozen=True, slots=True)
class Corner:
    """The end of one boundary and the beginning of the next.

    Attributes:
        boundary: the boundary that ends here.
        near: a point near the corner, to choose among several crossings.
        radius_mm: the radius of the rounding.
    """

    boundary: Boundary
    near: Point
    radius_mm: float


def bounded(corners: Sequence[Corner]) -> Contour:
    """The region inside all boundaries, counter-clockwise.

    Args:
        corners: the boundaries in counter-clockwise order, each with the corner where it ends.

    Raises:
        ValueError: two boundaries that follow each other do not meet.
    """
    vertices: list[Vertex] = []
    starts: list[Point] = []
    for index, corner in enumerate(corners):
        following = corners[(index + 1) % len(corners)].boundary
        centre = _nearest(
            _crossings(corner.boundary.inset(corner.radius_mm), following.inset(corner.radius_mm)), corner.near
        )
        end, start = corner.boundary.foot(centre), following.foot(centre)
        turn = (bearing(centre, start) - bearing(centre, end)) % 360.0
        vertices.append(Vertex(*end, bulge_of(turn)))
        starts.append(start)
    walked: list[Vertex] = []
    for index, corner in enumerate(corners):
        start, end = starts[index - 1], vertices[index].point
        bulge = corner.boundary.bulge(start, end) if isinstance(corner.boundary, Round) else 0.0
        walked += [Vertex(*start, bulge), vertices[index]]
    return Contour(tuple(walked))


def _nearest(points: Sequence[Point], near: Point) -> Point:
    if not points:
        raise ValueError(f"no corner near {near}: the boundaries do not meet")
    return min(points, key=lambda point: hypot(point.x - near.x, point.y - near.y))


def _crossings(first: Boundary, second: Boundary) -> tuple[Point, ...]:
    if isinstance(first, Straight) and isinstance(second, Straight):
        return _straight_and_straight(first, second)
    if isinstance(first, Round) and isinstance(second, Round):
        return _round_and_round(first, second)
    line, ring = (first, second) if isinstance(first, Straight) else (second, first)
    assert isinstance(line, Straight)
    assert isinstance(ring, Round)
    foot = line.foot(ring.centre)
    half = ring.radius_mm**2 - (foot.x - ring.centre.x) ** 2 - (foot.y - ring.centre.y) ** 2
    if half < 0.0:
        return ()
    return tuple(polar(sign * sqrt(half), line.heading_deg, foot) for sign in (-1.0, 1.0))


def _straight_and_straight(first: Straight, second: Straight) -> tuple[Point, ...]:
    turn = radians(second.heading_deg - first.heading_deg)
    if abs(sin(turn)) < 1e-12:
        return ()
    foot = second.foot(first.through)
    away = hypot(foot.x - first.through.x, foot.y - first.through.y)
    if away == 0.0:
        return (first.through,)
    along = away / cos(radians(bearing(first.through, foot) - first.heading_deg))
    return (polar(along, first.heading_deg, first.through),)


def _round_and_round(first: Round, second: Round) -> tuple[Point, ...]:
    apart = hypot(second.centre.x - first.centre.x, second.centre.y - first.centre.y)
    along = (apart**2 + first.radius_mm**2 - second.radius_mm**2) / (2.0 * apart)
    half = first.radius_mm**2 - along**2
    if half < 0.0:
        return ()
    spread = degrees(atan2(sqrt(half), along))
    towards = bearing(first.centre, second.centre)
    return tuple(polar(first.radius_mm, towards + sign * spread, first.centre) for sign in (-1.0, 1.0))
