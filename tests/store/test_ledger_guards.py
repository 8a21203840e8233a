"""What the database itself refuses on the ledger, to anybody who opens it with any program."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

from service.store.chain import GENESIS
from service.store.database import Database
from service.store.events import record
from service.store.ledger import tip, verify
from tests.factories import NOW

KEPT = "event is kept for ever"
CHAIN = "event is a chain: a new row follows the last one"
COLUMNS = "(id, at, actor, verb, subject, previous_sha256, sha256)"
COPY = "SELECT {id}, at, 'nobody', verb, subject, {previous}, sha256 FROM event WHERE id = 3"
REPLACE = f"INSERT OR REPLACE INTO event {COLUMNS} "


@pytest.fixture(scope="module")
def filled(module_database: Database) -> Database:
    """Three rows."""
    with module_database.write() as connection:
        for number in range(3):
            record(connection, at=NOW, actor="desk", verb="correct", subject="OSV4", after={"n": number})
    return module_database


@pytest.fixture
def full(filled: Database) -> Iterator[Connection]:
    """A write transaction that leaves no trace."""
    with filled.write() as connection:
        yield connection
        connection.rollback()


def refused(connection: Connection, statement: str) -> str:
    """The reason with which the database refuses a statement; the transaction goes on."""
    with pytest.raises(IntegrityError) as caught, connection.begin_nested():
        connection.execute(text(statement))
    return str(caught.value.orig)


@pytest.mark.parametrize("column", ["previous_sha256", "sha256", "actor", "id"])
def test_no_column_of_the_chain_is_ever_changed(full: Connection, column: str) -> None:
    value = "77" if column == "id" else f"'{'0' * 63}1'"
    assert f"{KEPT}: no update" in refused(full, f"UPDATE event SET {column} = {value} WHERE id = 3")


@pytest.mark.parametrize(
    ("id_", "previous"),
    [
        ("3", "sha256"),  # in the place of the last
        ("2", "previous_sha256"),  # in the place of an older one
        ("5", "sha256"),  # leaves a hole
        ("0", f"'{GENESIS}'"),  # before the first
        ("4", f"'{GENESIS}'"),  # follows nothing
        ("4", "previous_sha256"),  # follows another than the last
    ],
)
def test_a_row_that_does_not_follow_the_last_is_refused(full: Connection, id_: str, previous: str) -> None:
    insert = f"INSERT INTO event {COLUMNS} {COPY.format(id=id_, previous=previous)}"
    assert CHAIN in refused(full, insert)


def test_a_row_that_follows_the_last_is_taken(full: Connection) -> None:
    full.execute(text(f"INSERT INTO event {COLUMNS} {COPY.format(id='4', previous='sha256')}"))
    assert tip(full).id == 4


def test_several_rows_in_one_statement_follow_each_other(full: Connection) -> None:
    last = tip(full).sha256
    row = f"'{NOW}', 'nobody', 'forge', 'OSV4'"
    values = f"(4, {row}, '{last}', '{'a' * 64}'), (5, {row}, '{'a' * 64}', '{'b' * 64}')"
    full.execute(text(f"INSERT INTO event {COLUMNS} VALUES {values}"))
    torn = f"(6, {row}, '{'b' * 64}', '{'c' * 64}'), (7, {row}, '{'b' * 64}', '{'d' * 64}')"
    assert CHAIN in refused(full, f"INSERT INTO event {COLUMNS} VALUES {torn}")
    assert tip(full).id == 5


@pytest.mark.parametrize("column", ["previous_sha256", "sha256"])
def test_a_row_without_a_whole_hash_is_refused(full: Connection, column: str) -> None:
    for value in ("NULL", "'abc'"):
        chain = {"previous_sha256": f"'{tip(full).sha256}'", "sha256": f"'{'a' * 64}'", column: value}
        row = f"4, '{NOW}', 'nobody', 'forge', 'OSV4', {chain['previous_sha256']}, {chain['sha256']}"
        with pytest.raises(IntegrityError), full.begin_nested():
            full.execute(text(f"INSERT INTO event {COLUMNS} VALUES ({row})"))


def test_an_upsert_is_refused(full: Connection) -> None:
    upsert = (
        f"INSERT INTO event {COLUMNS} {COPY.format(id='3', previous='previous_sha256')}"
        " ON CONFLICT (id) DO UPDATE SET actor = excluded.actor"
    )
    # SQLite takes ON after a SELECT without condition for a join; this one has a condition.
    assert CHAIN in refused(full, upsert)


def copy_row(foreign: psycopg.Connection) -> None:
    """A row by the way that passes the parser."""
    with foreign.cursor() as cursor, cursor.copy(f"COPY event {COLUMNS} FROM STDIN") as stream:
        stream.write_row((9, NOW, "nobody", "forge", "OSV4", "a" * 64, "b" * 64))


STATEMENTS = [
    (REPLACE + COPY.format(id="3", previous="previous_sha256"), CHAIN),
    (REPLACE + COPY.format(id="1", previous=f"'{GENESIS}'"), CHAIN),
    (f"REPLACE INTO event {COLUMNS} " + COPY.format(id="2", previous="previous_sha256"), CHAIN),
    (f"INSERT OR IGNORE INTO event {COLUMNS} " + COPY.format(id="3", previous="previous_sha256"), CHAIN),
    ("UPDATE OR REPLACE event SET id = 2 WHERE id = 3", KEPT),
    ("UPDATE OR IGNORE event SET actor = 'nobody'", KEPT),
    ("UPDATE event SET rowid = 99 WHERE id = 3", KEPT),
    ("DELETE FROM event", KEPT),
    ("DELETE FROM event WHERE id = 3", KEPT),
]


@pytest.mark.parametrize(("statement", "reason"), STATEMENTS)
def test_a_foreign_program_on_the_sqlite_file_is_refused_too(tmp_path: Path, statement: str, reason: str) -> None:
    path = tmp_path / "kitwright.db"
    with closing(Database(f"sqlite:///{path}")) as database:
        database.migrate()
        with database.write() as connection:
            for number in range(3):
                record(connection, at=NOW, actor="desk", verb="correct", subject="OSV4", after={"n": number})
        with closing(sqlite3.connect(path, isolation_level=None)) as foreign:
            assert foreign.execute("PRAGMA recursive_triggers").fetchone() == (0,), "as SQLite opens it"
            with pytest.raises(sqlite3.IntegrityError, match=reason):
                foreign.execute(statement)
        with database.read() as connection:
            report = verify(connection)
        assert report.whole
        assert report.rows == 3


@pytest.mark.parametrize("module_database", ["postgresql"], indirect=True)
def test_a_foreign_program_on_postgresql_is_refused_too(filled: Database) -> None:
    with filled.driver_connection() as foreign:
        for statement, reason in (
            ("TRUNCATE event", "no truncate"),
            ("TRUNCATE event, mark CASCADE", "no truncate"),
            ("DELETE FROM event WHERE id = 3", "no delete"),
            ("UPDATE event SET actor = 'nobody'", "no update"),
            (
                "MERGE INTO event USING (SELECT 3 AS id) AS one ON event.id = one.id WHEN MATCHED THEN DELETE",
                "no delete",
            ),
        ):
            with pytest.raises(psycopg.IntegrityError, match=reason):
                foreign.execute(statement)
        with pytest.raises(psycopg.IntegrityError, match=CHAIN):
            copy_row(foreign)
    with filled.read() as connection:
        assert verify(connection).whole
