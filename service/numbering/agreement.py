"""The issued numbers that agree with every sign of a fragment that could be read: how many, and which."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property
from heapq import merge
from itertools import compress

from service.numbering.columns import flags
from service.numbering.fragment import Fragment
from service.numbering.given import Given
from service.numbering.grid_costs import GridCosts
from service.numbering.issued import CHECKS, Fitted, Issued
from service.numbering.number_search import parts

__all__ = ["Consistent"]


class _NoSlips:
    """What was read is right; only what was not read may be anything."""

    swapped = math.inf
    lost_head = lost_tail = lost_hyphen = 0.0

    def substitution(self, read: str, true: str) -> float:
        return 0.0 if read == true else math.inf

    def lost(self, _: str) -> float:
        return math.inf

    def extra(self, _: str) -> float:
        return math.inf

    def doubled(self, _: str) -> float:
        return math.inf


_NO_SLIPS = GridCosts(_NoSlips())

Product = tuple[int, int, int, int]
"""Sets of kits, of assemblies, of places, and of check digits."""


class Consistent:
    """The issued numbers that agree with a fragment, at the moment in which they were asked for."""

    def __init__(self, issued: Issued, fragment: Fragment) -> None:
        self._issued = issued
        self._products = tuple(_products(issued, Given(fragment, _NO_SLIPS))) if issued.count else ()

    def __iter__(self) -> Iterator[str]:
        """They themselves, in natural order, found as they are asked for."""
        last = None
        for member in merge(*(self._issued.checked(*product) for product in self._products)):
            if member != last:
                yield self._issued.number(member)
            last = member

    @cached_property
    def count(self) -> int:
        """How many there are."""
        if any(values != CHECKS.everybody for _, _, _, values in self._products):
            last, count = None, 0
            for member in merge(*(self._issued.checked(*product) for product in self._products)):
                count += member != last
                last = member
            return count
        return sum(self._of_assembly(nth, fitted) for nth, fitted in enumerate(self._issued.fitted))

    def _of_assembly(self, nth: int, fitted: Fitted) -> int:
        """How many of them are of one assembly."""
        # Sets of kits that have nothing in common, each with the places that are asked of them.
        parted: list[tuple[int, int]] = []
        for kits, assemblies, places, _ in self._products:
            left = kits & fitted.kits if assemblies >> nth & 1 else 0
            if not left:
                continue
            again: list[tuple[int, int]] = []
            for some, asked in parted:
                again += [(some & left, asked | places), (some & ~left, asked)]
                left &= ~some
            parted = [pair for pair in (*again, (left, places)) if pair[0]]
        return sum(_count(fitted, kits, places, self._issued.kits.count) for kits, places in parted)


def _products(issued: Issued, given: Given) -> Iterator[Product]:
    stream, stages = parts(issued, given)
    while stream.frontier == 0:
        stream.step()
    for _, _, place, (kits, assemblies, places) in stream.items:
        if place == given.tailless:
            yield kits, assemblies, places, CHECKS.everybody
            continue
        checks = stages.checks(place)
        while checks.frontier == 0:
            checks.step()
        values = 0
        for steps, _, _, (some,) in checks.items:
            values |= some if steps == 0 else 0
        if values:
            yield kits, assemblies, places, values


def _count(fitted: Fitted, kits: int, places: int, count: int) -> int:
    """How many places of a set the kits of another have in an assembly."""
    many = [(pattern & places).bit_count() for pattern in fitted.patterns]
    which = iter(fitted.which)
    if kits != fitted.kits:
        which = compress(fitted.which, compress(flags(kits, count), flags(fitted.kits, count)))
    return sum(map(many.__getitem__, which))
