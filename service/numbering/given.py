"""A fragment laid out beside the costs of an error model, as the search walks along it."""

from __future__ import annotations

from service.numbering.fragment import HYPHEN, RUN, UNKNOWN, Fragment
from service.numbering.grid_costs import NEVER, GridCosts
from service.numbering.weights import SIGNS

__all__ = ["Given"]


class Given:
    """A fragment as places and what stands between them; place ``n`` is before the ``n``-th sign.

    Besides these there are places of another kind, numbered behind them: ``headless`` (nothing of the number has been
    seen yet, its beginning may be broken off), ``tailless`` (all has been seen, the rest is broken off), and for each
    place one ``half_swapped`` there: of two neighbours in the other order the first true one has been seen.

    Attributes:
        costs: the costs.
        signs: what was given, runs of unknown signs left out.
        length: how many there are.
        runs: for each place whether any number of true signs may have stood there.
        extra: for each sign the steps for that nothing true stands behind it.
        left: for each place how many signs still come, hyphens not counted.
        least_extra: the fewest steps for one sign more than a number has places for.
        lost_hyphen: the steps of a missing hyphen; none where the fragment has no hyphens at all.
        base: the steps owed in any case.
    """

    __slots__ = (
        "base", "costs", "extra", "headless", "least_extra", "left", "length", "lost_hyphen", "runs", "signs",
        "tailless", "width",
    )  # fmt: skip

    def __init__(self, fragment: Fragment, costs: GridCosts) -> None:
        self.costs = costs
        self.signs = fragment.signs.replace(RUN, "")
        self.length = len(self.signs)
        at, runs = 0, [False] * (self.length + 1)
        for sign in fragment.signs:
            if sign == RUN:
                runs[at] = True
            else:
                at += 1
        self.runs = tuple(runs)
        self.extra = [
            costs.stray if sign == HYPHEN else NEVER if sign == UNKNOWN else costs.extra[sign] for sign in self.signs
        ]
        self.left = [0] * (self.length + 1)
        for at in range(self.length - 1, -1, -1):
            self.left[at] = self.left[at + 1] + (self.signs[at] != HYPHEN)
        too_many = [steps for sign, steps in zip(self.signs, self.extra, strict=True) if sign != HYPHEN]
        twice = (costs.twice(self.signs[at], SIGNS) for at in range(self.length - 1) if self.is_twice(at))
        too_many += [groups[0][0] for groups in twice if groups]
        self.least_extra = min(too_many, default=0)
        self.lost_hyphen = costs.lost_hyphen if fragment.has_hyphens else 0
        self.base = sum(costs.base[sign] for sign in self.signs if sign.isalnum())
        self.headless, self.tailless = self.length + 1, self.length + 2
        self.width = self.tailless + 1 + self.length

    def half_swapped(self, place: int) -> int:
        """The place between two neighbours that stand in the other order, the first of them at ``place``."""
        return self.tailless + 1 + place

    def swapped_at(self, place: int) -> int:
        """Where the two neighbours of a ``half_swapped`` place begin."""
        return place - self.tailless - 1

    def may_be_swapped(self, place: int) -> bool:
        """Whether the signs behind a place are two different ones that may have changed places."""
        pair = self.signs[place : place + 2]
        return len(pair) == 2 and pair[0] != pair[1] and pair.isalnum() and not self.runs[place + 1]

    def swap_steps(self, place: int) -> int:
        """The steps for that the two signs behind a place have changed places."""
        base = self.costs.base
        return self.costs.swapped - base[self.signs[place]] - base[self.signs[place + 1]]

    def is_twice(self, place: int) -> bool:
        """Whether the sign behind a place is there twice."""
        pair = self.signs[place : place + 2]
        return len(pair) == 2 and pair[0] == pair[1] and pair.isalnum() and not self.runs[place + 1]
