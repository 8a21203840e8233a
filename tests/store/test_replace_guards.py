"""No program throws a row out by putting another in its place: every key of every table of record, by its metadata.

The file is opened as a foreign program opens it: triggers on DELETE hear nothing of ``INSERT OR REPLACE`` then. Checks
and references are off too, so that only the guards can be what refuses.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from alembic.migration import MigrationContext
from sqlalchemy import Connection, Integer, Table, UniqueConstraint, inspect, text
from sqlalchemy.exc import IntegrityError

from service.store import migrations
from service.store.database import Database
from service.store.reorders import add_reorder
from service.store.tables import Base
from tests.factories import NOW, make_kit

NO_RECORD = {
    "idempotency": "answers of requests, which nobody asks for after a while",
    "outline_figures": "they follow from the drawing, and may be computed again",
    "shared_segment": "a segment may stop serving a kit; the journal keeps that it did",
    "shop": "how the shop calls itself today",
}
# Refuses every row that does not follow the last one; tests of its own.
LEDGER = "event"
KEPT = sorted(set(Base.metadata.tables) - set(NO_RECORD) - {LEDGER})
Row = dict[str, object]


def keys_of(table: Table) -> Iterator[tuple[str, ...]]:
    """The columns of every key of a table, and the hidden row number where no column holds it."""
    primary = tuple(column.name for column in table.primary_key)
    yield primary
    if len(primary) > 1 or not isinstance(table.c[primary[0]].type, Integer):
        yield ("rowid",)
    for constraint in table.constraints:
        if isinstance(constraint, UniqueConstraint):
            yield tuple(column.name for column in constraint.columns)
    for index in table.indexes:
        if index.unique:
            yield tuple(column.name for column in index.columns)


KEYS = sorted({(name, key) for name in KEPT for key in keys_of(Base.metadata.tables[name])})


def row_of(table: Table, number: int) -> Row:
    """A row in which every column differs from that of another number; what ends a state is empty."""
    row: Row = {"rowid": number} if ("rowid",) in keys_of(table) else {}
    for column in table.columns:
        ends = column.nullable and column.name in {"until_at", "withdrawn_at"}
        whole = isinstance(column.type, Integer)
        row[column.name] = None if ends else number if whole else f"{column.name} {number}"
    return row


@pytest.fixture
def foreign(migrated_sqlite: Path, tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """The file in the hands of a program that knows nothing of this one."""
    path = tmp_path / "kitwright.db"
    path.write_bytes(migrated_sqlite.read_bytes())
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        assert connection.execute("PRAGMA recursive_triggers").fetchone() == (0,), "as SQLite opens it"
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("PRAGMA ignore_check_constraints = ON")
        yield connection


def put(connection: sqlite3.Connection, table: str, row: Row, *, verb: str = "INSERT") -> None:
    names, marks = ", ".join(row), ", ".join("?" for _ in row)
    connection.execute(f"{verb} INTO {table} ({names}) VALUES ({marks})", tuple(row.values()))


def order(connection: Connection) -> None:
    """A broken segment is ordered again."""
    add_reorder(
        connection,
        segment_id=1,
        damaged_piece_id=1,
        new_piece_id=None,
        quantity=1,
        reason="crushed",
        prefer="as_built",
        outcome="exact",
        revision_id=1,
        decision="{}",
        ordered_at=NOW,
    )


def everything(connection: sqlite3.Connection, table: str) -> list[tuple[object, ...]]:
    return connection.execute(f"SELECT rowid, * FROM {table} ORDER BY rowid").fetchall()


@pytest.mark.parametrize(("name", "key"), KEYS, ids=lambda part: part if isinstance(part, str) else "-".join(part))
def test_no_row_takes_the_place_of_another(foreign: sqlite3.Connection, name: str, key: tuple[str, ...]) -> None:
    table = Base.metadata.tables[name]
    first, second, third = (row_of(table, number) for number in (1, 2, 3))
    put(foreign, name, first)
    put(foreign, name, second)
    before = everything(foreign, name)
    assert len(before) == 2
    same = {part: first[part] for part in key}
    for verb in ("INSERT OR REPLACE", "REPLACE", "INSERT OR IGNORE", "INSERT"):
        with pytest.raises(sqlite3.IntegrityError, match=f"{name} is kept for ever: no replace"):
            put(foreign, name, {**third, **same}, verb=verb)
    which = "rowid" if "rowid" in second else next(iter(table.primary_key)).name
    change = ", ".join(f"{part} = ?" for part in same)
    with pytest.raises(sqlite3.IntegrityError, match=f"{name} is kept for ever: no update"):
        foreign.execute(f"UPDATE OR REPLACE {name} SET {change} WHERE {which} = 2", tuple(same.values()))
    assert everything(foreign, name) == before
    put(foreign, name, third)


@pytest.mark.parametrize("name", KEPT)
def test_no_row_of_record_is_deleted(foreign: sqlite3.Connection, name: str) -> None:
    put(foreign, name, row_of(Base.metadata.tables[name], 1))
    with pytest.raises(sqlite3.IntegrityError, match=f"{name} is kept for ever: no delete"):
        foreign.execute(f"DELETE FROM {name}")


@pytest.mark.parametrize("module_database", ["postgresql"], indirect=True)
def test_no_table_of_record_is_emptied_at_once_on_a_server(module_database: Database) -> None:
    with module_database.driver_connection() as foreign:
        for name in [*KEPT, LEDGER]:
            with pytest.raises(psycopg.IntegrityError, match="kept for ever: no truncate"):
                foreign.execute(f"TRUNCATE {name} CASCADE")
        guarded = foreign.execute(
            "SELECT tgrelid::regclass::text, tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled = 'O'"
        ).fetchall()
    for name in [*KEPT, LEDGER]:
        assert {(name, f"{name}_never_deleted"), (name, f"{name}_never_truncated")} <= set(guarded)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE code SET name = 'another'",
        "UPDATE customer SET name = 'another'",
        "UPDATE joint SET form = 'another'",
        "UPDATE joint SET second_id = 4 WHERE first_id = 1",
        "DELETE FROM joint",
        "DELETE FROM customer",
        "UPDATE reorder SET decision = 'another'",
        "UPDATE reorder SET new_piece_id = 1",
        "UPDATE reorder SET state = 'open'",
    ],
)
def test_what_was_said_stays(database: Database, statement: str) -> None:
    with database.write() as connection:
        make_kit(connection)
        order(connection)
        connection.execute(text("UPDATE reorder SET state = 'fitted'"))
        connection.execute(text("INSERT INTO code (id, kind, code, name) VALUES (1, 'assembly', 'VV', 'vane')"))
        with pytest.raises(IntegrityError, match="kept for ever"), connection.begin_nested():
            connection.execute(text(statement))


def test_down_and_up_again_with_data(database: Database) -> None:
    def guards() -> set[str]:
        name = "tgname" if database.url.get_backend_name() == "postgresql" else "name"
        source = "pg_trigger WHERE NOT tgisinternal" if name == "tgname" else "sqlite_master WHERE type = 'trigger'"
        with database.read() as connection:
            return set(connection.scalars(text(f"SELECT {name} FROM {source}")))

    with database.write() as connection:
        make_kit(connection)
        order(connection)
        tables = inspect(connection).get_table_names()
        before = {name: connection.execute(text(f"SELECT * FROM {name}")).all() for name in tables}
    with_them = guards()
    with database.write() as connection:
        migrations.downgrade(connection, "0008")
    without = guards()
    assert without < with_them
    assert not any(name.endswith(("_never_replaced", "_never_renumbered", "_never_reopened")) for name in without)
    with database.write() as connection:
        # What the guards of before let through; afterwards it is refused again.
        connection.execute(text("UPDATE joint SET form = NULL"))
        migrations.upgrade(connection)
        assert MigrationContext.configure(connection).get_current_revision() == migrations.head()
        with pytest.raises(IntegrityError, match="kept for ever"), connection.begin_nested():
            connection.execute(text("UPDATE joint SET form = 'dovetail'"))
        for name, rows in before.items():
            # Steps that the journal tells of are written down on the way up.
            if name not in {"joint", "alembic_version", "order_step"}:
                assert connection.execute(text(f"SELECT * FROM {name}")).all() == rows
    assert guards() == with_them
