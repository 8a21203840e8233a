"""Whether the mounting holes of one part come to lie on those of another, however it is turned or turned over.

Agreement is exact: there is a motion of the plane, with or without turning over, that brings every hole that counts
within the tolerance of its counterpart. The best motion by least squares (Kabsch 1976, in the plane a quotient of
complex numbers) is tried first; where its largest distance is too long the weights move to the holes that are farthest
off (Lawson 1961) until the largest distance is short enough, or until the weighted mean, which no motion can beat, is
too long as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations

from service.outlines.hole_pattern import Hole, HolePattern

TOLERANCE_MM = 0.5
"""Farthest that the middles of two holes may lie apart for one bolt to find both; its play in a hole is 0.6 mm
at M6 and of 1 mm from M8 on (ISO 273:1979, medium series, from memory)."""
LIKE_MM = 0.5
"""Largest difference in width or length of two holes that take the same bolt."""
LIKE_DEG = 5.0
"""Largest angle between two slots that stand for each other."""
SHARE = (2, 3)
"""So much of the larger pattern must find a hole for a part to be bolted on although some holes find none."""
MOST_HOLES = 12
"""Patterns of more holes agree as a whole or not at all."""
_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class Motion:
    """A motion that brings one part over another: turned over first if so, then turned, then moved.

    Attributes:
        turn: the turn as a complex number of length 1.
        shift: the move in mm, x and y.
        over: whether the part is turned over, about the x axis.
        pairs: which hole of the one (by its place in the pattern) lies on which of the other.
        gap_mm: the longest distance of such a pair.
    """

    turn: complex
    shift: complex
    over: bool
    pairs: tuple[tuple[int, int], ...]
    gap_mm: float

    def moved(self, point: complex) -> complex:
        """Where a point of the one comes to lie."""
        return self.turn * (point.conjugate() if self.over else point) + self.shift

    @property
    def matrix(self) -> list[float]:
        """The same for ``shapely.affinity.affine_transform``."""
        c, s = self.turn.real, self.turn.imag
        sign = -1.0 if self.over else 1.0
        return [c, -s * sign, s, c * sign, self.shift.real, self.shift.imag]

    @property
    def turn_deg(self) -> float:
        """By how many degrees it is turned, anticlockwise, 0 to 360."""
        return math.degrees(math.atan2(self.turn.imag, self.turn.real)) % 360.0


def may_agree(one: HolePattern, other: HolePattern, tolerance_mm: float = TOLERANCE_MM) -> bool:
    """Whether two patterns can agree in every hole, by what no motion changes; never wrong when it says no.

    Two points that move by at most the tolerance each change their distance by at most twice that, and lists put in
    order differ least when the first goes with the first.
    """
    if len(one.holes) != len(other.holes) or len(one.holes) < 2:
        return False
    near = all(abs(a - b) <= LIKE_MM for a, b in zip(one.widths, other.widths, strict=True))
    reach = 2 * tolerance_mm
    return near and all(abs(a - b) <= reach for a, b in zip(one.distances, other.distances, strict=True))


def needed(one: HolePattern, other: HolePattern) -> int:
    """How many holes have to agree for a part to be bolted on: two at least, and two thirds of the larger pattern's."""
    most = max(len(one.holes), len(other.holes))
    return max(2, -(-most * SHARE[0] // SHARE[1]))


def whole_motions(one: HolePattern, other: HolePattern, tolerance_mm: float = TOLERANCE_MM) -> tuple[Motion, ...]:
    """Every way in which all holes of two patterns agree, turned over last; symmetric patterns have several."""
    if not may_agree(one, other, tolerance_mm):
        return ()
    # The pair that is farthest apart fixes the turn best.
    anchor = max(combinations(range(len(one.holes)), 2), key=lambda pair: _apart(one, *pair))
    return _distinct(
        motion for motion in _motions(one, other, [anchor], tolerance_mm) if len(motion.pairs) == len(one.holes)
    )


def motions(
    one: HolePattern, other: HolePattern, tolerance_mm: float = TOLERANCE_MM, *, least: int | None = None
) -> tuple[Motion, ...]:
    """Every way in which enough holes agree, most of them first, turned over last among equals.

    Args:
        one: the pattern that is moved.
        other: the one that stays.
        tolerance_mm: farthest that the middles of two holes may lie apart.
        least: how many holes have to agree; see ``needed`` unless said.
    """
    enough = needed(one, other) if least is None else least
    few = max(len(one.holes), len(other.holes)) <= MOST_HOLES
    if not few or min(len(one.holes), len(other.holes)) < enough:
        return whole_motions(one, other, tolerance_mm)
    anchors = list(combinations(range(len(one.holes)), 2))
    found = _distinct(motion for motion in _motions(one, other, anchors, tolerance_mm) if len(motion.pairs) >= enough)
    # A part of a larger agreement is no agreement of its own.
    sets = [(motion.over, frozenset(motion.pairs)) for motion in found]
    return tuple(
        motion
        for motion, (over, own) in zip(found, sets, strict=True)
        if not any(over == side and own < more for side, more in sets)
    )


def _motions(
    one: HolePattern, other: HolePattern, anchors: Sequence[tuple[int, int]], tolerance_mm: float
) -> Iterator[Motion]:
    for a, b in anchors:
        apart = _apart(one, a, b)
        if apart <= 2 * tolerance_mm:
            continue
        for c, d in permutations(range(len(other.holes)), 2):
            if abs(_apart(other, c, d) - apart) > 2 * tolerance_mm:
                continue
            if not (like(one.holes[a], other.holes[c]) and like(one.holes[b], other.holes[d])):
                continue
            for over in (False, True):
                motion = _settled(one, other, (a, b), (c, d), tolerance_mm, over=over)
                if motion is not None:
                    yield motion


def _settled(
    one: HolePattern,
    other: HolePattern,
    here: tuple[int, int],
    there: tuple[int, int],
    tolerance_mm: float,
    *,
    over: bool,
) -> Motion | None:
    """The motion that lays two holes on two others, and all further ones that then find a counterpart."""
    p, q = (_point(one.holes[index], over=over) for index in here)
    r, s = (other.holes[index].at for index in there)
    turn = (s - r) / (q - p)
    turn /= abs(turn)
    middle = (r + s) / 2 - turn * (p + q) / 2
    pairs = [(here[0], there[0]), (here[1], there[1])]
    taken = set(there)
    for index, hole in enumerate(one.holes):
        if index in here:
            continue
        at = turn * _point(hole, over=over) + middle
        # The two first ones may each be off by the tolerance, which turns what lies beyond them farther off.
        beyond = abs(_point(hole, over=over) - (p + q) / 2) / (abs(q - p) / 2)
        reach = tolerance_mm * (2 + beyond)
        near = [
            (abs(at - counterpart.at), number)
            for number, counterpart in enumerate(other.holes)
            if number not in taken and like(hole, counterpart) and abs(at - counterpart.at) <= reach
        ]
        if near:
            number = min(near)[1]
            pairs.append((index, number))
            taken.add(number)
    return _fitted(one, other, pairs, tolerance_mm, over=over)


def _fitted(
    one: HolePattern, other: HolePattern, pairs: list[tuple[int, int]], tolerance_mm: float, *, over: bool
) -> Motion | None:
    """The best motion for these pairs; without the one that is farthest off where they do not all agree."""
    while len(pairs) >= 2:
        turn, shift, gaps = closest(
            [_point(one.holes[here], over=over) for here, _ in pairs],
            [other.holes[there].at for _, there in pairs],
            tolerance_mm,
        )
        crooked = [_slot_angle(one.holes[a], other.holes[b], turn, over=over) > LIKE_DEG for a, b in pairs]
        if max(gaps) <= tolerance_mm and not any(crooked):
            return Motion(turn, shift, over, tuple(sorted(pairs)), max(gaps))
        worst = crooked.index(True) if any(crooked) else gaps.index(max(gaps))
        pairs = [pair for index, pair in enumerate(pairs) if index != worst]
    return None


def closest(
    points: Sequence[complex], marks: Sequence[complex], enough_mm: float
) -> tuple[complex, complex, list[float]]:
    """The turn and the shift that bring points to their marks, and how far off each then is.

    The least-squares motion where its largest distance is short enough, else the one whose largest distance is least.

    Args:
        points: at least two, not all in one place.
        marks: as many.
        enough_mm: a largest distance that is short enough.
    """
    weights = [1 / len(points)] * len(points)
    best: tuple[complex, complex, list[float]] | None = None
    for _ in range(_ROUNDS):
        turn, shift = _least_squares(points, marks, weights)
        gaps = [abs(turn * point + shift - mark) for point, mark in zip(points, marks, strict=True)]
        if best is None or max(gaps) < max(best[2]):
            best = turn, shift, gaps
        bound = math.sqrt(sum(weight * gap * gap for weight, gap in zip(weights, gaps, strict=True)))
        if max(gaps) <= enough_mm or bound > enough_mm or max(gaps) - bound < 1e-9:
            break
        heavier = [weight * gap for weight, gap in zip(weights, gaps, strict=True)]
        weights = [weight / sum(heavier) for weight in heavier]
    assert best is not None
    return best


def _least_squares(
    points: Sequence[complex], marks: Sequence[complex], weights: Sequence[float]
) -> tuple[complex, complex]:
    from_middle = sum(weight * point for weight, point in zip(weights, points, strict=True))
    to_middle = sum(weight * mark for weight, mark in zip(weights, marks, strict=True))
    both = sum(
        weight * (point - from_middle).conjugate() * (mark - to_middle)
        for weight, point, mark in zip(weights, points, marks, strict=True)
    )
    turn = both / abs(both) if abs(both) > 1e-12 else 1 + 0j
    return turn, to_middle - turn * from_middle


def like(one: Hole, other: Hole) -> bool:
    """Whether two holes take the same bolt."""
    return abs(one.width_mm - other.width_mm) <= LIKE_MM and abs(one.length_mm - other.length_mm) <= LIKE_MM


def _slot_angle(one: Hole, other: Hole, turn: complex, *, over: bool) -> float:
    """The angle in degrees between two slots once the one has been moved; 0 for round holes."""
    if not (one.is_slot and other.is_slot):
        return 0.0
    along = (-one.along_deg if over else one.along_deg) + math.degrees(math.atan2(turn.imag, turn.real))
    return abs((along - other.along_deg + 90.0) % 180.0 - 90.0)


def _point(hole: Hole, *, over: bool) -> complex:
    return hole.at.conjugate() if over else hole.at


def _apart(pattern: HolePattern, one: int, other: int) -> float:
    return abs(pattern.holes[one].at - pattern.holes[other].at)


def _distinct(found: Iterator[Motion]) -> tuple[Motion, ...]:
    """One motion for each set of pairs, most pairs first, as it lies before turned over, the closest first."""
    best: dict[tuple[bool, tuple[tuple[int, int], ...]], Motion] = {}
    for motion in found:
        key = motion.over, motion.pairs
        if key not in best or motion.gap_mm < best[key].gap_mm:
            best[key] = motion
    return tuple(sorted(best.values(), key=lambda m: (-len(m.pairs), m.over, round(m.gap_mm, 6), m.pairs)))
