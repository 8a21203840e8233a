"""Verification of a ledger beside the same rows read by the driver and hashed as they are."""

from __future__ import annotations

import hashlib
import sqlite3
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path

from service.store import events, ledger
from service.store.database import Database
from service.store.events import NewEvent
from tests.bench.rounds import ROUNDS, Comparison, Contestant
from tests.factories import NOW
from tests.postgres import PostgresServer

ROWS = 50_000
_AT_ONCE = 5_000
_READ = "SELECT id, at, actor, verb, subject, before, after, previous_sha256, sha256 FROM event ORDER BY id"


@contextmanager
def comparisons(*, rows: int = ROWS, rounds: int = ROUNDS) -> Iterator[list[Comparison]]:
    """The same ledger on both kinds of database."""
    with ExitStack() as opened:
        path = Path(opened.enter_context(tempfile.TemporaryDirectory())) / "kitwright.db"
        server = opened.enter_context(PostgresServer())
        file = opened.enter_context(closing(Database(f"sqlite:///{path}")))
        shared = opened.enter_context(closing(Database(server.url(server.create_database()))))
        for database in (file, shared):
            database.migrate()
            _fill(database, rows)
        bare_file = opened.enter_context(closing(sqlite3.connect(path)))
        bare_shared = opened.enter_context(shared.driver_connection())
        yield [
            _comparison("SQLite", file, lambda: _hash(bare_file.execute(_READ)), rows, rounds),
            _comparison("PostgreSQL", shared, lambda: _hash(bare_shared.execute(_READ)), rows, rounds),
        ]


def _comparison(kind: str, database: Database, bare: Callable[[], None], rows: int, rounds: int) -> Comparison:
    return Comparison(
        title=f"Verifying a ledger of {rows:,} rows, {kind}",
        unit="row",
        yardstick=Contestant(name="read by the driver, each text hashed", run=bare, count=rows),
        others=[Contestant(name="verify-ledger", run=lambda: _verify(database), count=rows)],
        rounds=rounds,
    )


def _fill(database: Database, rows: int) -> None:
    """Lines as an inspection or a move leaves them: a few facts before, the same with one changed after."""
    for start in range(0, rows, _AT_ONCE):
        with database.write() as connection:
            events.record_many(
                connection,
                [
                    NewEvent(
                        at=NOW,
                        actor="assembler",
                        verb="correct",
                        subject=f"OSV4-FC1-A{row}-SW2-U3-42",
                        before={"quantity": 1, "material": "UHMW-PE", "thickness_mm": 25.0, "mass_kg": 1.07},
                        after={"quantity": 1, "material": "UHMW-PE", "thickness_mm": 25.4, "mass_kg": 1.09, "row": row},
                    )
                    for row in range(start, min(rows, start + _AT_ONCE))
                ],
            )


def _hash(found: Iterable[tuple[object, ...]]) -> None:
    for row in found:
        hashlib.sha256("".join([str(value) for value in row]).encode()).hexdigest()


def _verify(database: Database) -> None:
    with database.read() as connection:
        report = ledger.verify(connection)
    if not report.whole:
        raise AssertionError(report.faults)
