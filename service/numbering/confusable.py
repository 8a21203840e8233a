"""How easily one code is taken for another: a weighted edit distance, and the gate that new codes pass.

The distance is the optimal string alignment distance (insertion, deletion, substitution, and the swap of two
neighbours, none of them edited twice) with the weights of ``service.numbering.weights``. It is symmetric and 0 for
equal codes alone. It keeps no triangle law: the alignment does not (``CA``, ``AC``, ``ABC``), nor do the weights.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from service.numbering.alike import SIGN_CLASSES
from service.numbering.weights import CLEAR, DOUBLED, ENDING, SWAPPED, signs_near, weight_between

__all__ = [
    "PLAIN",
    "THRESHOLD",
    "WEIGHED",
    "Difference",
    "Rival",
    "Weights",
    "distance",
    "farther",
    "farther_by_a_letter",
    "first_clear",
    "nearest",
    "rivals",
]

THRESHOLD = 80
"""Codes nearer than this are too near, in hundredths of a clear difference.

It lies under :data:`~service.numbering.weights.CLEAR`, so that one clearly different sign is enough (A500 and C500);
and over four times the weight of what looks or sounds alike, so that a whole plant code of such signs is not.
"""

_LONGEST_PLANT = 4
_LIKE_A_DIGIT = frozenset(letter for signs in SIGN_CLASSES for letter in signs[1:])


@dataclass(frozen=True, slots=True)
class Weights:
    """What each edit costs.

    Attributes:
        substitution: one sign for another; symmetric, 0 for equal signs alone.
        gap: the sign at a position of a code that the other code lacks.
        swap: two different neighbours in the other order.
    """

    substitution: Callable[[str, str], int]
    gap: Callable[[str, int], int]
    swap: int


@dataclass(frozen=True, slots=True)
class Difference:
    """One edit between two codes: what the first has where the second has something else, either may be empty."""

    first: str
    second: str

    @property
    def words(self) -> str:
        """The edit as a person says it, after "differs in"."""
        if not self.second:
            return f"one {self.first} more"
        if not self.first:
            return f"one {self.second} less"
        if len(self.first) == 2:
            return f"{self.first} for {self.second}, the same in the other order"
        near = signs_near(self.first, self.second)
        return f"{self.first} for {self.second}" + (f", which {near}" if near else "")


@dataclass(frozen=True, slots=True)
class Rival:
    """A code that another one may be taken for.

    Attributes:
        code: the rival.
        distance: how far it is, in hundredths of a clear difference.
        differences: the edits that tell the two apart.
    """

    code: str
    distance: int
    differences: tuple[Difference, ...]

    @property
    def near(self) -> bool:
        """Whether the two are too near to live side by side."""
        return self.distance < THRESHOLD

    @property
    def words(self) -> str:
        """What tells the new code from this one, after "differs in"."""
        return ", and ".join(difference.words for difference in self.differences)


def _gap(code: str, at: int) -> int:
    sign = code[at]
    following = code[at + 1 : at + 2]
    if at == _LONGEST_PLANT - 1 and not following and sign in _LIKE_A_DIGIT:
        return ENDING
    if sign in (following, code[at - 1 : at]):
        return DOUBLED
    return CLEAR


WEIGHED = Weights(substitution=weight_between, gap=_gap, swap=SWAPPED)
"""The weights of the gate."""

PLAIN = Weights(substitution=lambda one, other: int(one != other), gap=lambda _code, _at: 1, swap=1)
"""Every edit costs 1: the optimal string alignment distance of the textbooks."""


def distance(first: str, second: str, weights: Weights = WEIGHED) -> int:
    """How far two codes are apart, in hundredths of a clear difference."""
    return _grid(first, second, weights)[-1][-1]


def _grid(first: str, second: str, weights: Weights) -> list[list[int]]:
    """The distance between every beginning of the one code and every beginning of the other."""
    gaps = [weights.gap(second, j) for j in range(len(second))]
    row = [0]
    for gap in gaps:
        row.append(row[-1] + gap)
    grid = [row]
    for i, one in enumerate(first):
        above, gone = grid[-1], weights.gap(first, i)
        row = [above[0] + gone]
        for j, other in enumerate(second):
            best = min(above[j] + weights.substitution(one, other), above[j + 1] + gone, row[j] + gaps[j])
            if i and j and one != other and one == second[j - 1] and other == first[i - 1]:
                best = min(best, grid[i - 1][j - 1] + weights.swap)
            row.append(best)
        grid.append(row)
    return grid


def _differences(first: str, second: str, grid: list[list[int]]) -> tuple[Difference, ...]:
    """One cheapest way from one code to the other, walked back through the grid."""
    found: list[Difference] = []
    i, j = len(first), len(second)
    while i or j:
        here = grid[i][j]
        if i and j and here == grid[i - 1][j - 1] + weight_between(first[i - 1], second[j - 1]):
            i, j = i - 1, j - 1
            if first[i] != second[j]:
                found.append(Difference(first[i], second[j]))
        elif i and here == grid[i - 1][j] + _gap(first, i - 1):
            i -= 1
            found.append(Difference(first[i], ""))
        elif j and here == grid[i][j - 1] + _gap(second, j - 1):
            j -= 1
            found.append(Difference("", second[j]))
        else:
            i, j = i - 2, j - 2
            found.append(Difference(first[i : i + 2], second[j : j + 2]))
    return tuple(reversed(found))


def nearest(code: str, living: Iterable[str]) -> tuple[Rival, ...]:
    """Every living code but this one itself, the nearest first."""
    found = []
    for other in set(living) - {code}:
        grid = _grid(code, other, WEIGHED)
        found.append(Rival(other, grid[-1][-1], _differences(code, other, grid)))
    return tuple(sorted(found, key=lambda rival: (rival.distance, rival.code)))


def rivals(code: str, living: Iterable[str]) -> tuple[Rival, ...]:
    """The living codes that a new one is too near to, the nearest first."""
    return tuple(rival for rival in nearest(code, living) if rival.near)


def first_clear(choices: Iterable[str], living: Iterable[str]) -> str | None:
    """The first choice that is near no living code; the farthest when none is clear; None without a choice."""
    left, alive = tuple(choices), tuple(living)
    for code in left:
        if all(distance(code, other) >= THRESHOLD for other in alive):
            return code
    return max(left, key=lambda code: _room(code, alive), default=None)


def farther_by_a_letter(code: str, choices: Iterable[str], living: Iterable[str]) -> tuple[str, ...]:
    """As :func:`farther`, for choices that differ from the code in one letter, in a shop of many codes.

    In any one alignment another letter changes at most one substitution by :data:`CLEAR`, or makes two of a swap. So
    codes that lie farther than this can come no nearer than a clear difference, and are left out.
    """
    reach = 3 * CLEAR - SWAPPED
    return farther(code, choices, [other for other in living if distance(code, other) < reach])


def farther(code: str, choices: Iterable[str], living: Iterable[str]) -> tuple[str, ...]:
    """The choices that are farther from their nearest living code than this code is, the farthest first.

    A distance over a clear difference counts as one: beyond it two codes are apart in any case. Choices that are
    equally far keep their order.
    """
    alive = tuple(living)
    least = _room(code, alive)
    found = [(_room(choice, alive), choice) for choice in choices]
    return tuple(choice for room, choice in sorted(found, key=lambda row: -row[0]) if room > least)


def _room(code: str, alive: tuple[str, ...]) -> int:
    return min([CLEAR, *(distance(code, other) for other in alive)])
