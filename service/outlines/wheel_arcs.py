"""Arcs in a flattened outline, and the axis of the wheel that a part belongs to or stands beside.

A cut file in assembly coordinates is drawn about the wheel of its assembly: the star wheel itself, or the one that a
guide leads containers round (common practice, no source). Where the drawing shows that wheel, by a hub or by an arc
about the origin, its axis is the centre of the machine for a person who reads the part in its place.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LinearRing, LineString, Polygon

from service.outlines.drawing import Drawing

Point = tuple[float, float]
KnownBy = Literal["hub", "origin", "arcs"]

FIT_MM = 0.03
"""Farthest that a point of a flattened arc lies from its circle: twice the flattening, and rounding in the file."""
SAME_CENTRE_MM = 0.5
"""Two hubs whose centres lie nearer than this have one axis."""
WHEEL_RADIUS_MM = 20.0
"""A tighter arc is the rounding of a corner or a joint."""
WIDEST_POCKET_MM = 60.0
"""Radius of the widest pocket; without an axis on record an arc must be wider than this to tell of a wheel."""
SHORTEST_SWEEP_DEG = 4.0
WIDE_SWEEP_DEG = 10.0
"""A centre that is known by an arc alone is taken from one that goes round at least this far."""
_ALIKE = 0.3  # most that the curvature changes from point to point along one arc
_CHORD = 0.6  # longest chord of a flattened arc, over the root of its radius: four times the flattening


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc in an outline.

    Attributes:
        centre: in mm.
        radius_mm: of its circle.
        convex: whether the material lies on the side of the centre, as on the tips of a star wheel; in a pocket and on
            the working edge of a guide it does not.
        sweep_deg: how far it goes round.
        line: the stretch of the outline, in mm.
    """

    centre: Point
    radius_mm: float
    convex: bool
    sweep_deg: float
    line: LineString

    @property
    def wide(self) -> bool:
        """Whether it is more than the rounding of a corner or a joint."""
        return self.radius_mm >= WHEEL_RADIUS_MM

    def about(self, centre: Point) -> bool:
        """Whether the arc turns about this point. A short arc does not say well where its own centre is."""
        distances = np.hypot(*(shapely.get_coordinates(self.line) - centre).T)
        return bool(np.ptp(distances) <= 2 * FIT_MM)


@dataclass(frozen=True, slots=True)
class Axis:
    """The centre that the tops of letters point to.

    Attributes:
        at: in mm, in the coordinates of the assembly.
        known_by: ``hub`` what covers the part round its shaft; ``origin`` an arc about the origin of the assembly;
            ``arcs`` an arc wider than any pocket.
    """

    at: Point
    known_by: KnownBy


def outline_arcs(ring: LinearRing) -> tuple[Arc, ...]:
    """The arcs in the outside of a part, wide enough for a wheel or a pocket, in the order of the outline."""
    points = np.asarray(Polygon(ring).exterior.coords, dtype=np.float64)[:-1]
    if len(points) < 4:
        return ()
    if not ring.is_ccw:
        points = points[::-1]
    bend = _curvature(points)
    start = _sharpest(bend)
    points, bend = np.roll(points, -start, axis=0), np.roll(bend, -start)
    closed = np.vstack([points, points[:1]])
    found = []
    for first, last in _runs(bend):
        arc = _fitted(closed[max(0, first - 1) : last + 2], convex=bool(bend[first] > 0))
        if arc is not None:
            found.append(arc)
    return tuple(found)


def axis_of(drawing: Drawing, around: Sequence[Drawing] = ()) -> Axis | None:
    """The axis that a part belongs to, or nothing where neither it nor its assembly shows one.

    Args:
        drawing: the part.
        around: the other parts of its assembly, in the same coordinates.
    """
    for hubs in (drawing.hubs, [hub for other in around for hub in other.hubs]):
        centre = _one_centre(_centre_of(hub) for hub in hubs)
        if centre is not None:
            return Axis(centre, "hub")
    arcs = _wheel_arcs(drawing)
    others = [arc for other in around for arc in _wheel_arcs(other)]
    for some in (arcs, others):
        if any(arc.about((0.0, 0.0)) for arc in some):
            return Axis((0.0, 0.0), "origin")
    wide = [arc for arc in arcs if arc.radius_mm > WIDEST_POCKET_MM and arc.sweep_deg >= WIDE_SWEEP_DEG]
    if not wide:
        return None
    # What guides is hollow; of a wheel whose hub is not drawn the tips of its lands are left.
    hollow = [arc for arc in wide if not arc.convex] or wide
    longest = max(hollow, key=lambda arc: sum(other.line.length for other in arcs if other.about(arc.centre)))
    return Axis(longest.centre, "arcs")


