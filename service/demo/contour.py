"""Contours of straight lines and true arcs: the vertices and bulges of a DXF polyline.

A vertex carries the bulge of the edge that leaves it: tan(sweep / 4), positive counter-clockwise, 0 for a straight
line (DXF group code 42). All lengths are millimetres, all angles degrees counted counter-clockwise from +x.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, inf, radians, sin, sqrt, tan
from typing import NamedTuple

_TINY_MM = 1e-9
_SAME_MM = 1e-6


class Point(NamedTuple):
    """A point or a vector, in millimetres."""

    x: float
    y: float


class Vertex(NamedTuple):
    """A corner, and the bulge of the edge that leaves it."""

    x: float
    y: float
    bulge: float = 0.0

    @property
    def point(self) -> Point:
        """The corner alone."""
        return Point(self.x, self.y)


class Hit(NamedTuple):
    """Where a contour is met: the index of the edge and the fraction of its length from its start."""

    edge: int
    fraction: float


def polar(radius_mm: float, angle_deg: float, centre: tuple[float, float] = (0.0, 0.0)) -> Point:
    """The point at a radius and an angle about a centre."""
    angle = radians(angle_deg)
    return Point(centre[0] + radius_mm * cos(angle), centre[1] + radius_mm * sin(angle))


def bearing(start: tuple[float, float], end: tuple[float, float]) -> float:
    """The direction from one point to another, degrees in (-180, 180]."""
    return degrees(atan2(end[1] - start[1], end[0] - start[0]))


def turned_by(bulge: float) -> float:
    """The sweep of an edge with this bulge, degrees; negative is clockwise."""
    return degrees(4.0 * atan2(bulge, 1.0))


def bulge_of(sweep_deg: float) -> float:
    """The bulge of an arc of this sweep; the sweep must be less than a full turn."""
    return tan(radians(sweep_deg) / 4.0)


@dataclass(frozen=True, slots=True)
class Edge:
    """One side of a contour, a line or an arc."""

    start: Point
    end: Point
    bulge: float

    @property
    def chord_mm(self) -> float:
        """The straight distance from start to end."""
        return hypot(self.end.x - self.start.x, self.end.y - self.start.y)

    @property
    def radius_mm(self) -> float:
        """The radius of the arc; infinite for a line."""
        if self.bulge == 0.0:
            return inf
        return self.chord_mm * (1.0 + self.bulge**2) / (4.0 * abs(self.bulge))

    @property
    def centre(self) -> Point:
        """The centre of the arc; only an edge with a bulge has one."""
        middle_x, middle_y = (self.start.x + self.end.x) / 2.0, (self.start.y + self.end.y) / 2.0
        # From the middle of the chord the centre lies (1 - b²) / 4b chords to the left.
        reach = (1.0 - self.bulge**2) / (4.0 * self.bulge)
        return Point(
            middle_x - (self.end.y - self.start.y) * reach,
            middle_y + (self.end.x - self.start.x) * reach,
        )

    @property
    def heading_deg(self) -> float:
        """The direction in which the edge leaves its start."""
        return bearing(self.start, self.end) - turned_by(self.bulge) / 2.0

    @property
    def arrival_deg(self) -> float:
        """The direction in which the edge reaches its end."""
        return bearing(self.start, self.end) + turned_by(self.bulge) / 2.0

    def at(self, fraction: float) -> Point:
        """The point at a fraction of the length."""
        if self.bulge == 0.0:
            return Point(
                self.start.x + (self.end.x - self.start.x) * fraction,
                self.start.y + (self.end.y - self.start.y) * fraction,
            )
        return polar(
            self.radius_mm, bearing(self.centre, self.start) + turned_by(self.bulge) * fraction, centre=self.centre
        )

    def met_by(self, start: Point, end: Point) -> tuple[tuple[float, float], ...]:
        """Where a line meets this edge: pairs of the fraction of the edge and the fraction of the line."""
        run = Point(end.x - start.x, end.y - start.y)
        if self.bulge == 0.0:
            own = Point(self.end.x - self.start.x, self.end.y - self.start.y)
            cross = own.x * run.y - own.y * run.x
            if abs(cross) < _TINY_MM:
                return ()
            away = Point(start.x - self.start.x, start.y - self.start.y)
            pairs = [((away.x * run.y - away.y * run.x) / cross, (away.x * own.y - away.y * own.x) / cross)]
        else:
            centre, sweep = self.centre, turned_by(self.bulge)
            away = Point(start.x - centre.x, start.y - centre.y)
            a = run.x**2 + run.y**2
            half_b = away.x * run.x + away.y * run.y
            root = half_b**2 - a * (away.x**2 + away.y**2 - self.radius_mm**2)
            if root < 0.0:
                return ()
            pairs = []
            for sign in (-1.0, 1.0):
                along = (-half_b + sign * sqrt(root)) / a
                angle = bearing(centre, Point(start.x + run.x * along, start.y + run.y * along))
                turn = angle - bearing(centre, self.start)
                turn = turn % 360.0 if sweep > 0 else -(-turn % 360.0)
                pairs.append((turn / sweep, along))
        return tuple(pair for pair in pairs if 0.0 <= pair[0] < 1.0 and 0.0 <= pair[1] <= 1.0)


@dataclass(frozen=True, slots=True)
class Contour:
    """A chain of edges; closed, its last vertex leads back to the first."""

    vertices: tuple[Vertex, ...]
    closed: bool = True

    def edges(self) -> Iterator[Edge]:
        """The edges in order."""
        following = self.vertices[1:] + (self.vertices[:1] if self.closed else ())
        for vertex, after in zip(self.vertices, following, strict=False):
            yield Edge(vertex.point, after.point, vertex.bulge)

    def turned(self, angle_deg: float) -> Contour:
        """Turned about the origin."""
        c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
        return Contour(tuple(Vertex(x * c - y * s, x * s + y * c, b) for x, y, b in self.vertices), self.closed)

    def moved(self, dx_mm: float, dy_mm: float) -> Contour:
        """Shifted."""
        return Contour(tuple(Vertex(x + dx_mm, y + dy_mm, b) for x, y, b in self.vertices), self.closed)

    def mirrored(self) -> Contour:
        """Left and right exchanged, and walked backwards so that a counter-clockwise contour stays so."""
        return Contour(tuple(Vertex(-x, y, -b) for x, y, b in self.vertices), self.closed).reversed()

    def reversed(self) -> Contour:
        """The same chain walked the other way."""
        edges = list(self.edges())
        back = [Vertex(edge.end.x, edge.end.y, -edge.bulge) for edge in edges[::-1]]
        if not self.closed:
            back.append(Vertex(*self.vertices[0].point))
        return Contour(tuple(back), self.closed)

    def offset(self, left_mm: float) -> Contour:
        """Every edge shifted to the left of the walk; the chain must be open and smooth, without a kink."""
        headings = [edge.heading_deg for edge in self.edges()]
        headings.append(list(self.edges())[-1].arrival_deg)
        shifted = []
        for vertex, heading in zip(self.vertices, headings, strict=True):
            x, y = polar(left_mm, heading + 90.0, centre=vertex.point)
            shifted.append(Vertex(x, y, vertex.bulge))
        return Contour(tuple(shifted), closed=False)

    def hit_by(self, start: Point, end: Point) -> Hit:
        """The first place where the line from ``start`` to ``end`` meets the contour.

        Raises:
            ValueError: the line misses the contour.
        """
        hits = [
            (along, Hit(index, fraction))
            for index, edge in enumerate(self.edges())
            for fraction, along in edge.met_by(start, end)
        ]
        if not hits:
            raise ValueError(f"the line from {start} to {end} misses the contour")
        return min(hits)[1]

    def place(self, hit: Hit) -> Point:
        """The point of a hit."""
        return list(self.edges())[hit.edge].at(hit.fraction)

    def between(self, first: Hit, last: Hit) -> Contour:
        """The open part of a closed contour from one place forward to another."""
        edges = list(self.edges())
        start, end = self.place(first), self.place(last)
        if first.edge == last.edge and first.fraction < last.fraction:
            bulge = bulge_of(turned_by(edges[first.edge].bulge) * (last.fraction - first.fraction))
            return Contour((Vertex(*start, bulge), Vertex(*end)), closed=False)
        chain = [Vertex(*start, bulge_of(turned_by(edges[first.edge].bulge) * (1.0 - first.fraction)))]
        index = (first.edge + 1) % len(edges)
        while index != last.edge:
            chain.append(Vertex(*edges[index].start, edges[index].bulge))
            index = (index + 1) % len(edges)
        if last.fraction > 0.0:
            chain.append(Vertex(*edges[last.edge].start, bulge_of(turned_by(edges[last.edge].bulge) * last.fraction)))
        chain.append(Vertex(*end))
        return Contour(tuple(chain), closed=False)


def chained(*chains: Contour) -> Contour:
    """One open chain of several laid end to end; where two ends differ a straight line closes the gap."""
    vertices: list[Vertex] = []
    for chain in chains:
        for vertex in chain.vertices:
            if vertices and _same(vertices[-1], vertex):
                vertices.pop()
            vertices.append(vertex)
    return Contour(tuple(vertices), closed=False)


def joined(*chains: Contour) -> Contour:
    """One closed contour of open chains laid end to end, as ``chained``, and from the last back to the first."""
    vertices = chained(*chains).vertices
    return Contour(vertices[:-1] if _same(vertices[-1], vertices[0]) else vertices)


def _same(one: Vertex, other: Vertex) -> bool:
    return hypot(one.x - other.x, one.y - other.y) < _SAME_MM
