"""The key of a plate out of all that is left of all its symbols, when no single one of them decodes any more.

The modules of copies of one symbol are weighed together, then those of other symbols that bear the same key; each key
is judged by all modules of all symbols that would bear it. A key is an answer only when it is ahead of every other by
:data:`LEAST_MARGIN`; otherwise there are candidates, none of them picked.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from service.marks.data_matrix_places import data_matrix_places
from service.marks.items import Layout, PlacedSymbol
from service.marks.key_codes import KeyCode, data_matrix_codes, is_key, key_text, key_values, known_modules, qr_codes
from service.marks.key_search import Floats, Listing, costs, fitting, list_keys
from service.marks.qr_masks import QrLevel
from service.marks.qr_places import qr_places
from service.marks.symbols import SymbolKind
from service.numbering.key import ALPHABET, LENGTH
from service.render.merge_sampling import Sample, sample_placed, soft_modules
from service.render.read_back import Grey

LEAST_MARGIN = 9.0
"""Powers of ten by which a key must be likelier than every other, and than chance, to be an answer."""

_WINDOW = 1.15 * LEAST_MARGIN * math.log(10)
"""Keys costlier than the cheapest by more than this are of no interest."""

_ALL_KEYS = (LENGTH - 1) * math.log(len(ALPHABET))
"""Logarithm of the number of keys: so much likelier than chance the best of them fits by mere luck."""

_CANDIDATES = 5
_FIRM = 1.0
_QR_LEVELS: tuple[QrLevel, ...] = ("Q", "M", "L", "H")

Use = Literal["whole", "in part", "lost"]


@dataclass(frozen=True, slots=True)
class UsedSymbol:
    """What one symbol gave to a reading.

    Attributes:
        index: of the symbol in its layout.
        kind: of symbol.
        legible: share of its modules of which something is known.
        agrees: share of those that are as the answer would have them; None without an answer.
    """

    index: int
    kind: SymbolKind
    legible: float
    agrees: float | None


@dataclass(frozen=True, slots=True)
class KeyCandidate:
    """A key that fits, and how much less than the best: powers of ten, 0 for the best itself."""

    key: str
    behind: float


@dataclass(frozen=True, slots=True)
class MergedReading:
    """What a damaged plate says.

    Attributes:
        key: the answer; None when nothing is certain enough.
        margin: powers of ten by which the best key is likelier than every other key and than chance, by the model of
            damage; 0 when there is none.
        candidates: the best keys, likeliest first; empty when too little is left to name any.
        symbols: what each symbol gave.
    """

    key: str | None
    margin: float
    candidates: tuple[KeyCandidate, ...]
    symbols: tuple[UsedSymbol, ...]


@dataclass(frozen=True, slots=True)
class Copy:
    """One symbol of a plate as it was seen.

    Attributes:
        index: of the symbol on its plate.
        kind: of symbol.
        size: modules in a row; 0 for a symbol that is not square.
        before: what stands before the key: the link up to it in a QR Code, nothing in a Data Matrix.
        sample: its modules.
    """

    index: int
    kind: SymbolKind
    size: int
    before: str
    sample: Sample


@dataclass(frozen=True, slots=True)
class _Group:
    """All copies of one symbol, weighed together."""

    codes: tuple[KeyCode, ...]
    soft: Floats
    members: tuple[tuple[Copy, Floats], ...]


def read_merged(grey: Grey, layout: Layout) -> MergedReading:
    """The key of a plate from a straight picture of it.

    What the layout's symbols say is not looked at, only where they stand and what stands before the key.

    Args:
        grey: the plate with one pixel a dot, 0 for black.
        layout: of the same template and resolution; for the same public address where it has a QR Code.
    """
    return merge_copies(
        [copy for index, symbol in enumerate(layout.symbols()) for copy in _copies(grey, index, symbol)]
    )


def _copies(grey: Grey, index: int, symbol: PlacedSymbol) -> Iterable[Copy]:
    before = text_before_key(symbol.kind, symbol.text)
    if before is not None:
        yield Copy(index, symbol.kind, symbol.modules.width, before, sample_placed(grey, symbol))


def text_before_key(kind: SymbolKind, text: str) -> str | None:
    """What stands before the key in a symbol that ends with one and can be merged; None for any other."""
    before, key = text[:-LENGTH], text[-LENGTH:]
    if len(key) != LENGTH or any(symbol not in ALPHABET for symbol in key) or not is_key(key_values([key]))[0]:
        return None
    if kind == "data_matrix":
        return None if before else ""
    return before if kind == "qr" else None


def merge_copies(copies: Sequence[Copy]) -> MergedReading:
    """The key that a plate's symbols bear, however each was seen.

    All symbols are judged together, and each kind alone: a kind that is damaged in a way nobody thought of must not
    drown what the others say. Where two of these would be certain of different keys, none is.
    """
    groups = [group for group in map(_weighed, _alike(copies)) if group is not None]
    if sum(_gain(group).sum() for group in groups) < _ALL_KEYS:
        return MergedReading(None, 0.0, (), _used(copies, groups, None))
    listed = [(group, list_keys(group.codes, group.soft, window=_WINDOW)) for group in groups]
    judged = [_judged(part) for part in ([listed] if len(listed) == 1 else [listed, *([one] for one in listed)])]
    best = max(judged, key=lambda one: one.margin)
    certain = {one.candidates[0].key for one in judged if one.margin >= LEAST_MARGIN}
    if len(certain) == 1:
        key = best.candidates[0].key
        return MergedReading(key, best.margin, best.candidates, _used(copies, groups, key))
    ranked: dict[str, KeyCandidate] = {}
    for one in sorted(judged, key=lambda one: -one.margin):
        for candidate in one.candidates:
            ranked.setdefault(candidate.key, candidate)
    candidates = tuple(sorted(ranked.values(), key=lambda candidate: candidate.behind)[:_CANDIDATES])
    return MergedReading(None, 0.0 if certain else best.margin, candidates, _used(copies, groups, None))


@dataclass(frozen=True, slots=True)
class _Judged:
    margin: float
    candidates: tuple[KeyCandidate, ...]


def _judged(listed: Sequence[tuple[_Group, Listing]]) -> _Judged:
    """The keys that fit some kinds of symbols best, and how far the best is ahead."""
    keys = np.unique(np.concatenate([listing.keys for _, listing in listed]), axis=0)
    cost = sum((costs(group.codes, group.soft, keys) for group, _ in listed), np.zeros(len(keys)))
    order = np.argsort(cost, kind="stable")
    if not len(keys) or not math.isfinite(cost[order[0]]):
        return _Judged(0.0, ())
    best = float(cost[order[0]])
    second = float(cost[order[1]]) if len(order) > 1 else math.inf
    outside = sum(listing.outside for _, listing in listed)
    chance = sum(_likelier(group, keys[order[:1]]) for group, _ in listed) - _ALL_KEYS
    if chance <= 0:
        return _Judged(0.0, ())
    candidates = tuple(
        KeyCandidate(key_text(keys[index]), (float(cost[index]) - best) / math.log(10))
        for index in order[:_CANDIDATES]
        if cost[index] - best <= _WINDOW
    )
    return _Judged(max(0.0, min(second - best, outside - best, chance) / math.log(10)), candidates)


def _alike(copies: Sequence[Copy]) -> list[list[Copy]]:
    groups: dict[tuple[SymbolKind, int, str], list[Copy]] = defaultdict(list)
    for copy in copies:
        groups[copy.kind, copy.size, copy.before].append(copy)
    return list(groups.values())


def _weighed(copies: Sequence[Copy]) -> _Group | None:
    """Copies of one symbol as one; None where no key makes such a symbol."""
    fixed, codes = _structure(copies[0])
    if fixed is None or not codes:
        return None
    softs = [soft_modules(copy.sample, fixed) for copy in copies]
    if len(copies) > 1:
        # Where a copy says otherwise than all others together it is damaged, and so perhaps beside.
        total = sum(softs, np.zeros(fixed.shape))
        softs = [
            soft_modules(copy.sample, fixed, (soft * (total - soft) < 0) & (np.abs(total - soft) > np.abs(soft)))
            for copy, soft in zip(copies, softs, strict=True)
        ]
    unknown = ~known_modules(fixed)
    flat = [np.where(unknown, soft.ravel(), 0.0) for soft in softs]
    return _Group(codes, sum(flat, np.zeros(fixed.size)), tuple(zip(copies, flat, strict=True)))


def _structure(copy: Copy) -> tuple[NDArray[np.int8] | None, tuple[KeyCode, ...]]:
    if copy.kind == "data_matrix":
        places = data_matrix_places(copy.size)
        return (None, ()) if places is None else (places.fixed, data_matrix_codes(copy.size))
    for level in _QR_LEVELS:
        codes = qr_codes(copy.before, copy.size, level)
        structure = qr_places(copy.size, level)
        if codes and structure is not None:
            return structure.fixed, codes
    return None, ()


def _gain(group: _Group) -> Floats:
    """How much likelier than chance each module makes a key that it agrees with."""
    weight = np.abs(group.soft[group.codes[0].varies])
    return math.log(2) - np.log1p(np.exp(-weight))


def _likelier(group: _Group, key: NDArray[np.int8]) -> float:
    """Logarithm of how much likelier a key makes what was seen than modules set at random."""
    modules = _modules(group.codes, group.soft, key)
    if modules is None:
        return -math.inf
    varies = group.codes[0].varies
    agreeing = np.where(modules[varies], group.soft[varies], -group.soft[varies])
    return float((math.log(2) - np.logaddexp(0, -agreeing)).sum())


def _modules(codes: Sequence[KeyCode], soft: Floats, key: NDArray[np.int8]) -> NDArray[np.bool_] | None:
    """The symbol of a key; among masks the one that fits best."""
    cheapest, made = math.inf, None
    for code, _ in fitting(codes, key):
        unknown, fits = code.unknown(key)
        if fits[0]:
            modules = code.modules(unknown)[0]
            cost = float(((soft > 0) != modules) @ np.abs(soft))
            if cost < cheapest:
                cheapest, made = cost, modules
    return made


def _used(copies: Sequence[Copy], groups: Sequence[_Group], key: str | None) -> tuple[UsedSymbol, ...]:
    used = {copy.index: UsedSymbol(copy.index, copy.kind, 0.0, None) for copy in copies}
    for group in groups:
        modules = None if key is None else _modules(group.codes, group.soft, key_values([key]))
        places = group.codes[0].varies
        for copy, soft in group.members:
            firm = places & (np.abs(soft) >= _FIRM)
            right = None if modules is None or not firm.any() else float((modules == (soft > 0))[firm].mean())
            used[copy.index] = UsedSymbol(copy.index, copy.kind, float(firm.sum() / places.sum()), right)
    return tuple(used[index] for index in sorted(used))
