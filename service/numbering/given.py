"""A fragment laid out beside the costs of an error model, as the search walks along it."""

from __future__ import annotations

import math
from itertools import accumulate

from service.numbering.fragment import HYPHEN, RUN, UNKNOWN, Fragment
from service.numbering.grid_costs import NEVER, GridCosts

__all__ = ["Given"]


class Given:
    """A fragment as places and what stands between them; place ``n`` is before the ``n``-th sign.

    Besides these there are places of another kind, numbered behind them: ``headless`` (nothing of the number has been
    seen yet, its beginning may be broken off), ``tailless`` (all has been seen, the rest is broken off), and for each
    place one ``half_swapped`` there: of two neighbours in the other order the first true one has been seen.

    What is named ``…_saved`` is in steps beyond those for that the signs in question are too many.

    Attributes:
        costs: the costs.
        signs: what was given, runs of unknown signs left out.
        length: how many there are.
        runs: for each place whether any number of true signs may have stood there.
        extra: for each sign the steps for that nothing true stands behind it.
        all_extra: for each place the steps for that of all signs from there on.
        lost_hyphen: the steps of a missing hyphen; none where the fragment has no hyphens at all.
        broken_off: the steps for that a number is broken off behind the last sign.
        base: the cost owed in any case; not in steps.
        swapped: for each place the steps for that the two signs there have changed places, None where they cannot.
        twice: the places before a sign that is there twice.
    """

    def __init__(self, fragment: Fragment, costs: GridCosts) -> None:
        self.costs = costs
        self.signs = fragment.signs.replace(RUN, "")
        self.length = len(self.signs)
        self.runs = _runs(fragment.signs)
        self.extra = [
            costs.stray if sign == HYPHEN else NEVER if sign == UNKNOWN else costs.extra[sign] for sign in self.signs
        ]
        self.all_extra = list(accumulate(reversed([*self.extra, 0])))[::-1]
        self.lost_hyphen = costs.lost_hyphen if fragment.has_hyphens else 0
        self.broken_off = 0 if self.runs[-1] else costs.lost_tail
        self.base = math.fsum(costs.base[sign] for sign in self.signs if sign.isalnum())
        self.headless, self.tailless = self.length + 1, self.length + 2
        self.width = self.tailless + 1 + self.length
        self.swapped: list[int | None] = [None] * self.length
        self.twice: list[int] = []
        for place in range(self.length - 1):
            one, other = self.signs[place], self.signs[place + 1]
            if one.isalnum() and other.isalnum() and not self.runs[place + 1]:
                if one == other:
                    self.twice.append(place)
                else:
                    self.swapped[place] = costs.swapped(one, other)
        self._losses: dict[int, list[int]] = {}
        self.hyphens_saved = [
            -extra if sign == HYPHEN else NEVER for sign, extra in zip(self.signs, self.extra, strict=True)
        ]
        self.hyphen_losses = [0 if run else self.lost_hyphen for run in self.runs]
        self.swaps_saved = [
            NEVER if steps is None else steps - self.extra[place] - self.extra[place + 1]
            for place, steps in enumerate(self.swapped[:-1])
        ]

    def half_swapped(self, place: int) -> int:
        """The place between two neighbours that stand in the other order, the first of them at ``place``."""
        return self.tailless + 1 + place

    def swapped_at(self, place: int) -> int:
        """Where the two neighbours of a ``half_swapped`` place begin."""
        return place - self.tailless - 1

    def matches_saved(self, alphabet: str) -> list[int]:
        """For each sign the fewest steps for that a sign of an alphabet stands behind it."""
        least = self.costs.least(alphabet)
        return [least[sign] - extra for sign, extra in zip(self.signs, self.extra, strict=True)]

    def losses(self, alphabet: str) -> list[int]:
        """For each place the fewest steps for that a sign of an alphabet is lost there."""
        groups = self.costs.losses(alphabet)
        steps = groups[0][0] if groups else NEVER
        found = self._losses.get(steps)
        if found is None:
            found = self._losses[steps] = [0 if run else steps for run in self.runs]
        return found

    def doubles_saved(self, alphabet: str) -> list[tuple[int, int]]:
        """The places where a sign is there twice, with the fewest steps for that an alphabet's sign is behind it."""
        found = ((place, self.costs.twice(self.signs[place], alphabet)) for place in self.twice)
        return [(place, groups[0][0] - self.extra[place] - self.extra[place + 1]) for place, groups in found if groups]


def _runs(signs: str) -> tuple[bool, ...]:
    runs = [False]
    for sign in signs:
        if sign == RUN:
            runs[-1] = True
        else:
            runs.append(False)
    return tuple(runs)
