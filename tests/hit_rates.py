"""How often the true number is among the first of a search, beside the most that anybody can reach.

The limit comes from the numbers alone. Of signs that are lost nothing is known, so all issued numbers that agree with
the rest are alike: of ten of them the best ranking names the true one first in a tenth of all cases. Of signs that are
misread it is known how likely each is taken for each other (by the callers' own table), and that so many are wrong:
the best ranking is by that likelihood, over all numbers that differ in just so many signs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

import numpy as np
from numpy.typing import NDArray

from service.numbering.error_model import CameBy, error_model
from service.numbering.fragment import parse_fragment
from service.numbering.number_index import NumberIndex
from tests.bench.search_yardsticks import ColumnScan, Rows
from tests.callers.confusions import PLACE, taken_for
from tests.callers.limit import share_among_first
from tests.damaged_numbers import lost_signs, misread_signs

PLACES = (1, 3, 10)
COUNTS = tuple(range(1, 9))
DAMAGES = ("lost", "misread")


@dataclass(frozen=True, slots=True)
class HitRates:
    """Shares of damaged numbers by how far down the true one stands, for each of ``PLACES``."""

    damage: str
    count: int
    known: bool
    reached: tuple[float, ...]
    limit: tuple[float, ...]


class HitMeter:
    """The numbers of a shop, with the plant and the stock colour of each as one figure."""

    def __init__(self, numbers: Sequence[str], index: NumberIndex, scan: ColumnScan, groups: NDArray[np.int64]) -> None:
        self._numbers, self._index, self._scan, self._groups = numbers, index, scan, groups
        self._row_of = {number: row for row, number in enumerate(numbers)}
        self._table = taken_for("eye", 1.0)

    def measure(self, damage: str, count: int, *, cases: int, seed: int = 9) -> tuple[HitRates, HitRates]:
        """Without plant and colour, and with both known for certain."""
        draw = Random(f"{damage} {count} {seed}")
        reached, limits = np.zeros((2, len(PLACES))), np.zeros((2, len(PLACES)))
        for _ in range(cases):
            true = draw.randrange(len(self._numbers))
            spoil = lost_signs if damage == "lost" else misread_signs
            left = spoil(draw, self._numbers[true], count)
            rows, scores = self._best(damage, left, count)
            found = self._found(left)
            for known in (0, 1):
                of_group = self._groups[rows] == self._groups[true] if known else np.ones(len(rows), bool)
                own = rows[of_group]
                first = [row for row in found if not known or self._groups[row] == self._groups[true]]
                for at, places in enumerate(PLACES):
                    reached[known, at] += true in first[:places]
                    limits[known, at] += share_among_first(scores[of_group], int(np.searchsorted(own, true)), places)
        return tuple(
            HitRates(damage, count, bool(known), tuple(reached[known] / cases), tuple(limits[known] / cases))
            for known in (0, 1)
        )  # type: ignore[return-value]  # of just two

    def _found(self, left: str) -> list[int]:
        matches = self._index.search(parse_fragment(left), error_model(CameBy.EYE), limit=1000)
        return [self._row_of[match.number] for match in matches]

    def _best(self, damage: str, left: str, count: int) -> tuple[Rows, NDArray[np.float64]]:
        """All numbers that it may have been, in the order of the shop, and the logarithm of how likely each is."""
        if damage == "lost":
            rows = self._scan.agreeing(left)
            return rows, np.zeros(len(rows))
        rows = np.flatnonzero(self._scan.differing(left) == count)
        scores = np.zeros(len(rows))
        for at, sign in enumerate(left):
            column = self._scan.column(at)[rows]
            if sign in PLACE:
                log = np.full(256, -np.inf)
                for true, row in PLACE.items():
                    log[ord(true)] = 0.0 if true == sign else np.log(self._table[row, PLACE[sign]])
                scores += log[column]
        return rows, scores
