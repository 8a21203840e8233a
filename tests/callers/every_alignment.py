"""The exact probability that a text is said of a number, for every number of a shop at once.

For one number it is a sum over everything that may have happened (``worn_mark.py``): how much was lost at either end,
and which step was taken at each sign. Partial sums depend on the signs so far and on how much of the text they have
given, so they are kept in a table: row by beginning of a number, column by how many signs of the text are said.
Numbers that begin alike share their rows, as in a tree of all beginnings, and the rows of one depth are computed
together.

Texts that would have been drawn anew carry no probability, so every sum is divided by the share of draws that stand;
that share depends on where hyphens are alone, and comes from the same sums with every text let through.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.callers.confusions import PLACE, SIGNS
from tests.callers.said import Shares
from tests.callers.worn_mark import HYPHEN, RUN, UNKNOWN, Rates

Rows = NDArray[np.int64]
_HYPHEN_ROW = len(SIGNS)


class Beginnings:
    """All beginnings of some texts: for each depth the parent of a beginning and its last sign."""

    def __init__(self, numbers: Sequence[str]) -> None:
        longest = max(map(len, numbers))
        padded = np.array([number.ljust(longest) for number in numbers]).view("U1").reshape(len(numbers), longest)
        signs = np.array([*SIGNS, HYPHEN, " "])
        places = np.argsort(signs)
        codes = places[np.searchsorted(signs[places], padded)]
        self.lengths = np.array([len(number) for number in numbers])
        self.parents: list[Rows] = [np.zeros(1, np.int64)]
        self.signs: list[Rows] = [np.array([_HYPHEN_ROW + 1])]
        self.of_number = np.zeros((len(numbers), longest + 1), np.int64)
        for depth in range(1, longest + 1):
            here = self.lengths >= depth
            pairs = self.of_number[here, depth - 1] * 64 + codes[here, depth - 1]
            found, inverse = np.unique(pairs, return_inverse=True)
            self.of_number[here, depth] = inverse
            self.parents.append(found // 64)
            self.signs.append(found % 64)

    def ended(self, last: Sequence[Shares], tail: Sequence[float]) -> Shares:
        """For every number the sum over what is lost at its tail, of what each depth gives for the whole text."""
        total = np.zeros(len(self.lengths))
        rows = np.arange(len(self.lengths))
        flat = np.concatenate(last)
        starts = np.cumsum([0, *(len(some) for some in last)])
        for lost, share in enumerate(tail):
            depth = self.lengths - lost
            deep = depth >= 0
            at = starts[depth[deep]] + self.of_number[rows[deep], depth[deep]]
            total[deep] += share * flat[at]
        return total


class EveryAlignment:
    """The probability of texts, for the numbers of one shop and one way in which a mark comes in."""

    def __init__(self, beginnings: Beginnings, rates: Rates) -> None:
        self._tree, self._rates = beginnings, rates
        self._table = np.vstack([rates.table(), np.zeros(len(SIGNS))])
        self._standing = self._over_styles(None)

    def probability(self, text: str) -> Shares:
        """For every number the probability that just this text is said of it."""
        return self._over_styles(text) / self._standing

    def _over_styles(self, text: str | None) -> Shares:
        """Summed over those who say hyphens and those who never do. ``None`` lets every text through."""
        rates = self._rates
        total = (1 - rates.silent) * self._sum(text, rates.hyphens) if rates.silent < 1 else np.zeros(1)
        if rates.silent > 0 and (text is None or HYPHEN not in text):
            total = total + rates.silent * self._sum(text, 0.0)
        return total

    def _sum(self, text: str | None, spoken: float) -> Shares:
        steps = _AnyText(self._rates) if text is None else _Text(self._table, self._rates, text, spoken)
        tree, gaps = self._tree, self._rates.gaps()
        done: list[Shares] = []
        starting: list[NDArray[np.bool_]] = []
        for depth, (parent, sign) in enumerate(zip(tree.parents, tree.signs, strict=True)):
            here = np.zeros((len(parent), steps.columns))
            starting.append(sign < _HYPHEN_ROW)
            if depth:
                steps.one(here, done[-1][parent], sign)
                before, first = parent, parent
                for length in range(2, min(depth, max(gaps, default=1)) + 1):
                    # ``first`` is the beginning that ends with the first of so many signs, ``before`` the one without
                    # it.
                    before = tree.parents[depth - length + 1][first]
                    begins = starting[depth - length + 1][first]
                    given = done[depth - length][before] * begins[:, None]
                    if length == 2:
                        both = begins & (sign < _HYPHEN_ROW)
                        steps.swap(here, given * both[:, None], sign, tree.signs[depth - 1][first])
                    steps.gap(here, given, gaps.get(length, 0.0))
                    first = before
            if depth < len(self._rates.head):
                here[:, 0] += self._rates.head[depth]
            done.append(here)
        return tree.ended([some[:, -1] for some in done], self._rates.tail)


class _Text:
    """What each step adds, for one text."""

    def __init__(self, table: Shares, rates: Rates, text: str, spoken: float) -> None:
        self.columns = len(text) + 1
        self._rates = rates
        signs = np.array([PLACE.get(sign, -1) for sign in text], np.int64)
        known = signs >= 0
        self._is_run = np.array([sign == RUN for sign in text], float)
        own = np.zeros((_HYPHEN_ROW + 1, len(text)))
        own[np.where(known, signs, _HYPHEN_ROW), np.arange(len(text))] = 1
        own[_HYPHEN_ROW] = 0
        self._own = own
        single = table[:, signs] * known * rates.said
        self._one = single * (1 - rates.followed) + np.array([sign == UNKNOWN for sign in text]) * rates.unknown
        self._one[_HYPHEN_ROW] = np.array([sign == HYPHEN for sign in text]) * spoken
        self._none = np.full(_HYPHEN_ROW + 1, rates.passed_over)
        self._none[_HYPHEN_ROW] = 1 - spoken
        self._two = single[:, :-1] * known[1:] * rates.followed / len(SIGNS) + own[:, :-1] * own[:, 1:] * rates.twice
        self._two[_HYPHEN_ROW] = 0

    def one(self, here: Shares, before: Shares, sign: Rows) -> None:
        here += before * self._none[sign][:, None]
        here[:, 1:] += before[:, :-1] * self._one[sign]
        here[:, 2:] += before[:, :-2] * self._two[sign]

    def swap(self, here: Shares, before: Shares, sign: Rows, previous: Rows) -> None:
        if self._rates.swapped and self.columns > 2:
            both = self._own[sign][:, :-1] * self._own[previous][:, 1:]
            here[:, 2:] += before[:, :-2] * both * self._rates.swapped

    def gap(self, here: Shares, before: Shares, share: float) -> None:
        if share and self._is_run.any():
            here[:, 1:] += before[:, :-1] * self._is_run * share


class _AnyText:
    """The same steps with every text let through: what is left is the share of draws that stand."""

    columns = 1

    def __init__(self, rates: Rates) -> None:
        self._rates = rates

    def one(self, here: Shares, before: Shares, sign: Rows) -> None:
        here += before * np.where(sign < _HYPHEN_ROW, 1 - self._rates.swapped - self._rates.gone, 1.0)[:, None]

    def swap(self, here: Shares, before: Shares, sign: Rows, previous: Rows) -> None:
        here += before * self._rates.swapped

    def gap(self, here: Shares, before: Shares, share: float) -> None:
        here += before * share
