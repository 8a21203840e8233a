"""The ledger's migration: events of before the chain are chained, and the way back keeps them."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

import pytest
from alembic.config import Config
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

from alembic import command
from service.store import migrations, sqlite
from service.store.chain import GENESIS
from service.store.database import Database
from service.store.events import record
from service.store.ledger import tip, verify
from tests.factories import NOW

BEFORE, CHAINED = "0003", "0004"
ROWS = 2_345
SAID = "id, at, actor, verb, subject, before, after"
OLD = f"INSERT INTO event ({SAID}) VALUES (:id, '{NOW}', :actor, 'correct', 'Größe \" µ', :before, :after)"


def step(connection: Connection, verb: str, revision: str) -> None:
    """What ``alembic upgrade`` and ``alembic downgrade`` do, in the caller's transaction."""
    config = Config()
    config.set_main_option("script_location", str(migrations.FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    (command.upgrade if verb == "up" else command.downgrade)(config, revision)


@pytest.fixture
def old(database_url: str) -> Iterator[Database]:
    """A database of before the chain, with events in it, more than one batch."""
    with contextlib.closing(Database(database_url)) as database:
        if database.is_local:
            sqlite.make_file(database.url, wait_s=5)
        with database.write() as connection:
            step(connection, "up", BEFORE)
            rows = [
                {"id": id_, "actor": f"actor {id_}", "before": None if id_ % 2 else '{"a":"é"}', "after": f"[{id_}]"}
                for id_ in range(1, ROWS + 1)
            ]
            connection.execute(text(OLD), rows)
        yield database


def said(connection: Connection) -> list[tuple[object, ...]]:
    return [tuple(row) for row in connection.execute(text(f"SELECT {SAID} FROM event ORDER BY id"))]


def triggers(connection: Connection) -> set[str]:
    names = (
        "SELECT tgname FROM pg_trigger WHERE tgrelid = 'event'::regclass AND NOT tgisinternal"
        if connection.dialect.name == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
    )
    return {name.removeprefix("event_") for (name,) in connection.execute(text(names))}


def test_events_of_before_are_chained_in_their_order(old: Database) -> None:
    with old.read() as connection:
        before = said(connection)
    old.migrate()
    with old.read() as connection:
        report = verify(connection)
        assert report.whole, report.faults
        assert report.rows == ROWS
        assert said(connection) == before
        first = connection.execute(text("SELECT previous_sha256 FROM event WHERE id = 1")).scalar_one()
        assert first == GENESIS
    with old.write() as connection:
        record(connection, at=NOW, actor="desk", verb="correct", subject="OSV4")
        assert verify(connection).whole


def test_an_empty_database_gets_an_empty_ledger(database: Database) -> None:
    with database.read() as connection:
        assert tip(connection).id == 0
        assert verify(connection).whole


def test_there_and_back_and_there_again_keeps_rows_chain_and_guards(old: Database) -> None:
    guards = {"never_deleted", "never_changed"} | (set() if old.is_local else {"never_truncated"})
    with old.write() as connection:
        before = said(connection)
        assert triggers(connection) == guards
        step(connection, "up", CHAINED)
        tip_before = tip(connection)
        assert triggers(connection) == {*guards, "follows_the_last"}
        step(connection, "down", BEFORE)
        assert said(connection) == before
        assert triggers(connection) == guards
    for statement in ("DELETE FROM event WHERE id = 1", "UPDATE event SET actor = 'nobody' WHERE id = 1"):
        with pytest.raises(IntegrityError, match="kept for ever"), old.write() as connection:
            connection.execute(text(statement))
    with old.write() as connection:
        step(connection, "up", "head")
        assert tip(connection) == tip_before, "the same rows give the same chain"
        assert said(connection) == before
        assert verify(connection, [tip_before.anchor]).whole
    for statement in ("DELETE FROM event WHERE id = 1", "UPDATE event SET sha256 = previous_sha256 WHERE id = 1"):
        with pytest.raises(IntegrityError, match="kept for ever"), old.write() as connection:
            connection.execute(text(statement))
