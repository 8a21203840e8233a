"""Which keys fit a damaged symbol best, with a bound on how well any other key could fit.

Each module was seen with a weight: the natural logarithm of how much likelier it is what it looks like than the other.
What a key *costs* is the sum of the weights of the modules that it contradicts, so the difference of two costs is the
logarithm of their odds. The search is that of ordered statistics: the weightiest modules that determine the key are
believed, then all but one of them, all but two …; a key that is not found contradicts one more in each of several such
sets of modules that have none in common, which gives the bound. A bound, unlike a mere second best, cannot be wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from service.marks.key_codes import KeyCode, KeyValues, Words, digits_of
from service.numbering.key import LENGTH

Floats = NDArray[np.float64]

#: A module of less weight than this is left aside when keys are looked for (it still counts in their cost).
_LEAST_WEIGHT = 0.5

#: Unknowns tried in a whole listing, and the most and fewest for one set of modules.
_TRIED_IN_ALL, _TRIED_MOST, _TRIED_LEAST = 1 << 20, 1 << 16, 1 << 11

_MOST_CONTRADICTED = 3
_MOST_SETS, _BLIND_SETS = 6, 2
"""Sets of modules looked at for one code, and when the first so many gave no key at all."""

_DEPENDENT = 24
"""So many modules in a row that say nothing new end a set."""


@dataclass(frozen=True, slots=True)
class Listing:
    """Keys that fit, and how little any other can cost.

    Attributes:
        keys: values 0 to 22 of the keys found, a row a key, none twice.
        outside: no key that is not listed costs less.
    """

    keys: KeyValues
    outside: float


@dataclass(frozen=True, slots=True)
class _Set:
    """Modules that determine the unknown, or all of it but ``nulls``.

    Attributes:
        members: indices of the modules.
        flips: what turning each member over changes in the unknown.
        nulls: what none of the members can see.
    """

    members: list[int]
    flips: list[int]
    nulls: list[int]


def weights_of(soft: Floats) -> tuple[NDArray[np.bool_], Floats]:
    """What each module looks like, and the weight of that."""
    return soft > 0, np.abs(soft)


def costs(codes: Sequence[KeyCode], soft: Floats, keys: KeyValues) -> Floats:
    """What each key costs in a symbol; infinite where no such symbol holds it, the least where several masks do."""
    seen, weight = weights_of(soft)
    made = np.full(len(keys), np.inf)
    for code, candidates in fitting(codes, keys):
        unknown, fits = code.unknown(keys[candidates])
        if fits.any():
            index = candidates[fits]
            unknown = unknown[fits]
            made[index] = np.minimum(made[index], (code.modules(unknown) != seen) @ weight)
    return made


def fitting(codes: Sequence[KeyCode], keys: KeyValues) -> Iterator[tuple[KeyCode, NDArray[np.intp]]]:
    """The codes that may hold some of these keys, and which."""
    digits = digits_of(keys)
    by_digits = {int(one): np.flatnonzero(digits == one) for one in np.unique(digits)}
    every = np.arange(len(keys))
    for code in codes:
        index = every if code.digits is None else by_digits.get(code.digits)
        if index is not None:
            yield code, index


def list_keys(codes: Sequence[KeyCode], soft: Floats, *, window: float) -> Listing:
    """The keys that fit a symbol best.

    Args:
        codes: of this kind of symbol; their constant modules may contradict as well.
        soft: for each module the logarithm of the odds that it is dark; 0 where nothing is known, and at modules that
            no text changes.
        window: how far beyond the cheapest key others are of interest.
    """
    seen, weight = weights_of(soft)
    firm = np.array([weight[(code.rows == 0) & (code.constant != seen)].sum() for code in codes])
    order = np.argsort(firm, kind="stable")
    least = float(firm[order[0]]) if len(order) else np.inf
    many = int((firm <= least + window).sum())
    tried = min(_TRIED_MOST, max(_TRIED_LEAST, _TRIED_IN_ALL // (2 * max(many, 1))))
    left = _TRIED_IN_ALL
    ranked = [int(index) for index in np.argsort(-weight, kind="stable") if weight[index] >= _LEAST_WEIGHT]
    found: list[KeyValues] = []
    best, outside = np.inf, np.inf
    for index in order:
        if firm[index] > best + window or left <= 0:
            outside = min(outside, float(firm[index]))
            break
        code = codes[index]
        keys, cheapest, bound, spent = _search(
            code, ranked, seen, weight, firm=float(firm[index]), enough=best + window, window=window, tried=tried
        )
        best, outside, left = min(best, cheapest), min(outside, bound), left - spent
        if len(keys):
            found.append(keys)
    whole = np.concatenate(found) if found else np.empty((0, LENGTH), dtype=np.int8)
    return Listing(np.unique(whole, axis=0), outside)


def _search(
    code: KeyCode,
    ranked: Sequence[int],
    seen: NDArray[np.bool_],
    weight: Floats,
    *,
    firm: float,
    enough: float,
    window: float,
    tried: int,
) -> tuple[KeyValues, float, float, int]:
    """Keys of one code, the cost of the cheapest, what any other key of it costs at least, and how many were tried."""
    rows = _rows(code)
    target = seen ^ code.constant
    left = [index for index in ranked if rows[index]]
    found: list[KeyValues] = []
    best, bound, spent = np.inf, firm, 0
    for count in range(_MOST_SETS):
        if count == _BLIND_SETS and not found:
            break
        one = _information_set(code.width, rows, left)
        room = tried >> len(one.nulls) if len(one.nulls) < tried.bit_length() else 0
        if not room:
            break
        unknown, missed = _tries(one, target, weight, room)
        spent += len(unknown)
        keys, index = code.keys(unknown)
        if len(keys):
            cost = (code.modules(unknown[index]) != seen) @ weight
            best = min(best, float(cost.min()))
            found.append(keys[cost <= min(enough, best + window)])
        bound += missed
        if bound > min(enough, best + window):
            break
        members = set(one.members)
        left = [index for index in left if index not in members]
    whole = np.concatenate(found) if found else np.empty((0, LENGTH), dtype=np.int8)
    # A key that was found but is not listed is beyond the window.
    return whole, best, min(bound, max(firm, min(enough, best + window))) if found else bound, spent


@lru_cache(maxsize=1024)
def _rows_of(data: bytes) -> list[int]:
    return [int(row) for row in np.frombuffer(data, dtype=np.uint64)]


def _rows(code: KeyCode) -> list[int]:
    return _rows_of(code.rows.tobytes())


def _information_set(width: int, rows: Sequence[int], ranked: Sequence[int]) -> _Set:
    """The weightiest modules whose sums are independent, solved for the unknown bits."""
    basis: dict[int, int] = {}
    members: list[int] = []
    low = (1 << width) - 1
    idle = 0
    for index in ranked:
        value = rows[index]
        origin = 1 << (width + len(members))
        mixed = value | origin
        while value:
            pivot = value.bit_length() - 1
            if pivot not in basis:
                basis[pivot] = mixed
                members.append(index)
                idle = -1
                break
            mixed ^= basis[pivot]
            value = mixed & low
        idle += 1
        if len(members) == width or idle == _DEPENDENT:
            break
    pivots = sorted(basis)
    for pivot in pivots:
        reduced = basis[pivot]
        for other in pivots:
            if other != pivot and basis[other] >> pivot & 1:
                basis[other] ^= reduced
    flips = [0] * len(members)
    for pivot in pivots:
        origins = basis[pivot] >> width
        while origins:
            lowest = origins & -origins
            flips[lowest.bit_length() - 1] |= 1 << pivot
            origins ^= lowest
    nulls = [
        1 << free | sum(1 << pivot for pivot in pivots if basis[pivot] >> free & 1)
        for free in range(width)
        if free not in basis
    ]
    return _Set(members, flips, nulls)


def _tries(one: _Set, target: NDArray[np.bool_], weight: Floats, room: int) -> tuple[Words, float]:
    """All unknowns that contradict few enough of a set, and the least weight that any other contradicts in it."""
    start = 0
    for member, flip in zip(one.members, one.flips, strict=True):
        if target[member]:
            start ^= flip
    size = len(one.members)
    flips = np.array(one.flips, dtype=np.uint64)
    patterns = [np.zeros(1, dtype=np.uint64)]
    count, contradicted = 1, 0
    for more in range(1, _MOST_CONTRADICTED + 1):
        chosen = _chosen(size, more)
        if count + len(chosen) > room:
            break
        count += len(chosen)
        contradicted = more
        patterns.append(np.bitwise_xor.reduce(flips[chosen], axis=1))
    nulls = np.zeros(1, dtype=np.uint64)
    for null in one.nulls:
        nulls = np.concatenate((nulls, nulls ^ np.uint64(null)))
    together = np.concatenate(patterns) ^ np.uint64(start)
    lightest = np.sort(weight[one.members])[: contradicted + 1]
    missed = float(lightest.sum()) if len(lightest) == contradicted + 1 else np.inf
    return (together[:, None] ^ nulls[None, :]).ravel(), missed


@lru_cache(maxsize=256)
def _chosen(size: int, count: int) -> NDArray[np.intp]:
    made: NDArray[np.intp] = np.array(list(combinations(range(size), count)), dtype=np.intp)
    return made.reshape(-1, count)
