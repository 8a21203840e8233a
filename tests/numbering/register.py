"""Records kept in memory: sets of what was issued, and a count of how often they were asked."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from service.numbering.alike import SIGN_CLASSES
from service.numbering.check import check_digits
from service.numbering.outcome import Repair


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


NUMBER = "OSV4-FC1-A500-SW2-U3-42"
NUMBERS = [numbered(f"OSV4-FC1-A500-SW2-{place}") for place in ("U1", "U2", "U3", "U4", "L1", "L2")]
KEYS = ("K7M4XRAW", "P3HW9TCP", "R8CN5JF3")
REGISTER = SetRegister(numbers=NUMBERS, keys=KEYS)
LOOKS_LIKE = {sign: [other for other in signs if other != sign] for signs in SIGN_CLASSES for sign in signs}


def repairs(*triples: tuple[int, str, str]) -> tuple[Repair, ...]:
    """Repairs from position, sign read and sign meant."""
    return tuple(Repair(*triple) for triple in triples)
