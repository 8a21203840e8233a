"""What a router does to engrave a mark and to cut a part out, as moves of the tool.

In millimetres, Z 0 on the upper face of the sheet, whatever dialect the control reads.

Engraving comes before the profile: a part that hangs in its sheet lies still. Holes come before the outside contour,
which leaves bridges at its foot.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from schemas.router import Router, RouterTool
from service.marks.strokes import Point, Stroke

JOIN_MM = 1e-6
"""Ends of strokes that lie nearer than this are one point."""
RAMP_MM = 30.0
"""Length along the contour over which a profile cutter goes down a pass (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Move:
    """A straight move to a point.

    Attributes:
        x: in mm.
        y: in mm.
        z: in mm over the upper face of the sheet; below it is negative.
        feed_mm_per_min: 0 for the fastest travel.
    """

    x: float
    y: float
    z: float
    feed_mm_per_min: float


@dataclass(frozen=True, slots=True)
class Operation:
    """What is done with one tool in a row.

    Attributes:
        tool: of the magazine.
        words: what is cut, for a person who reads the program.
        moves: each from where the one before ended; the first and the last end at the clearance height or above it.
    """

    tool: RouterTool
    words: str
    moves: tuple[Move, ...]


def engrave(strokes: Sequence[Stroke], tool: RouterTool, router: Router, *, words: str) -> Operation:
    """Follow strokes with the middle of an engraving cutter, in as many passes as its step asks for."""
    moves: list[Move] = []
    for path in joined(strokes):
        moves += _followed(path, tool, router)
    return Operation(tool, words, tuple(moves))


def drill(dots: Sequence[Point], tool: RouterTool, router: Router, *, words: str) -> Operation:
    """One plunge a dot, row by row, every second row backwards."""
    rows: dict[float, list[Point]] = {}
    for dot in dots:
        rows.setdefault(round(dot[1], 6), []).append(dot)
    moves: list[Move] = []
    for index, row in enumerate(rows.values()):
        for x, y in row if index % 2 == 0 else reversed(row):
            moves += _followed(((x, y),), tool, router)
    return Operation(tool, words, tuple(moves))


def cut_out(
    rings: Iterable[Sequence[Point]],
    tool: RouterTool,
    router: Router,
    *,
    thickness_mm: float,
    bridges: bool,
    words: str,
) -> Operation:
    """Cut closed contours through a sheet.

    Args:
        rings: paths of the cutter's middle; last point the first.
        tool: a profile cutter.
        router: the machine.
        thickness_mm: of the sheet; the cutter runs ``tool.depth_mm`` below it.
        bridges: whether bridges are left at the foot, as the router's file says.
        words: what is cut.
    """
    bottom = -(thickness_mm + tool.depth_mm)
    levels = _levels(-bottom, tool.step_down_mm)
    foot = -(thickness_mm - min(router.bridge_height_mm, thickness_mm)) if bridges and router.bridges else None
    moves: list[Move] = []
    for ring in rings:
        lap = _Lap(ring, router.bridges if foot is not None else 0, router.bridge_width_mm + tool.diameter_mm)
        x, y = ring[0]
        moves += [Move(x, y, router.clearance_mm, 0.0), Move(x, y, 0.0, tool.plunge_mm_per_min)]
        above = 0.0
        for level in levels:
            moves += lap.down(above, level, tool.feed_mm_per_min, foot)
            above = level
        # The ramp of the deepest pass stands still: once more over it.
        moves += lap.ramp_again(bottom, tool.feed_mm_per_min, foot)
        last = moves[-1]
        moves.append(Move(last.x, last.y, router.clearance_mm, 0.0))
    return Operation(tool, words, tuple(moves))


def joined(strokes: Sequence[Stroke]) -> list[Stroke]:
    """Strokes that begin where the one before ends are one path: the tool need not be lifted."""
    paths: list[list[Point]] = []
    for stroke in strokes:
        if paths and math.dist(paths[-1][-1], stroke[0]) <= JOIN_MM:
            paths[-1] += stroke[1:]
        else:
            paths.append(list(stroke))
    return [tuple(path) for path in paths]


def run_time_s(operations: Sequence[Operation], router: Router) -> float:
    """Estimate of the time that the program runs, in seconds: travel with the axes' acceleration, spindle, tools.

    The axes come to a stop where the direction or the feed changes, which is a little slower than real controls are.
    """
    seconds = 0.0
    tool: int | None = None
    at = Move(0.0, 0.0, router.safe_height_mm, 0.0)
    for operation in operations:
        if operation.tool.number != tool:
            seconds += router.tool_change_s + router.spindle_up_s
            tool = operation.tool.number
        for length, feed in _straights(at, operation.moves, router):
            seconds += _travel_s(length, feed / 60, router.acceleration_mm_per_s2)
        at = operation.moves[-1]
    return seconds


def _followed(path: Stroke, tool: RouterTool, router: Router) -> list[Move]:
    """One path at each level, forth and back in turns, lifted at the end."""
    (x, y), turn = path[0], list(path)
    moves = [Move(x, y, router.clearance_mm, 0.0)]
    for level in _levels(tool.depth_mm, tool.step_down_mm):
        moves.append(Move(*turn[0], level, tool.plunge_mm_per_min))
        moves += [Move(*point, level, tool.feed_mm_per_min) for point in turn[1:]]
        turn.reverse()
    return [*moves, Move(moves[-1].x, moves[-1].y, router.clearance_mm, 0.0)]


def _levels(depth_mm: float, step_mm: float) -> list[float]:
    """Heights of equal passes, the last one the full depth."""
    passes = max(1, math.ceil(depth_mm / step_mm - 1e-9))
    return [-depth_mm * (index + 1) / passes for index in range(passes)]


class _Lap:
    """Once round a contour, with places where bridges stay."""

    def __init__(self, ring: Sequence[Point], bridges: int, bridge_mm: float) -> None:
        self._length = sum(math.dist(a, b) for a, b in pairwise(ring))
        count = min(bridges, int(self._length // (4 * bridge_mm))) if bridges else 0
        middles = [self._length * (index + 0.5) / count for index in range(count)]
        self._bridges = [(middle - bridge_mm / 2, middle + bridge_mm / 2) for middle in middles]
        self._ramp = min(RAMP_MM, self._length / 2)
        cuts = sorted({self._ramp, *(edge for bridge in self._bridges for edge in bridge)})
        self._points = _split(ring, cuts)

    def down(self, above: float, level: float, feed: float, foot: float | None) -> list[Move]:
        """Once round: down a ramp from the level above, then at this level."""
        return [
            Move(x, y, self._height(above + (level - above) * min(1.0, along / self._ramp), along, foot), feed)
            for x, y, along in self._heights(level, foot)
        ]

    def ramp_again(self, level: float, feed: float, foot: float | None) -> list[Move]:
        """The beginning of a lap once more, at its full depth."""
        return [
            Move(x, y, self._height(level, along, foot), feed)
            for x, y, along in self._heights(level, foot)
            if along <= self._ramp + JOIN_MM
        ]

    def _heights(self, level: float, foot: float | None) -> list[tuple[float, float, float]]:
        """Points of a lap with their distance along it; at a bridge's edges both heights, so that its flanks stand."""
        if foot is None or level >= foot:
            return self._points
        edges = {round(edge, 9) for bridge in self._bridges for edge in bridge}
        shifted: list[tuple[float, float, float]] = []
        for x, y, along in self._points:
            if round(along, 9) in edges:
                shifted += [(x, y, along - 1e-7), (x, y, along + 1e-7)]
            else:
                shifted.append((x, y, along))
        return shifted

    def _height(self, level: float, along: float, foot: float | None) -> float:
        if foot is not None and level < foot and any(start < along < end for start, end in self._bridges):
            return foot
        return level


def _split(ring: Sequence[Point], cuts: Sequence[float]) -> list[tuple[float, float, float]]:
    """The points of a ring but for its first, and one at every cut, each with its distance along the ring."""
    found: list[tuple[float, float, float]] = []
    along = 0.0
    left = list(cuts)
    for (x0, y0), (x1, y1) in pairwise(ring):
        length = math.dist((x0, y0), (x1, y1))
        if length <= JOIN_MM:
            continue
        while left and left[0] < along + length - JOIN_MM:
            share = (left[0] - along) / length
            if share > JOIN_MM:
                found.append((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share, left[0]))
            left.pop(0)
        along += length
        if left and abs(left[0] - along) <= JOIN_MM:
            left.pop(0)
        found.append((x1, y1, along))
    return found


def _straights(at: Move, moves: Sequence[Move], router: Router) -> list[tuple[float, float]]:
    """Lengths in mm and feeds in mm/min of stretches without a stop: same feed, same direction within 10 degrees."""
    found: list[tuple[float, float]] = []
    direction: tuple[float, float, float] | None = None
    for move in moves:
        step = (move.x - at.x, move.y - at.y, move.z - at.z)
        length = math.hypot(*step)
        at = move
        if length <= JOIN_MM:
            continue
        feed = min(move.feed_mm_per_min, router.rapid_mm_per_min) or router.rapid_mm_per_min
        unit = (step[0] / length, step[1] / length, step[2] / length)
        straight = direction is not None and sum(a * b for a, b in zip(unit, direction, strict=True)) > math.cos(
            math.radians(10)
        )
        if straight and found and found[-1][1] == feed:
            found[-1] = (found[-1][0] + length, feed)
        else:
            found.append((length, feed))
        direction = unit
    return found


def _travel_s(length: float, speed: float, acceleration: float) -> float:
    """Time of a stretch from rest to rest: up to speed and down again, or as far up as the length allows."""
    if length * acceleration >= speed**2:
        return length / speed + speed / acceleration
    return 2 * math.sqrt(length / acceleration)
