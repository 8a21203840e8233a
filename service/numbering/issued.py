"""All issued numbers in little memory: a value that is never changed, only made anew with more numbers in it.

A number is a kit, an assembly, a place in it, and the check that follows from these. Of the kits, of the assemblies and
of the places each different one is kept once, in natural order, as columns of bits. Which place of which kit was issued
says a pattern: the set of the places of one assembly of one kit. There are few different patterns, since machines are
alike; a kit that is like no other costs one pattern more. For each assembly there is the set of kits that have it, and
for these, in their order, the pattern of each.
"""

from __future__ import annotations

import re
from array import array
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from heapq import merge
from itertools import compress
from typing import NamedTuple

from service.numbering.columns import HYPHEN, Columns, bits_of, flags
from service.numbering.kit_keys import KEY_BYTES, Halves, kit_of

__all__ = [
    "ASSEMBLY",
    "CHECKS",
    "KIT",
    "PLACE",
    "Fitted",
    "Issued",
    "Member",
    "Weight",
    "halves_of",
    "kit_text",
    "natural",
]

KIT = ("plant", "line", HYPHEN, "machine_class", "machine", HYPHEN, "design", "nominal", HYPHEN)
ASSEMBLY = ("assembly", "assembly_ordinal", HYPHEN)
PLACE = ("deck", "ordinal", HYPHEN)
CHECKS = Columns.of(("check",), [(f"{value:02d}",) for value in range(2, 99)])
"""The check digits that there are; the ``n``-th is ``n + 2``."""

_MANY_KITS = 200
_MANY_CHECKS = 64
_RARE = 10
_HALVES = re.compile("[A-Z]+|[0-9]+")


class Member(NamedTuple):
    """An issued number by the places of its parts in their order."""

    kit: int
    assembly: int
    place: int


@dataclass(frozen=True, slots=True)
class Fitted:
    """An assembly over all kits.

    Attributes:
        kits: the set of kits that have it.
        which: for each of these, in their order, which pattern.
        patterns: sets of places.
    """

    kits: int
    which: array[int]
    patterns: tuple[int, ...]

    def kits_with(self, places: int, count: int) -> int:
        """The kits that have any of some places in this assembly; of places that most kits have, all kits.

        Args:
            places: the places.
            count: how many kits there are in all.
        """
        hits = [bool(pattern & places) for pattern in self.patterns]
        if sum(map(hits.__getitem__, self.which)) * _RARE > len(self.which):
            return self.kits
        found = compress(compress(range(count), flags(self.kits, count)), map(hits.__getitem__, self.which))
        written = bytearray(b"0" * count)
        for kit in found:
            written[count - 1 - kit] = ord("1")
        return int(written, 2)

    def pattern(self, kit: int) -> int:
        """The places that a kit has in this assembly."""
        if not self.kits >> kit & 1:
            return 0
        return self.patterns[self.which[(self.kits & ((1 << kit) - 1)).bit_count()]]


class Weight(NamedTuple):
    """What signs stand for in a check: their value, and ten to the power of how many digits they are, modulo 97."""

    value: int
    shift: int

    @classmethod
    def of(cls, text: str) -> Weight:
        """The weight of capital letters and digits, letters as 10 (A) to 35 (Z); hyphens count nothing."""
        digits = "".join([str(int(sign, 36)) for sign in text if sign != HYPHEN])
        return cls(int(digits) % 97, pow(10, len(digits), 97))


