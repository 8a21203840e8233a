"""Closed outlines from curves that meet end to end, in whatever order and direction they were drawn.

Two ends meet when they lie within ``JOIN_MM`` of each other; both then move to the point between them. What stays open
is looked at with suspicion, for an outline with a small gap in it would otherwise vanish and its holes become the part:

* An open end that nearly meets another one is refused (``NEAR_MM``), and so is a chain whose gap is short beside its
  length (``SMALL_GAP``), and one that would hold a closed outline if it were closed.
* Three or more lines that meet in a point are refused: nobody can tell which way the outline runs.
* A line drawn twice is refused.
* Other lines that end freely are taken for centre marks, old engraving or notes, and left out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from service.errors import NoOutline, SelfCrossing
from service.outlines.curves import Curve, Points

JOIN_MM = 0.05
"""Two ends that lie no farther apart than this meet."""
NEAR_MM = 1.0
"""Two open ends that lie no farther apart than this were meant to meet."""
SMALL_GAP = 0.1
"""A chain whose gap is at most this part of its length was meant to be closed."""

CLOSE_IT = f"Close the outline: ends within {JOIN_MM} mm of each other are joined"


@dataclass(frozen=True, slots=True)
class Ring:
    """A closed outline.

    Attributes:
        points: rows of x and y in mm; the first is not repeated at the end.
        place: how a message names it: its entity, or the first and the last of several.
    """

    points: Points
    place: str


@dataclass(frozen=True, slots=True)
class OpenChain:
    """Curves that meet but do not close; ``points`` in mm from one free end to the other."""

    points: Points
    place: str

    @property
    def gap_mm(self) -> float:
        """Distance of the two free ends in mm."""
        return float(math.dist(self.points[0], self.points[-1]))

    @property
    def is_straight(self) -> bool:
        """Whether all points lie on the line between the free ends."""
        along = self.points[-1] - self.points[0]
        length = float(np.hypot(*along))
        if length <= JOIN_MM:
            return False
        offset = self.points - self.points[0]
        return bool(np.abs(offset[:, 0] * along[1] - offset[:, 1] * along[0]).max() <= JOIN_MM * length)

    def sentence(self) -> str:
        """What is wrong, with the gap and the two ends."""
        return f"an outline is open by {self.gap_mm:.3f} mm between {spot(self.points[0])} and {spot(self.points[-1])}"


def spot(point: Sequence[float] | Points) -> str:
    """A point as messages name it, for example ``(12.500, -3.000) mm``."""
    return f"({float(point[0]):.3f}, {float(point[1]):.3f}) mm"


def join(curves: Sequence[Curve], *, name: str, strict: bool = True) -> tuple[list[Ring], list[OpenChain]]:
    """Closed outlines, and the chains that stay open.

    Args:
        curves: the curves of one meaning (what is cut, or what is kept clear).
        name: the file's name, for messages.
        strict: whether forks, repeated lines and suspicious open ends are refused; where engraving strokes lie among
            the curves they are no fault.

    Raises:
        NoOutline: an open chain that was meant to be closed, or an open end that nearly meets another one.
        SelfCrossing: three lines that meet in a point, or a line drawn twice.
    """
    rings = [Ring(curve.points, curve.place) for curve in curves if curve.closed]
    knots = _Knots([curve for curve in curves if not curve.closed])
    if strict:
        _refuse_repeats(knots, name)
        _refuse_forks(knots, name)
    chains: list[OpenChain] = []
    for points, place, closed in knots.walks():
        if closed:
            rings.append(Ring(points, place))
        else:
            chains.append(OpenChain(points, place))
    if strict:
        _refuse_open_ends(chains, rings, name)
    return rings, chains


class _Knots:
    """The open curves and the knots in which their ends meet."""

    def __init__(self, curves: Sequence[Curve]) -> None:
        ends = [tuple(map(float, point)) for curve in curves for point in (curve.points[0], curve.points[-1])]
        group = _grouped(ends)
        # A speck shorter than the joining distance begins and ends in one knot and adds nothing.
        self.curves = [
            (curve, group[2 * index], group[2 * index + 1])
            for index, curve in enumerate(curves)
            if group[2 * index] != group[2 * index + 1] or _length(curve.points) > 4 * JOIN_MM
        ]
        members: dict[int, list[tuple[float, float]]] = defaultdict(list)
        for end, knot in zip(ends, group, strict=True):
            members[knot].append((end[0], end[1]))
        self.position = {knot: np.mean(sorted(points), axis=0) for knot, points in members.items()}
        self.at: dict[int, list[int]] = defaultdict(list)
        for index, (_, begin, end_knot) in enumerate(self.curves):
            self.at[begin].append(index)
            self.at[end_knot].append(index)

    def walks(self) -> list[tuple[Points, str, bool]]:
        """Every chain once: its points, name and whether it closes; chains end where not exactly two curves meet."""
        used: set[int] = set()
        starts = [knot for knot in self.at if len(self.at[knot]) != 2]
        return [
            self._walk(knot, index, used)
            for knot in (*starts, *self.at)
            for index in self.at[knot]
            if index not in used
        ]

    def _walk(self, knot: int, index: int, used: set[int]) -> tuple[Points, str, bool]:
        begin, parts, places = knot, [], []
        while True:
            used.add(index)
            curve, first, last = self.curves[index]
            points = curve.points.copy()
            points[0], points[-1] = self.position[first], self.position[last]
            points, knot = (points, last) if first == knot else (points[::-1], first)
            parts.append(points[:-1])
            places.append(curve.place)
            onward = [other for other in self.at[knot] if other not in used]
            if knot == begin or len(self.at[knot]) != 2 or not onward:
                break
            index = onward[0]
        place = places[0] if len(places) == 1 else f"{places[0]} to {places[-1]}"
        closed = knot == begin
        if not closed:
            parts.append(self.position[knot][None, :])
        return np.concatenate(parts), place, closed


def _grouped(ends: Sequence[tuple[float, ...]]) -> list[int]:
    """For every end the number of its knot: ends within ``JOIN_MM`` share one.

    Ends are sorted into square cells whose diagonal is ``JOIN_MM``, so those of one cell belong together anyway. An end
    is compared with the first few ends of each cell around it; more never lie in one in an honest drawing.
    """
    parent = list(range(len(ends)))

    def root(index: int) -> int:
        while parent[index] != index:
            parent[index] = parent[parent[index]]
            index = parent[index]
        return index

    side = JOIN_MM / math.sqrt(2)
    around = [(right, up) for right in range(-2, 3) for up in range(-2, 3)]
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for index, (x, y) in enumerate(ends):
        column, row = math.floor(x / side), math.floor(y / side)
        for right, up in around:
            for other in cells.get((column + right, row + up), ()):
                if math.dist(ends[other], (x, y)) <= JOIN_MM:
                    parent[root(index)] = root(other)
        own = cells[column, row]
        if len(own) < 16:
            own.append(index)
    return [root(index) for index in range(len(ends))]


def _length(points: Points) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _refuse_repeats(knots: _Knots, name: str) -> None:
    seen: dict[tuple[int, int, float, float, float], str] = {}
    for curve, begin, end in knots.curves:
        centre = curve.points.mean(axis=0)
        key = (
            min(begin, end),
            max(begin, end),
            round(_length(curve.points), 2),
            round(float(centre[0]), 2),
            round(float(centre[1]), 2),
        )
        if key in seen:
            raise SelfCrossing(
                f"a line is drawn twice, over {seen[key]}, from {spot(curve.points[0])}",
                field="file",
                value=name,
                todo="Delete one of the two",
                place=curve.place,
            )
        seen[key] = curve.place


def _refuse_forks(knots: _Knots, name: str) -> None:
    for knot, indices in knots.at.items():
        if len(indices) > 2:
            raise SelfCrossing(
                f"{len(indices)} lines meet at {spot(knots.position[knot])}, so the outline's way is not clear",
                field="file",
                value=name,
                todo="Delete the line that does not belong to the outline, or put it on a layer that is off",
                place=knots.curves[indices[-1]][0].place,
            )


def _refuse_open_ends(chains: Sequence[OpenChain], rings: Sequence[Ring], name: str) -> None:
    inside = shapely.STRtree(shapely.points([ring.points[0] for ring in rings]) if rings else [])
    for chain in chains:
        if chain.is_straight:
            continue
        closed = shapely.make_valid(shapely.Polygon(chain.points)) if len(chain.points) > 2 else shapely.Point()
        if (
            chain.gap_mm <= max(NEAR_MM, SMALL_GAP * _length(chain.points))
            or inside.query(closed, predicate="contains").size
        ):
            raise NoOutline(chain.sentence(), field="file", value=name, todo=CLOSE_IT, place=chain.place)
    ends = [(chain, point) for chain in chains for point in (chain.points[0], chain.points[-1])]
    spots = shapely.points([point for _, point in ends]) if ends else []
    tree = shapely.STRtree(spots)
    for (chain, point), here in zip(ends, spots, strict=True):
        for hit in tree.query(here, predicate="dwithin", distance=NEAR_MM):
            other, there = ends[hit]
            if other is not chain:
                gap_mm = math.dist(point, there)
                raise NoOutline(
                    f"an outline is open by {gap_mm:.3f} mm between {spot(point)} and {spot(there)}",
                    field="file",
                    value=name,
                    todo=CLOSE_IT,
                    place=f"{chain.place} and {other.place}",
                )
