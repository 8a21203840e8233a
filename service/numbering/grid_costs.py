"""The costs of an error model on a grid of whole steps, as the search over issued numbers adds them up.

Whole steps make equal costs meet: a search that goes from cost to cost then looks at each place once a step instead of
once for every sum of 36 different decimals, and what it finds is exact for the costs on the grid. A step is an eighth
of a natural logarithm; to round to it changes a likelihood by 6 % at most, far below what anybody knows about how marks
are misread.

The cheapest that can become of a sign that was read is taken out beforehand (``base``): it is owed whatever the true
number is, and what is left is never negative.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Protocol

from service.numbering.weights import SIGNS

__all__ = ["CHECK_LEFT_OUT", "NEVER", "STEP", "STRAY_HYPHEN", "Costs", "GridCosts", "Groups", "grid_costs", "on_grid"]

Groups = tuple[tuple[int, tuple[str, ...]], ...]
"""Signs in groups of equal steps, the fewest steps first."""

STEP = 1 / 8
"""Of a natural logarithm."""

CHECK_LEFT_OUT = math.log(2)
"""What it costs that just the two check digits are not there: who reads a number aloud leaves them out every other
time. Common practice, no source."""

STRAY_HYPHEN = math.log(20)
"""What it costs that a hyphen or a blank stands inside a group. Common practice, no source."""

NEVER = 1 << 20
"""Steps of what cannot be."""

_MODELS_KEPT = 8


def on_grid(cost: float) -> int:
    """A cost in whole steps."""
    return NEVER if math.isinf(cost) else round(cost / STEP)


class Costs(Protocol):
    """An error model, as far as the search needs it; :class:`service.numbering.error_model.ErrorModel` is one."""

    @property
    def swapped(self) -> float:
        """See there."""
        ...

    @property
    def lost_head(self) -> float:
        """See there."""
        ...

    @property
    def lost_tail(self) -> float:
        """See there."""
        ...

    @property
    def lost_hyphen(self) -> float:
        """See there."""
        ...

    def substitution(self, read: str, true: str) -> float:
        """See there."""
        ...

    def lost(self, true: str) -> float:
        """See there."""
        ...

    def extra(self, read: str) -> float:
        """See there."""
        ...

    def doubled(self, true: str) -> float:
        """See there."""
        ...


class GridCosts:
    """An error model in whole steps.

    Attributes:
        base: for each sign as read, the cost that is owed in any case; not in steps.
        taken: for each sign as read, the steps beyond the base for each true sign.
        extra: for each sign as read, the steps beyond the base for a sign that nothing true stands behind.
        lost: for each true sign, the steps of its loss.
        lost_head: the steps of a beginning that is broken off.
        lost_tail: likewise of an end.
        lost_hyphen: the steps of a hyphen that is not there.
        check_left_out: the steps of a check that is not there.
        stray: the steps of a hyphen inside a group.
    """

    def __init__(self, model: Costs) -> None:
        self.lost_head = on_grid(model.lost_head)
        self.lost_tail = on_grid(model.lost_tail)
        self.lost_hyphen = on_grid(model.lost_hyphen)
        self.check_left_out = min(on_grid(CHECK_LEFT_OUT), self.lost_tail)
        self.stray = on_grid(STRAY_HYPHEN)
        self.lost = {sign: on_grid(model.lost(sign)) for sign in SIGNS}
        whole = {read: {true: model.substitution(read, true) for true in SIGNS} for read in SIGNS}
        added = {read: model.extra(read) for read in SIGNS}  # noqa: S610 - no query set of any database
        # A pair that is swapped owes both bases.
        self.base = {read: min(*row.values(), added[read], model.swapped / 2) for read, row in whole.items()}
        self.extra = {read: on_grid(added[read] - self.base[read]) for read in SIGNS}
        self.taken = {
            read: {true: on_grid(cost - self.base[read]) for true, cost in row.items()} for read, row in whole.items()
        }
        # The second of two owes its base as well, and nothing true is behind it.
        self._twice = {
            read: {
                true: max(0, on_grid(cost + model.doubled(true) - 2 * self.base[read])) for true, cost in row.items()
            }
            for read, row in whole.items()
        }
        self._swapped = model.swapped
        self._fans: dict[tuple[str, str], Groups] = {}
        self._least: dict[str, dict[str, int]] = {}

    def fan(self, read: str, alphabet: str) -> Groups:
        """The true signs of an alphabet behind a sign as read, in groups of equal steps, the fewest steps first."""
        return self._fan(read, alphabet, self.taken[read])

    def least(self, alphabet: str) -> Mapping[str, int]:
        """For each sign of a fragment the fewest steps for that a sign of an alphabet stands behind it."""
        found = self._least.get(alphabet)
        if found is None:
            found = {read: min((row[true] for true in alphabet), default=NEVER) for read, row in self.taken.items()}
            found |= {"?": 0 if alphabet else NEVER, "-": NEVER}
            self._least[alphabet] = found
        return found

    def losses(self, alphabet: str) -> Groups:
        """The signs of an alphabet in groups of equal steps of their loss."""
        return self._fan("", alphabet, self.lost)

    def twice(self, read: str, alphabet: str) -> Groups:
        """The true signs of an alphabet behind a sign that is read twice, in groups of equal steps."""
        return self._fan(read * 2, alphabet, self._twice[read])

    def swapped(self, one: str, other: str) -> int:
        """The steps beyond both bases for that two neighbours stand in the other order."""
        return on_grid(self._swapped - self.base[one] - self.base[other])

    def _fan(self, key: str, alphabet: str, steps: Mapping[str, int]) -> Groups:
        found = self._fans.get((key, alphabet))
        if found is None:
            found = self._fans[key, alphabet] = _grouped((steps[true], true) for true in alphabet)
        return found


def _grouped(pairs: Iterable[tuple[int, str]]) -> Groups:
    groups: dict[int, list[str]] = {}
    for steps, sign in pairs:
        groups.setdefault(steps, []).append(sign)
    return tuple((steps, tuple(groups[steps])) for steps in sorted(groups) if steps < NEVER)


_kept: dict[int, tuple[Costs, GridCosts]] = {}


def grid_costs(model: Costs) -> GridCosts:
    """A model in whole steps; worked out once for each of the models in use."""
    kept = _kept.get(id(model))
    if kept is None or kept[0] is not model:
        if len(_kept) >= _MODELS_KEPT:
            _kept.clear()
        # The model is kept as well, so that no other can come to bear its id.
        kept = _kept[id(model)] = (model, GridCosts(model))
    return kept[1]
