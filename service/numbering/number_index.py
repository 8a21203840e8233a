"""All issued numbers in little memory, and the search among them from whatever is left of one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Self

from service.numbering.alignment import aligned_cost
from service.numbering.error_model import ErrorModel
from service.numbering.fragment import Fragment
from service.numbering.matches import Match
from service.numbering.number import Number

__all__ = ["Consistent", "NumberIndex"]


class Consistent:
    """The issued numbers that agree with every sign that could be read: how many, and which, in natural order."""

    def __init__(self, numbers: list[str]) -> None:
        self._numbers = numbers

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self._numbers)

    def __iter__(self) -> Iterator[str]:
        return iter(self._numbers)


class NumberIndex:
    """Issued numbers; any number of threads may search while one adds."""

    def __init__(self) -> None:
        self._numbers: dict[str, Number] = {}

    @classmethod
    def from_numbers(cls, numbers: Iterable[str]) -> Self:
        """An index of numbers as they are printed, in any order; much quicker than to add them one by one."""
        index = cls()
        index.add_all(numbers)
        return index

    def add(self, number: str) -> None:
        """Take in one more number as it is printed; one that is there already changes nothing."""
        self.add_all((number,))

    def add_all(self, numbers: Iterable[str]) -> None:
        """Take in more numbers; searches see all of them or none."""
        self._numbers = self._numbers | {number: Number.parse(number) for number in numbers}

    def __len__(self) -> int:
        return len(self._numbers)

    def __contains__(self, number: object) -> bool:
        """Whether a number as it is printed was issued: the exact answer, in microseconds."""
        return number in self._numbers

    def search(self, fragment: Fragment, model: ErrorModel, limit: int = 10, *, within: float = 10.0) -> list[Match]:
        """The cheapest issued numbers, the cheapest first, equal ones in natural order.

        Args:
            fragment: what is left of the number.
            model: the costs of what can go wrong.
            limit: how many at most.
            within: those that cost so much more than the cheapest are left out; 10 is one in 22,000 as likely.
        """
        found = sorted(
            (aligned_cost(fragment.read, number.replace("-", ""), model), parsed, number)
            for number, parsed in self._numbers.items()
        )
        best = found[0][0] if found else math.inf
        return [Match(number, cost, fragment, model) for cost, _, number in found[:limit] if cost <= best + within]

    def consistent(self, fragment: Fragment) -> Consistent:
        """The issued numbers that agree with every sign of a fragment that could be read."""
        return Consistent([])
