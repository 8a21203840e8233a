"""One hole drilled elsewhere, so that a part no longer lies down where another belongs.

A stud stands in the deck at the odd hole. A part without a hole there stays up, however it is turned or turned over;
that is checked over every motion in which enough of its other holes would find a bolt.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import Motion, motions
from service.outlines.hole_pattern import Hole, HolePattern, pattern_of

EDGE_MM = 10.0
"""What stays between a new hole and the nearest edge, pocket or joint: as much as an engraving keeps from a pocket."""
LAND_MM = 4.0
"""What stays between two holes in the deck (common practice, no source)."""
CLEAR_MM = 3.0
"""A stud that stands this far from a hole's middle does not go into it, whatever the play."""
FARTHEST_MM = 60.0
"""A hole is not moved farther; the load of the part would come to hang elsewhere (common practice, no source)."""
_DIRECTIONS = 24
_STEPS = 8


@dataclass(frozen=True, slots=True)
class OddHole:
    """Where a hole goes.

    Attributes:
        what: ``move`` one hole, or ``add`` one.
        at: its new middle in the part's drawing, in mm.
        instead_of: the hole that is moved; None for an added one.
        width_mm: its diameter.
        edge_mm: what is left between it and the nearest edge, hole or zone to be kept clear.
        stops_both: whether neither part then lies down in the other's place; else the other one alone is kept off.
    """

    what: Literal["move", "add"]
    at: complex
    instead_of: Hole | None
    width_mm: float
    edge_mm: float
    stops_both: bool


def odd_hole(part: Drawing, own: HolePattern, other: HolePattern, *, may_move: bool = True) -> OddHole | None:
    """A hole of ``part`` that tells it from a part with the holes ``other``; None where the material allows none.

    Args:
        part: the part that gets the hole.
        own: its mounting holes.
        other: those of the part that is to be kept off.
        may_move: whether a hole may be moved, which keeps each part off the other's place; adding one keeps the other
            part off this one's place only.
    """
    if may_move:
        for hole in sorted(
            (hole for hole in own.holes if not hole.is_slot), key=lambda hole: -abs(hole.at - own.centre)
        ):
            for at, edge in _spots(part, hole, others=[one for one in own.holes if one is not hole]):
                if moved_apart(own, other, hole, at):
                    return OddHole("move", at, hole, hole.width_mm, edge, stops_both=True)
    width = min(hole.width_mm for hole in own.holes)
    for near in sorted(own.holes, key=lambda hole: -abs(hole.at - own.centre)):
        like = Hole(near.at, width, width, 0.0)
        for at, edge in _spots(part, like, others=list(own.holes)):
            if added_apart(own, other, replace(like, at=at)):
                return OddHole("add", at, None, width, edge, stops_both=False)
    return None


def moved_apart(own: HolePattern, other: HolePattern, hole: Hole, at: complex) -> bool:
    """Whether a moved hole keeps both parts off each other's place, with a stud in each place.

    The stud of the other's place stands in the hole that answered to the moved one before.
    """
    changed = pattern_of([replace(one, at=at) if one is hole else one for one in own.holes])
    new = next(index for index, one in enumerate(changed.holes) if one.at == at)
    before = motions(own, other)
    old = own.holes.index(hole)
    studs = {there for motion in before for here, there in motion.pairs if here == old}
    ways = motions(changed, other)
    for motion in ways:
        met = dict(motion.pairs)
        # The other part in this one's place: the stud at the odd hole finds a hole, or comes close to one.
        if new in met or _near_a_hole(motion, at, other):
            return False
    # This part in the other's place: one of its studs has to stand under material in every way.
    return any(all(stud not in dict(_turned(motion.pairs)) for motion in ways) for stud in studs)


def added_apart(own: HolePattern, other: HolePattern, hole: Hole) -> bool:
    """Whether a stud at an added hole keeps the other part off, in every way in which enough holes agree."""
    return not any(_near_a_hole(motion, hole.at, other) for motion in motions(own, other))


def _turned(pairs: tuple[tuple[int, int], ...]) -> Iterator[tuple[int, int]]:
    return ((there, here) for here, there in pairs)


def _near_a_hole(motion: Motion, at: complex, other: HolePattern) -> bool:
    """Whether a point of the one part comes to lie so near to a hole of the other that a stud may find it."""
    spot = motion.moved(at)
    return any(abs(spot - hole.at) < CLEAR_MM + (hole.length_mm - hole.width_mm) / 2 for hole in other.holes)


def _spots(part: Drawing, hole: Hole, *, others: list[Hole]) -> Iterator[tuple[complex, float]]:
    """Where the hole may go, the nearest first, and what is then left to the nearest edge."""
    radius = hole.width_mm / 2
    middle = Point(hole.at.real, hole.at.imag)
    # The hole that is moved is not cut any more: its place is material again.
    solid = part.material.union(middle.buffer(radius + 0.1))
    border = shapely.union_all([solid.boundary, *(zone.boundary for zone in part.keepouts)])
    room: BaseGeometry = solid.difference(shapely.union_all(list(part.keepouts)) if part.keepouts else Polygon())
    shapely.prepare(room)
    nearest = hole.width_mm + LAND_MM
    for step in range(_STEPS):
        far = nearest + (FARTHEST_MM - nearest) * step / (_STEPS - 1)
        found = []
        for direction in range(_DIRECTIONS):
            at = hole.at + cmath.rect(far, 2 * math.pi * direction / _DIRECTIONS)
            point = Point(at.real, at.imag)
            if not room.contains(point):
                continue
            edge = float(border.distance(point)) - radius
            apart = min((abs(at - one.at) - (one.length_mm + hole.width_mm) / 2 for one in others), default=math.inf)
            if edge >= EDGE_MM and apart >= LAND_MM:
                found.append((edge, at))
        for edge, at in sorted(found, key=lambda pair: (-round(pair[0], 3), pair[1].real, pair[1].imag)):
            yield at, edge
