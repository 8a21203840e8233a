"""The keys that a fragment of a key may be, the likeliest first.

A key has eight symbols of 23, and the last is settled by those before it: of any 23 keys that differ in one place only
one was ever possible. So a fragment is laid over the eight places in every way that the error model allows (a symbol
lost, one too many, two swapped, either end broken off), and the readings of its symbols are gone through from cheap to
dear. What comes out are patterns: places with a symbol, and places that nobody could read. A pattern without open
places is a key only if its check fits; the keys behind one with open places are 23 to the number of those, less one.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

from service.numbering.alignment import RUN, UNKNOWN
from service.numbering.error_model import ErrorModel
from service.numbering.key import ALPHABET, LENGTH, weighted_sum

__all__ = ["OPEN", "WORTH_ASKING", "KeyPattern", "agreeing_patterns", "key_patterns", "keys_of", "least_of_three_slips"]

OPEN = "?"
"""A place of a pattern that nobody could read."""

WORTH_ASKING = 12.0
"""Patterns this much dearer than the cheapest are not given: fewer than one in a hundred thousand was read so."""

_MOST_SLIPS = 2
"""Symbols lost, added, doubled or swapped; any number of them may be misread."""

_MODULUS = len(ALPHABET)
_VALUE = {symbol: value for value, symbol in enumerate(ALPHABET)}

Slot = tuple[tuple[float, str], ...]
"""What may stand at a place, the cheapest first."""

_FREE: Slot = ((0.0, OPEN),)


@dataclass(frozen=True, slots=True, order=True)
class KeyPattern:
    """Eight places of a key: symbols, and :data:`OPEN` where any may stand; all its keys cost the same.

    Attributes:
        cost: of reading any of its keys as the fragment says.
        symbols: the places.
        slips: how many symbols were taken for another, lost, added, doubled or swapped.
    """

    cost: float
    symbols: str
    slips: int

    @property
    def keys(self) -> int:
        """How many keys fit it, whether or not they were ever given; for one without open places 1."""
        return int(_MODULUS ** max(self.symbols.count(OPEN) - 1, 0))

    @property
    def known_head(self) -> str:
        """The symbols before the first open place."""
        return self.symbols.partition(OPEN)[0]


@dataclass(frozen=True, slots=True)
class _Laid:
    """A fragment laid over the eight places in one way.

    Attributes:
        cost: of what is lost, added, doubled or swapped.
        slips: how many of these there are; ends that are broken off are none.
        slots: what may stand at each place.
        reads: what was read there; a blank where nothing was, or where it counts as a slip already.
    """

    cost: float
    slips: int
    slots: tuple[Slot, ...]
    reads: str

    @property
    def cheapest(self) -> float:
        return self.cost + sum(slot[0][0] for slot in self.slots)


def key_patterns(read: str, model: ErrorModel) -> Iterator[KeyPattern]:
    """The patterns that a fragment may be, the cheapest first, up to :data:`WORTH_ASKING` above it.

    The same key may fit several patterns; the first is the likeliest.

    Args:
        read: capital letters and digits, ``?`` for one symbol and ``*`` for any run of symbols that nobody could read;
            hyphens left out.
        model: the costs.
    """
    waiting = sorted(_Laying(read, model).all(), key=lambda laid: laid.cheapest, reverse=True)
    heap: list[tuple[KeyPattern, int, Iterator[KeyPattern]]] = []
    dearest = math.inf
    numbers = itertools.count()
    while True:
        while waiting and (not heap or waiting[-1].cheapest <= heap[0][0].cost):
            _push(heap, next(numbers), _readings(waiting.pop()))
        if not heap:
            return
        pattern, number, more = heapq.heappop(heap)
        if pattern.cost > dearest:
            return
        dearest = min(dearest, pattern.cost + WORTH_ASKING)
        yield pattern
        _push(heap, number, more)


def least_of_three_slips(model: ErrorModel) -> float:
    """What a fragment costs at least with more symbols lost, added, doubled or swapped than is reckoned with."""
    doubled = min(model.same(symbol) + model.doubled(symbol) for symbol in ALPHABET)
    return (_MOST_SLIPS + 1) * min(*map(model.lost, ALPHABET), model.added, model.swapped, doubled)


def agreeing_patterns(read: str, model: ErrorModel) -> tuple[KeyPattern, ...]:
    """The patterns of all keys that agree with every symbol that was read, the cheapest first."""
    found: list[KeyPattern] = []
    for laid in _Laying(read, model, most_slips=0).all():
        symbols = "".join(OPEN if sign == " " else sign for sign in laid.reads)
        if all(symbol == OPEN or symbol in _VALUE for symbol in symbols):
            taken = sum(model.same(symbol) for symbol in symbols if symbol != OPEN)
            found.append(KeyPattern(laid.cost + taken, symbols, 0))
    return tuple(sorted(found))


def _push(
    heap: list[tuple[KeyPattern, int, Iterator[KeyPattern]]], number: int, patterns: Iterator[KeyPattern]
) -> None:
    pattern = next(patterns, None)
    if pattern is not None:
        heapq.heappush(heap, (pattern, number, patterns))


def keys_of(pattern: KeyPattern) -> Iterator[str]:
    """The keys that fit a pattern: their check fits, and they are not all of one symbol."""
    places = [place for place, symbol in enumerate(pattern.symbols) if symbol == OPEN]
    if not places:
        if not weighted_sum(pattern.symbols) and len(set(pattern.symbols)) > 1:
            yield pattern.symbols
        return
    *free, last = places
    symbols = list(pattern.symbols)
    known = sum(place * _VALUE[symbol] for place, symbol in enumerate(symbols, 1) if symbol != OPEN)
    solved = -pow(last + 1, -1, _MODULUS)
    for chosen in product(range(_MODULUS), repeat=len(free)):
        total = known
        for place, value in zip(free, chosen, strict=True):
            symbols[place] = ALPHABET[value]
            total += (place + 1) * value
        symbols[last] = ALPHABET[total * solved % _MODULUS]
        key = "".join(symbols)
        if len(set(key)) > 1:
            yield key


def _readings(laid: _Laid) -> Iterator[KeyPattern]:
    """The patterns of one way to lay a fragment, the cheapest first: the next symbol at one place after another."""
    slots = laid.slots
    settled = _FREE not in slots
    # What each choice adds to the weighted sum of the key.
    adds = [[place * _VALUE.get(symbol, 0) for _, symbol in slot] for place, slot in enumerate(slots, 1)]
    heap = [(laid.cheapest, (0,) * LENGTH, 0, sum(added[0] for added in adds))]
    while heap:
        cost, chosen, first, total = heapq.heappop(heap)
        if not settled or not total % _MODULUS:
            symbols = "".join([slot[n][1] for slot, n in zip(slots, chosen, strict=True)])
            misread = sum([read not in (" ", symbol) for read, symbol in zip(laid.reads, symbols, strict=True)])
            yield KeyPattern(cost, symbols, laid.slips + misread)
        # Each choice is made from one before it by going on at a place or right of it: none comes twice.
        for place in range(first, LENGTH):
            slot, n = slots[place], chosen[place] + 1
            if n < len(slot):
                dearer = cost + slot[n][0] - slot[n - 1][0]
                added = total + adds[place][n] - adds[place][n - 1]
                heapq.heappush(heap, (dearer, (*chosen[:place], n, *chosen[place + 1 :]), place, added))


class _Laying:
    """All ways to lay a fragment over the eight places with few enough slips."""

    def __init__(self, read: str, model: ErrorModel, *, most_slips: int = _MOST_SLIPS) -> None:
        self._read = read
        self._most_slips = most_slips
        self._model = model
        # How likely a symbol is to get lost hardly depends on which it is; its place counts as one nobody could read.
        self._lost = sum(map(model.lost, ALPHABET)) / _MODULUS
        self._slots = {sign: self._slot(sign) for sign in read if sign not in (UNKNOWN, RUN)}

    def all(self) -> Iterator[_Laid]:
        yield from self._from(0, 0, _Laid(0.0, 0, (), ""))
        if not self._read.startswith(RUN):
            for head in range(1, LENGTH):
                yield from self._from(0, head, _Laid(self._model.lost_head, 0, (_FREE,) * head, " " * head))

    def _slot(self, sign: str, *, twice: bool = False) -> Slot:
        model = self._model
        return tuple(
            sorted(
                (model.substitution(sign, true) + (model.doubled(true) if twice else 0.0), true) for true in ALPHABET
            )
        )

    def _from(self, i: int, j: int, laid: _Laid) -> Iterator[_Laid]:
        """Go on from the i-th sign as read and the j-th place."""
        if i == len(self._read):
            yield from self._ended(j, laid)
            return
        sign = self._read[i]
        if sign == RUN:
            for length in range(LENGTH - j + 1):
                yield from self._from(i + 1, j + length, _with(laid, (_FREE,) * length, " " * length))
            return
        if sign == UNKNOWN:
            if j < LENGTH:
                yield from self._from(i + 1, j + 1, _with(laid, (_FREE,), " "))
        elif j < LENGTH:
            yield from self._from(i + 1, j + 1, _with(laid, (self._slots[sign],), sign))
        if laid.slips < self._most_slips:
            yield from self._slipped(i, j, laid)

    def _slipped(self, i: int, j: int, laid: _Laid) -> Iterator[_Laid]:
        sign, following = self._read[i], self._read[i + 1 : i + 2]
        model = self._model
        if j < LENGTH:
            yield from self._from(i, j + 1, _with(laid, (_FREE,), " ", self._lost))
        if sign == UNKNOWN:
            return
        yield from self._from(i + 1, j, _with(laid, (), "", model.added))
        if following == sign and j < LENGTH:
            yield from self._from(i + 2, j + 1, _with(laid, (self._slot(sign, twice=True),), " ", 0.0))
        elif j + 1 < LENGTH and sign in _VALUE and following in _VALUE:
            slots: tuple[Slot, ...] = (((0.0, following),), ((0.0, sign),))
            yield from self._from(i + 2, j + 2, _with(laid, slots, "  ", model.swapped))

    def _ended(self, j: int, laid: _Laid) -> Iterator[_Laid]:
        left = LENGTH - j
        if not left:
            yield laid
        elif not self._read.endswith(RUN):
            tail = _with(laid, (_FREE,) * left, " " * left, self._model.lost_tail)
            yield replace(tail, slips=laid.slips)


def _with(laid: _Laid, slots: tuple[Slot, ...], reads: str, slip: float | None = None) -> _Laid:
    """A way gone on with; ``slip`` is what a slip costs, None where there is none."""
    return _Laid(laid.cost + (slip or 0.0), laid.slips + (slip is not None), laid.slots + slots, laid.reads + reads)
