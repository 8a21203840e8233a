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
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import Motion, motions, needed
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
        width_mm: its diameter, or the width of a slot; ``length_mm`` the same, or the length of the slot;
            ``along_deg`` its direction.
        edge_mm: what is left between it and the nearest edge, hole or zone to be kept clear.
        stops_both: whether neither part then lies down in the other's place; else the other one alone is kept off.
    """

    what: Literal["move", "add"]
    at: complex
    instead_of: Hole | None
    width_mm: float
    length_mm: float
    along_deg: float
    edge_mm: float
    stops_both: bool

    @property
    def hole(self) -> Hole:
        """The hole itself."""
        return Hole(self.at, self.width_mm, self.length_mm, self.along_deg)


def moved_hole(part: Drawing, own: HolePattern, other: HolePattern) -> OddHole | None:
    """A hole of ``part`` that, moved, keeps each of two parts off the other's place; None where there is none.

    A stud stands in either place: here in the moved hole, there in the hole that answered to it before. Patterns that
    still agree in enough holes in another way, as regular ones do, can not be told apart so.

    Args:
        part: the part whose hole is moved.
        own: its mounting holes.
        other: those of the other part.
    """
    before, least = motions(own, other), needed(own, other)
    for hole in sorted((hole for hole in own.holes if not hole.is_slot), key=lambda hole: -abs(hole.at - own.centre)):
        rest = [one for one in own.holes if one is not hole]
        old = own.holes.index(hole)
        studs = [other.holes[there].at for motion in before for here, there in motion.pairs if here == old]
        # Whatever hole it gets instead: without this one it must be kept off the other's place.
        if not any(kept_off(other, stud, pattern_of(rest), least) for stud in studs):
            continue
        for at, edge in _spots(part, hole, others=rest):
            moved = pattern_of([*rest, replace(hole, at=at)])
            if kept_off(moved, at, other, least) and any(kept_off(other, stud, moved, least) for stud in studs):
                return OddHole("move", at, hole, hole.width_mm, hole.length_mm, hole.along_deg, edge, stops_both=True)
    return None


def added_holes(
    parts: tuple[Drawing, Drawing], patterns: tuple[HolePattern, HolePattern]
) -> tuple[OddHole | None, OddHole | None]:
    """A hole to be added to either of two parts, so that a stud in it keeps the other one off; None where none can be.

    It is like one of the part's own: a part that is set along slots gets a slot, and can still be set. The second hole
    is found once the first is there, so that the two do not answer to each other.

    Args:
        parts: the two drawings.
        patterns: their mounting holes.
    """
    least = needed(*patterns)
    first = _added(parts[0], patterns[0], patterns[1], None, least)
    second = _added(parts[1], patterns[1], patterns[0], first, least)
    return first, second


def _added(part: Drawing, own: HolePattern, other: HolePattern, others: OddHole | None, least: int) -> OddHole | None:
    """The hole of one part, when the other one has its own odd hole already or none."""
    theirs = other if others is None else pattern_of([*other.holes, others.hole])
    ways = motions(theirs, own, least=least)
    for near in sorted(own.holes, key=lambda hole: -abs(hole.at - own.centre)):
        for at, edge in _spots(part, near, others=list(own.holes)):
            if any(_finds(motion, theirs, at) for motion in ways):
                continue
            added = OddHole("add", at, None, near.width_mm, near.length_mm, near.along_deg, edge, stops_both=False)
            if others is None or kept_off(other, others.at, pattern_of([*own.holes, added.hole]), least):
                return added
    return None


def kept_off(place: HolePattern, stud: complex, part: HolePattern, least: int) -> bool:
    """Whether a stud keeps a part off a place, in every way in which it finds enough bolts there.

    Args:
        place: the bolts of the place.
        stud: where the stud stands, in the coordinates of the place.
        part: the holes of the part that is laid there.
        least: how many bolts are enough.
    """
    return not any(_finds(motion, part, stud) for motion in motions(part, place, least=least))


def _finds(motion: Motion, part: HolePattern, stud: complex) -> bool:
    """Whether a hole of a part, once it is laid there, comes so near to a stud that the stud may go into it."""
    return any(abs(motion.moved(hole.at) - stud) < _reach(hole) for hole in part.holes)


def _reach(hole: Hole) -> float:
    return CLEAR_MM + (hole.length_mm - hole.width_mm) / 2


def _spots(part: Drawing, hole: Hole, *, others: list[Hole]) -> Iterator[tuple[complex, float]]:
    """Where the hole may go, the nearest first, and what is then left to the nearest edge."""
    radius = hole.width_mm / 2
    arm = cmath.rect((hole.length_mm - hole.width_mm) / 2, math.radians(hole.along_deg))
    # Other mounting holes are no edges, and a hole that is moved is not cut any more.
    filled = [line.buffer(width + 0.1) for line, width in map(_rim, (hole, *others))]
    solid = shapely.union_all([part.material, *filled])
    border = shapely.union_all([solid.boundary, *(zone.boundary for zone in part.keepouts)])
    room: BaseGeometry = solid.difference(shapely.union_all(list(part.keepouts)) if part.keepouts else Polygon())
    rims = [_rim(other) for other in others]
    shapely.prepare(room)
    nearest = hole.width_mm + LAND_MM
    for step in range(_STEPS):
        far = nearest + (FARTHEST_MM - nearest) * step / (_STEPS - 1)
        found = []
        for direction in range(_DIRECTIONS):
            at = hole.at + cmath.rect(far, 2 * math.pi * direction / _DIRECTIONS)
            line = _line(at, arm)
            if not room.contains(line):
                continue
            edge = float(border.distance(line)) - radius
            apart = min((float(line.distance(other)) - radius - width for other, width in rims), default=math.inf)
            old = float(line.distance(_line(hole.at, arm))) - 2 * radius
            if edge >= EDGE_MM and min(apart, old) >= LAND_MM - 1e-6:
                found.append((edge, at))
        for edge, at in sorted(found, key=lambda pair: (-round(pair[0], 3), pair[1].real, pair[1].imag)):
            yield at, edge


def _rim(hole: Hole) -> tuple[BaseGeometry, float]:
    """The line of middles of a hole, and how far its rim lies from it."""
    arm = cmath.rect((hole.length_mm - hole.width_mm) / 2, math.radians(hole.along_deg))
    return _line(hole.at, arm), hole.width_mm / 2


def _line(at: complex, arm: complex) -> BaseGeometry:
    if abs(arm) < 1e-9:
        return Point(at.real, at.imag)
    one, other = at - arm, at + arm
    return LineString([(one.real, one.imag), (other.real, other.imag)])
