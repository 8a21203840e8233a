"""Ledgers for tests: rows that are chained as they should be, and rows that somebody chained again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.store.chain import GENESIS, ChainedRow
from tests.factories import NOW


def make_row(*, id_: int, subject: str = "OSV4-FC1-A500", **said: str | None) -> ChainedRow:
    """A row that is not chained yet."""
    plain: dict[str, str | None] = {"at": NOW, "actor": "desk", "verb": "correct", "before": None, "after": '{"n":1}'}
    return ChainedRow(id=id_, subject=subject, previous_sha256=GENESIS, sha256=GENESIS, **{**plain, **said})  # type: ignore[arg-type]  # fields by name


def rehashed(row: ChainedRow, previous: str | None = None) -> ChainedRow:
    """A row with the SHA-256 that belongs to it, after ``previous`` if one is given."""
    moved = row if previous is None else replace(row, previous_sha256=previous)
    sha256 = moved.digest()
    assert sha256 is not None
    return replace(moved, sha256=sha256)


def chained(rows: Sequence[ChainedRow], previous: str = GENESIS) -> list[ChainedRow]:
    """Rows, each chained to the one before."""
    made: list[ChainedRow] = []
    for row in rows:
        made.append(rehashed(row, previous))
        previous = made[-1].sha256
    return made


def make_ledger(count: int) -> list[ChainedRow]:
    """A whole ledger of unlike rows."""
    return chained([make_row(id_=id_, after=f'{{"n":{id_}}}', actor=f"actor {id_ % 3}") for id_ in range(1, count + 1)])