def _wheel_arcs(drawing: Drawing) -> list[Arc]:
    """Arcs of the outsides; a disc by itself turns about nothing but itself and tells of no wheel."""
    return [
        arc
        for part in drawing.material.geoms
        for arc in outline_arcs(part.exterior)
        if arc.wide and arc.sweep_deg < 300
    ]


def _centre_of(hub: Polygon) -> Point:
    """The middle of a hub: of its widest arc, since only a sector of it may be drawn, else of its area."""
    arcs = outline_arcs(hub.exterior)
    if arcs:
        return max(arcs, key=lambda arc: arc.line.length).centre
    return float(hub.centroid.x), float(hub.centroid.y)


def _one_centre(centres: Iterable[Point]) -> Point | None:
    """The centre that all share; clamps and feet all over a part are no axis."""
    found = list(centres)
    if not found or any(math.dist(found[0], other) > SAME_CENTRE_MM for other in found):
        return None
    return found[0]


def _curvature(points: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """One over the radius of the circle through each point and its neighbours, positive where the line turns left."""
    before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
    a, b, chord = points - before, after - points, after - before
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    lengths = np.hypot(*a.T) * np.hypot(*b.T) * np.hypot(*chord.T)
    return np.asarray(2 * cross / np.maximum(lengths, 1e-12))


def _sharpest(bend: npt.NDArray[np.float64]) -> int:
    """Where to begin so that no arc is parted: at the point whose curvature differs most from that before it."""
    return int(np.argmax(np.abs(bend - np.roll(bend, 1))))


def _runs(bend: npt.NDArray[np.float64]) -> Iterable[tuple[int, int]]:
    """First and last index of points in a row that bend alike."""
    first = 0
    for index in range(1, len(bend) + 1):
        if index < len(bend):
            one, other = bend[index - 1], bend[index]
            if one * other > 0 and abs(one - other) <= _ALIKE * max(abs(one), abs(other)):
                continue
        if index - first >= 2:
            yield first, index - 1
        first = index


def _fitted(points: npt.NDArray[np.float64], *, convex: bool) -> Arc | None:
    """The arc through a run of points; its first and last point are left out where they belong to what comes next."""
    for ends in ((0, 0), (1, 0), (0, 1), (1, 1)):
        inner = points[ends[0] : len(points) - ends[1]]
        if len(inner) < 4:
            continue
        centre, radius = _circle(inner)
        distances = np.hypot(*(inner - centre).T)
        if not math.isfinite(radius) or np.abs(distances - radius).max() > FIT_MM:
            continue
        if np.hypot(*np.diff(inner, axis=0).T).max() > _CHORD * math.sqrt(radius):
            continue  # the corners of a rectangle lie on a circle too
        turns = np.unwrap(np.arctan2(*(inner - centre).T[::-1]))
        sweep_deg = abs(math.degrees(turns[-1] - turns[0]))
        if sweep_deg < SHORTEST_SWEEP_DEG:
            return None
        return Arc((float(centre[0]), float(centre[1])), radius, convex, sweep_deg, LineString(inner))
    return None


def _circle(points: npt.NDArray[np.float64]) -> tuple[npt.NDArray[np.float64], float]:
    """The circle through points by least squares (Kåsa: linear in the centre and in r² - c²)."""
    middle = points.mean(axis=0)
    moved = points - middle
    matrix = np.column_stack([2 * moved, np.ones(len(moved))])
    (x, y, rest), *_ = np.linalg.lstsq(matrix, (moved**2).sum(axis=1), rcond=None)
    return middle + np.array([x, y]), math.sqrt(max(rest + x * x + y * y, 0.0))
