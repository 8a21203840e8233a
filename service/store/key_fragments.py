"""The keys on record that a fragment of a key may be, through the unique index of all keys ever given.

Keys are random and only about one in a thousand was ever given, so the keys that a pattern leaves are written out and
looked for, or, where the pattern begins with enough known symbols, the few keys on record that begin so are looked at.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from sqlalchemy import Connection, Select, func, select

from service.numbering.alignment import align
from service.numbering.error_model import ErrorModel
from service.numbering.key import ALPHABET, LENGTH
from service.numbering.key_fragments import (
    OPEN,
    WORTH_ASKING,
    KeyPattern,
    agreeing_patterns,
    key_patterns,
    keys_of,
    least_of_three_slips,
)
from service.store.chunks import CHUNK, chunks
from service.store.tables import IssuedKey, Piece, Segment

MOST_LOOKED_AT = 20_000
"""Keys that are looked at while none is found; three symbols that nobody could read leave 529."""

MOST_BEYOND = 1_500
"""Keys that are looked at further once one is found."""

MOST_SLIPS = 4
"""A text that needs more of them to be a key is none."""

NOT_WORTH_SHOWING = 9.0
"""Keys so much dearer than the cheapest are not looked for: it is several thousand times as likely."""

FEW = 500
"""Where no more keys are on record, each is held against the fragment."""

_A_QUESTION = 100
"""A question to the database takes as long as looking at so many keys."""

_MOST_PATTERNS = 500
_NO_SLIPS = frozenset({"same", "unknown", "run", "head", "tail"})
_Row = tuple[str, int, int | None, str]
_KEYS = select(IssuedKey.key, IssuedKey.segment_id, IssuedKey.piece_id, Segment.number).join(
    Segment, Segment.id == IssuedKey.segment_id
)


@dataclass(frozen=True, slots=True)
class FoundKey:
    """A key on record.

    Attributes:
        key: its eight symbols.
        segment_id: row id of the segment that it belongs to.
        piece_id: row id of the piece; None for the key of the segment itself.
        number: of the segment.
        cost: of reading it as the fragment says.
        slips: how many of its symbols were misread, lost, added, doubled or swapped.
    """

    key: str
    segment_id: int
    piece_id: int | None
    number: str
    cost: float
    slips: int


@dataclass(frozen=True, slots=True)
class FoundKeys:
    """The keys on record that a fragment may be.

    Attributes:
        found: the cheapest first.
        agreeing: how many keys on record agree with every symbol that was read; None where too little is known to say.
        beyond: every other key on record costs at least so much.
        too_little: whether more keys would have to be looked at than :data:`MOST_LOOKED_AT`, and none was found.
    """

    found: tuple[FoundKey, ...]
    agreeing: int | None
    beyond: float
    too_little: bool


def keys_like(connection: Connection, read: str, model: ErrorModel, *, limit: int) -> FoundKeys:
    """The keys on record that a fragment may be, the cheapest first.

    Args:
        connection: a transaction.
        read: as for ``key_patterns``.
        model: the costs of what can go wrong.
        limit: when so many are found, none that is dearer is looked for.
    """
    return _Search(connection, model, limit).run(read)


class _Search:
    def __init__(self, connection: Connection, model: ErrorModel, limit: int) -> None:
        self._connection = connection
        self._model = model
        self._limit = limit
        # Every key belongs to a segment or a piece; whether some pieces have none hardly matters here.
        self._given = sum(connection.scalar(select(func.max(table.id))) or 0 for table in (Segment, Piece))
        self._found: dict[str, FoundKey] = {}
        self._waiting: dict[str, KeyPattern] = {}
        self._cheapest = math.inf

    def run(self, read: str) -> FoundKeys:
        if self._given <= FEW:
            return self._of_all(read)
        agreeing = agreeing_patterns(read, self._model)
        all_agreeing = sum(map(self._price, agreeing)) <= MOST_LOOKED_AT
        if all_agreeing:
            for pattern in agreeing:
                self._take(pattern)
            self._look()
        agree = len(self._found)
        taken = {pattern.symbols for pattern in agreeing} if all_agreeing else set()
        beyond, too_much = self._by_cost(read, taken)
        self._look()
        return self._answer(agree if all_agreeing else None, beyond, too_much=too_much)

    def _of_all(self, read: str) -> FoundKeys:
        """Hold every key on record against the fragment."""
        agree = 0
        for row in self._rows(_KEYS):
            found = align(read, row[0], self._model)
            if found is not None and any(step.slip in ("same", "misread", "swapped") for step in found.steps):
                slips = sum(step.slip not in _NO_SLIPS for step in found.steps)
                agree += not slips
                if slips <= MOST_SLIPS:
                    self._add(row, KeyPattern(found.cost, row[0], slips))
        return self._answer(agree, math.inf)

    def _answer(self, agreeing: int | None, beyond: float, *, too_much: bool = False) -> FoundKeys:
        found = sorted(self._found.values(), key=lambda one: (one.cost, one.key))
        if len(found) > self._limit:
            beyond = min(beyond, found[self._limit].cost)
        return FoundKeys(tuple(found[: self._limit]), agreeing, beyond, too_much and not found)

    def _by_cost(self, read: str, taken: set[str]) -> tuple[float, bool]:
        """Look at keys from cheap to dear; what all that is left costs at least, and whether it is too much to look at.

        Args:
            read: the fragment.
            taken: patterns without slips whose keys were looked at already.
        """
        left, beyond = MOST_LOOKED_AT, least_of_three_slips(self._model)
        for nth, pattern in enumerate(key_patterns(read, self._model)):
            # Patterns end there; and of three slips there are none.
            beyond = min(beyond, pattern.cost + WORTH_ASKING)
            price = self._price(pattern)
            if nth >= _MOST_PATTERNS:
                return pattern.cost, price > left
            if pattern.slips > MOST_SLIPS or (not pattern.slips and pattern.symbols in taken):
                continue
            allowed = min(left, MOST_BEYOND) if self._found and pattern.slips else left
            if price > allowed:
                return pattern.cost, price > left
            if self._enough(pattern.cost) or pattern.cost > self._cheapest + NOT_WORTH_SHOWING:
                return pattern.cost, False
            left -= price
            self._take(pattern)
        return beyond, False

    def _enough(self, cost: float) -> bool:
        """Whether as many keys as are wanted cost no more than this; those that still wait are not counted."""
        return sum(found.cost <= cost for found in self._found.values()) >= self._limit

    def _price(self, pattern: KeyPattern) -> int:
        """How many keys have to be looked at."""
        return min(pattern.keys, self._beginning(pattern) + _A_QUESTION)

    def _beginning(self, pattern: KeyPattern) -> int:
        """About how many keys on record begin as a pattern does."""
        return int(self._given // len(ALPHABET) ** len(pattern.known_head)) + 1

    def _take(self, pattern: KeyPattern) -> None:
        if self._beginning(pattern) + _A_QUESTION < pattern.keys:
            self._look()
            for row in self._beginning_so(pattern):
                self._add(row, pattern)
            return
        for key in keys_of(pattern):
            before = self._found.get(key)
            if before is None or before.cost > pattern.cost:
                self._waiting.setdefault(key, pattern)
        if len(self._waiting) >= CHUNK:
            self._look()

    def _beginning_so(self, pattern: KeyPattern) -> list[_Row]:
        head, rest = pattern.known_head, LENGTH - len(pattern.known_head)
        fits = re.compile(pattern.symbols.replace(OPEN, "."))
        # Both ends are keys of the same length, so that the collation of the database does not matter.
        between = IssuedKey.key.between(head + ALPHABET[0] * rest, head + ALPHABET[-1] * rest)
        return [row for row in self._rows(_KEYS.where(between)) if fits.fullmatch(row[0])]

    def _rows(self, query: Select[str, int, int | None, str]) -> list[_Row]:
        return [(key, segment, piece, number) for key, segment, piece, number in self._connection.execute(query)]

    def _look(self) -> None:
        """Ask for the keys that wait."""
        for some in chunks(self._waiting):
            for row in self._rows(_KEYS.where(IssuedKey.key.in_(some))):
                self._add(row, self._waiting[row[0]])
        self._waiting.clear()

    def _add(self, row: _Row, pattern: KeyPattern) -> None:
        key, segment_id, piece_id, number = row
        before = self._found.get(key)
        self._cheapest = min(self._cheapest, pattern.cost)
        if before is None or before.cost > pattern.cost:
            self._found[key] = FoundKey(key, segment_id, piece_id, number, pattern.cost, pattern.slips)
