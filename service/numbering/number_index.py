"""All issued numbers in little memory, and the search among them from whatever is left of one.

What is kept stands in ``issued``, how it is searched in ``number_search``. A search works on the value that it found
when it began; to add numbers makes another value, so neither waits for the other.
"""

from __future__ import annotations

from collections.abc import Iterable
from threading import Lock
from typing import Self

from service.numbering.agreement import Consistent
from service.numbering.error_model import ErrorModel
from service.numbering.fragment import Fragment
from service.numbering.given import Given
from service.numbering.grid_costs import STEP, grid_costs, on_grid
from service.numbering.issuing import EMPTY, with_numbers
from service.numbering.matches import Match
from service.numbering.number_search import cheapest

__all__ = ["WITHIN", "Consistent", "Match", "NumberIndex"]

WITHIN = 6.0
"""How much dearer than the cheapest a match may be, unless it is said: one in 400 as likely."""


class NumberIndex:
    """Issued numbers; any number of threads may search while others add."""

    def __init__(self) -> None:
        self._issued = EMPTY
        self._adding = Lock()

    @classmethod
    def from_numbers(cls, numbers: Iterable[str]) -> Self:
        """An index of numbers as they are printed, in any order; a million take two seconds.

        Raises:
            BadCharacter, BadNumber: a number leaves the grammar, by position.
            BadCheck: check digits that do not fit.
        """
        index = cls()
        index.add_all(numbers)
        return index

    def add(self, number: str) -> None:
        """Take in one more number as it is printed; one that is there already changes nothing.

        Raises:
            BadCharacter, BadNumber: it leaves the grammar, by position.
            BadCheck: check digits that do not fit.
        """
        self.add_all((number,))

    def add_all(self, numbers: Iterable[str]) -> None:
        """Take in more numbers at once, much quicker than one by one; a search sees all of them or none.

        Raises:
            BadCharacter, BadNumber: a number leaves the grammar, by position; then none is taken in.
            BadCheck: check digits that do not fit.
        """
        with self._adding:
            self._issued = with_numbers(self._issued, numbers)

    def __len__(self) -> int:
        return self._issued.count

    def __contains__(self, number: object) -> bool:
        """Whether a number as it is printed was issued: the exact answer, in microseconds."""
        return isinstance(number, str) and self._issued.find(number) is not None

    def search(self, fragment: Fragment, model: ErrorModel, limit: int = 10, *, within: float = WITHIN) -> list[Match]:
        """The cheapest issued numbers, the cheapest first, equal ones in natural order.

        That is exact: no issued number that is left out is cheaper than one that is answered.

        Args:
            fragment: what is left of the number.
            model: the costs of what can go wrong.
            limit: how many at most.
            within: those that cost so much more than the cheapest are left out.
        """
        issued = self._issued
        given = Given(fragment, grid_costs(model))
        return [
            Match(issued.number(member), given.base + steps * STEP, fragment, model)
            for steps, member in cheapest(issued, given, limit, on_grid(within))
        ]

    def consistent(self, fragment: Fragment) -> Consistent:
        """The issued numbers that agree with every sign of a fragment that could be read.

        Each sign that was read stands in the number, in this order, with one sign for each ``?`` and any for each
        ``*``; hyphens that are given stand between groups; the beginning and the end may be missing.
        """
        return Consistent(self._issued, fragment)
