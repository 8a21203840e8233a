"""Records kept in memory: sets of what was issued, and a count of how often they were asked."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from service.numbering.check import check_digits


def numbered(body: str) -> str:
    """A number from what stands before its check."""
    return f"{body}-{check_digits(body)}"


class SetRegister:
    """Issued numbers and keys."""

    def __init__(self, *, numbers: Iterable[str] = (), keys: Iterable[str] = ()) -> None:
        self.numbers = frozenset(numbers)
        self.keys = frozenset(keys)
        self.asked: list[int] = []

    def issued_numbers(self, numbers: Collection[str]) -> Collection[str]:
        self.asked.append(len(numbers))
        return self.numbers & set(numbers)

    def issued_keys(self, keys: Collection[str]) -> Collection[str]:
        self.asked.append(len(keys))
        return self.keys & set(keys)


class PartSetRegister(SetRegister):
    """Issued numbers and keys, and what stands in the numbers."""

    def issued_parts(self, parts: Collection[str]) -> Collection[str]:
        return {part for part in parts for number in self.numbers if f"-{part}-" in f"-{number}-"}
