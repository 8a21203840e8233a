"""The ledger as a whole: its tip, and whether every row is there and says what it said.

A chain by itself shows a row that was changed, taken out, put in or swapped, as long as its writer did not compute all
later rows again. That, and rows cut off at the end, only an anchor shows: a tip that was written down elsewhere.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, select

from service.store import sqlite
from service.store.chain import GENESIS, Anchor, ChainedRow, LedgerTip
from service.store.tables import Event

MOST_FAULTS = 100
"""Faults that are named one by one; of more, only the count is kept."""

_BATCH = 2_000

FaultKind = Literal["changed", "missing", "forged", "cut_off", "rewritten"]


@dataclass(frozen=True, slots=True)
class LedgerFault:
    """A row that is not as it was written.

    Attributes:
        id: the row; of several in a row the first.
        last_id: the last of them, the same as ``id`` for one.
        kind: ``changed`` it says something else now; ``missing`` it is not there; ``forged`` it never had a place in
            the chain; ``cut_off`` it stood at the end and is not there; ``rewritten`` it, or one before it, is another
            than the one that an anchor holds, and the chain was computed again.
        message: the same in words, a clause that begins with the row.
    """

    id: int
    last_id: int
    kind: FaultKind
    message: str


@dataclass(frozen=True, slots=True)
class LedgerReport:
    """What a verification found.

    Attributes:
        rows: rows that were read.
        tip: the last of them.
        faults: at most ``MOST_FAULTS``, in the order of the rows, those against anchors last.
        fault_count: all of them.
    """

    rows: int
    tip: LedgerTip
    faults: tuple[LedgerFault, ...]
    fault_count: int

    @property
    def whole(self) -> bool:
        """Whether nothing was found."""
        return self.fault_count == 0


def tip(connection: Connection) -> LedgerTip:
    """The last row of the ledger: what stands at the foot of every export and book. Print it with ``str``."""
    row = connection.execute(select(Event.id, Event.sha256, Event.at).order_by(Event.id.desc()).limit(1)).one_or_none()
    return LedgerTip(0, GENESIS, "") if row is None else LedgerTip(*row)


def tips_of(connection: Connection, *, subject: str, verb: str) -> Iterator[tuple[LedgerTip, object]]:
    """What the tip was just after each event of a verb on a subject, and what that event says was so after it."""
    rows = connection.execute(
        select(Event.id, Event.sha256, Event.at, Event.after)
        .where(Event.subject == subject, Event.verb == verb)
        .order_by(Event.id)
    )
    for id_, sha256, at, after in rows:
        yield LedgerTip(id_, sha256, at), None if after is None else json.loads(after)


def verify(
    connection: Connection, anchors: Iterable[Anchor] = (), *, read: Callable[[int], None] = lambda _count: None
) -> LedgerReport:
    """Read every row once, in a stream, and compare it with its SHA-256, with the row before it and with the anchors.

    Args:
        connection: inside ``Database.read``, so that all rows are of one moment.
        anchors: tips that were written down elsewhere.
        read: told after each batch how many rows were read.
    """
    check = ChainCheck(anchors)
    for batch in _stream(connection):
        for row in batch:
            check.add(row)
        read(check.rows)
    return check.report()


def _stream(connection: Connection) -> Iterator[list[ChainedRow]]:
    columns = select(
        Event.id,
        Event.at,
        Event.actor,
        Event.verb,
        Event.subject,
        Event.before,
        Event.after,
        Event.previous_sha256,
        Event.sha256,
    )
    with ExitStack() as stack:
        if connection.dialect.name == "sqlite":
            stack.enter_context(sqlite.any_bytes_as_text(connection))
        # An option of the statement: one of the connection would stay with it.
        in_batches = columns.order_by(Event.id).execution_options(yield_per=_BATCH)
        result = stack.enter_context(connection.execute(in_batches))
        for partition in result.partitions():
            yield [ChainedRow(*row) for row in partition]


class ChainCheck:
    """Takes the rows of a ledger in the order of their ids and keeps what is wrong with them."""

    def __init__(self, anchors: Iterable[Anchor] = ()) -> None:
        self.rows = 0
        self._anchors = sorted(set(anchors))
        self._held: dict[int, str] = {anchor.id: "" for anchor in self._anchors} | {0: GENESIS}
        self._faults: list[LedgerFault] = []
        self._count = 0
        self._last = LedgerTip(0, GENESIS, "")
        self._last_is_named = False
        # The last row is whole in itself and does not follow the one before it: the next row says which is wrong.
        self._in_doubt = False

    def add(self, row: ChainedRow) -> None:
        """The next row."""
        self.rows += 1
        if row.id < 1:
            self._name(row.id, "forged", f"row {row.id} has no place in the chain, which begins with row 1")
            return
        adjoins = row.id == self._last.id + 1
        whole = row.digest() == row.sha256
        follows = adjoins and row.previous_sha256 == self._last.sha256
        if self._in_doubt:
            self._settle(vouched=whole and follows)
        if not adjoins:
            self._name(self._last.id + 1, "missing", f"{_rows(self._last.id + 1, row.id - 1)} missing", row.id - 1)
        if not whole:
            self._name(row.id, "changed", f"row {row.id} does not say what it said when it was written")
        self._in_doubt = whole and adjoins and not follows and not self._last_is_named
        self._last = LedgerTip(row.id, _sendable(row.sha256), _sendable(row.at))
        self._last_is_named = not whole
        if row.id in self._held:
            self._held[row.id] = self._last.sha256

    def report(self) -> LedgerReport:
        """What was found, the anchors compared at the end."""
        if self._in_doubt:
            self._settle(vouched=self._last.anchor in self._anchors)
        agreed = 0
        for anchor in self._anchors:
            if anchor.id > self._last.id:
                self._cut_off()
                break
            if self._held[anchor.id] == anchor.sha256:
                agreed = anchor.id
            elif self._held[anchor.id]:
                since = f"after row {agreed}, the last that agrees" if agreed else "in it or before it"
                self._name(
                    anchor.id,
                    "rewritten",
                    f"row {anchor.id} is not the one that was anchored: something {since}, was written again",
                )
        return LedgerReport(self.rows, self._last, tuple(self._faults), self._count)

    def _settle(self, *, vouched: bool) -> None:
        """Name the row before the last when a later one vouches for the last, otherwise the last itself."""
        self._in_doubt = False
        last, before = self._last.id, self._last.id - 1
        if vouched and before:
            self._name(before, "changed", f"row {before} is not the one that row {last} was written after")
            return
        follows = f"does not follow row {before}" if before else "stands first and was not written first"
        self._name(last, "changed", f"row {last} {follows}")
        self._last_is_named = True

    def _cut_off(self) -> None:
        first, last = self._last.id + 1, self._anchors[-1].id
        self._name(first, "cut_off", f"{_rows(first, last)} cut off at the end: row {last} was anchored", last)

    def _name(self, id_: int, kind: FaultKind, message: str, last_id: int | None = None) -> None:
        self._count += 1
        if len(self._faults) < MOST_FAULTS:
            self._faults.append(LedgerFault(id_, id_ if last_id is None else last_id, kind, message))


def _rows(first: int, last: int) -> str:
    return f"row {first} is" if first == last else f"rows {first} to {last} are"


def _sendable(text: object) -> str:
    """What a spoilt row holds may be no text at all."""
    return str(text).encode("utf-8", "replace").decode()