@dataclass(frozen=True, slots=True, eq=False)
class Issued:
    """Issued numbers; a value.

    Attributes:
        kits: the kits.
        keys: the kits in nine bytes each, in their order.
        remainders: what each kit stands for in a check, modulo 97.
        assemblies: the assemblies.
        assembly_texts: the assemblies as they are printed.
        places: the places inside an assembly, deck and ordinal.
        place_texts: these as they are printed.
        fitted: each assembly over all kits.
        count: how many numbers there are.
    """

    kits: Columns
    keys: bytes
    remainders: bytes
    assemblies: Columns
    assembly_texts: tuple[str, ...]
    places: Columns
    place_texts: tuple[str, ...]
    fitted: tuple[Fitted, ...]
    count: int

    def kit_text(self, kit: int) -> str:
        """A kit as it is printed."""
        return kit_text(kit_of(self.keys[kit * KEY_BYTES : (kit + 1) * KEY_BYTES]))

    def check(self, member: Member) -> int:
        """The check digits of a number."""
        assembly, place = _weight(self.assembly_texts[member.assembly]), _weight(self.place_texts[member.place])
        value = (self.remainders[member.kit] * assembly.shift + assembly.value) * place.shift + place.value
        return 98 - value * 100 % 97

    def number(self, member: Member) -> str:
        """A number as it is printed."""
        place = f"{self.assembly_texts[member.assembly]}-{self.place_texts[member.place]}"
        return f"{self.kit_text(member.kit)}-{place}-{self.check(member):02d}"

    def members(self, kits: int, assemblies: int, places: int) -> Iterator[Member]:
        """The numbers whose parts stand in three sets, in natural order, found as they are asked for."""
        some = []
        anywhere = 0
        for nth in bits_of(assemblies):
            fitted = self.fitted[nth]
            own = fitted.kits & kits
            if own and own.bit_count() > _MANY_KITS:
                own &= fitted.kits_with(places, self.kits.count)
            if own:
                some.append((nth, own, fitted))
                anywhere |= own
        for kit in bits_of(anywhere):
            below = (1 << kit) - 1
            for nth, own, fitted in some:
                if own >> kit & 1:
                    pattern = fitted.patterns[fitted.which[(fitted.kits & below).bit_count()]] & places
                    while pattern:
                        one = pattern & -pattern
                        yield Member(kit, nth, one.bit_length() - 1)
                        pattern ^= one

    def checked(self, kits: int, assemblies: int, places: int, values: int) -> Iterator[Member]:
        """Those of :meth:`members` whose check is one of a set of :data:`CHECKS`, in natural order."""
        if values == CHECKS.everybody:
            return self.members(kits, assemblies, places)
        wanted = values.bit_count() * assemblies.bit_count() * places.bit_count()
        if kits.bit_count() <= _MANY_KITS or wanted > _MANY_CHECKS:
            return (one for one in self.members(kits, assemblies, places) if values >> (self.check(one) - 2) & 1)
        return merge(
            *(
                self.members(kits & self._with_remainders(assembly, place, values), 1 << assembly, 1 << place)
                for assembly in bits_of(assemblies)
                for place in bits_of(places)
            )
        )

    def _with_remainders(self, assembly: int, place: int, values: int) -> int:
        """The kits that give a place one of these checks."""
        first, last = _weight(self.assembly_texts[assembly]), _weight(self.place_texts[place])
        wanted = bytearray(b"0" * 256)
        for value in bits_of(values):
            # Back from the check to what the kit stands for: 100 times it all and the check make 98, modulo 97.
            whole = (96 - value) * pow(100, -1, 97)
            wanted[((whole - last.value) * pow(last.shift, -1, 97) - first.value) * pow(first.shift, -1, 97) % 97] = 49
        return int(self.remainders[::-1].translate(wanted) or b"0", 2)

    def find(self, number: str) -> Member | None:
        """Where a number stands; None when it was never issued. A matter of microseconds."""
        halves = _HALVES.findall(number)
        if len(halves) != 11:
            return None
        kit = self.kits.find(tuple(halves[:6]))
        assembly = bisect_left(self.assembly_texts, natural(f"{halves[6]}{halves[7]}"), key=natural)
        place = bisect_left(self.place_texts, natural(f"{halves[8]}{halves[9]}"), key=natural)
        if not kit or assembly == len(self.assembly_texts) or place == len(self.place_texts):
            return None
        member = Member(kit.bit_length() - 1, assembly, place)
        there = self.fitted[assembly].pattern(member.kit) >> place & 1
        return member if there and self.number(member) == number else None


def halves_of(text: str) -> tuple[str, ...]:
    """The letters and digits of a text, parted."""
    return tuple(_HALVES.findall(text))


def kit_text(halves: Halves) -> str:
    """A kit as it is printed, from its halves."""
    plant, line, machine_class, machine, design, nominal = halves
    return f"{plant}{line}-{machine_class}{machine}-{design}{nominal}"


@lru_cache(maxsize=4096)
def _weight(text: str) -> Weight:
    return Weight.of(text)


@lru_cache(maxsize=4096)
def natural(text: str) -> tuple[str, int]:
    """Natural order of one group: its letters, then its number."""
    letters = text.rstrip("0123456789")
    return letters, int(text[len(letters) :])
