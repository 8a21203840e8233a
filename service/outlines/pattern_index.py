"""Which of many hole patterns agree, without holding each against each."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from service.outlines.hole_agreement import MOST_HOLES, TOLERANCE_MM, motions, needed, whole_motions
from service.outlines.hole_pattern import HolePattern

ONE_MM = 0.05
"""Patterns that agree this closely are one pattern, drawn twice."""


class Kinds:
    """The different patterns among those that were added so far.

    Patterns are told apart by what no motion changes (``HolePattern.hashed``); those that are alike in that are held
    against each other once, since different arrangements can have the same distances.
    """

    def __init__(self) -> None:
        self.patterns: list[HolePattern] = []
        self._known: defaultdict[tuple[int, ...], list[int]] = defaultdict(list)

    def add(self, pattern: HolePattern) -> int:
        """Which of the different patterns this one is; the next one if it is new."""
        alike = self._known[pattern.hashed]
        found = next((kind for kind in alike if whole_motions(pattern, self.patterns[kind], ONE_MM)), None)
        if found is None:
            found = len(self.patterns)
            self.patterns.append(pattern)
            alike.append(found)
        return found


def agreeing(kinds: Sequence[HolePattern], tolerance_mm: float = TOLERANCE_MM) -> list[tuple[int, int, bool]]:
    """The pairs of patterns in which enough holes agree, each pattern with itself too, and whether every hole does.

    Two patterns in which ``n`` holes agree share ``n (n - 1) / 2`` distances within twice the tolerance. Distances lie
    in drawers of that width, so those of one pattern are looked for in three drawers each.
    """
    width = 2 * tolerance_mm
    drawers: defaultdict[int, list[int]] = defaultdict(list)
    for kind, pattern in enumerate(kinds):
        for distance in pattern.distances:
            drawers[int(distance // width)].append(kind)
    found = []
    for kind, pattern in enumerate(kinds):
        found.append((kind, kind, True))
        shared: Counter[int] = Counter()
        for distance in pattern.distances:
            drawer = int(distance // width)
            near = {other for step in (-1, 0, 1) for other in drawers[drawer + step] if other > kind}
            shared.update(near)
        for other, count in sorted(shared.items()):
            least = needed(pattern, kinds[other])
            if max(len(pattern.holes), len(kinds[other].holes)) > MOST_HOLES:
                least = len(pattern.holes)
            if count < least * (least - 1) // 2:
                continue
            ways = motions(pattern, kinds[other], tolerance_mm)
            if ways:
                whole = len(ways[0].pairs) == len(pattern.holes) == len(kinds[other].holes)
                found.append((kind, other, whole))
    return found
