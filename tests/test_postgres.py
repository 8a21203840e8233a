"""The PostgreSQL that the other tests stand on: it must survive what the fault tests do to it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import create_engine, text

from tests import postgres as helper
from tests.postgres import PostgresServer, ServerMissing


@pytest.fixture
def own_server() -> Iterator[PostgresServer]:
    """A server that this test alone uses, since it kills it."""
    with PostgresServer() as server:
        yield server


def test_a_committed_row_outlives_kill_9_and_an_open_transaction_does_not(own_server: PostgresServer) -> None:
    name = own_server.create_database()
    with own_server.connect(name) as connection:
        connection.execute("CREATE TABLE segment (number text PRIMARY KEY)")
        connection.execute("INSERT INTO segment VALUES ('committed')")
    open_connection = own_server.connect(name)
    open_connection.autocommit = False
    open_connection.execute("INSERT INTO segment VALUES ('open')")
    port = own_server.port

    own_server.kill9()

    assert not own_server.running
    with pytest.raises(psycopg.OperationalError):
        own_server.connect(name)
    with pytest.raises(psycopg.OperationalError):
        open_connection.execute("SELECT 1")
    own_server.restart()
    assert own_server.port == port
    with own_server.connect(name) as connection:
        assert connection.execute("SELECT number FROM segment").fetchall() == [("committed",)]


def test_killing_twice_and_restarting_a_running_server_are_harmless(own_server: PostgresServer) -> None:
    own_server.kill9()
    own_server.kill9()
    own_server.restart()
    own_server.restart()
    assert own_server.running


def test_close_leaves_neither_process_nor_folder() -> None:
    with PostgresServer() as server:
        with server.connect() as connection:
            row = connection.execute("SHOW data_directory").fetchone()
        assert row is not None
        data = Path(row[0])
        assert data.is_dir()
    assert not server.running
    assert not data.parent.exists()


def test_a_crash_test_can_trust_the_settings(postgres: PostgresServer) -> None:
    with postgres.connect() as connection:
        shown = {name: connection.execute(f"SHOW {name}").fetchone() for name in ("synchronous_commit", "fsync")}
    assert shown == {"synchronous_commit": ("on",), "fsync": ("off",)}


def test_a_template_is_filled_once_and_copied(postgres: PostgresServer) -> None:
    calls: list[str] = []

    def fill(url: str) -> None:
        calls.append(url)
        engine = create_engine(url)
        with engine.begin() as connection:
            connection.execute(text("CREATE TABLE kit (number text)"))
            connection.execute(text("INSERT INTO kit VALUES ('OSV4-FC1-A500')"))
        engine.dispose()

    first = postgres.create_database(template=postgres.template("copied", fill))
    with postgres.connect(first) as connection:
        connection.execute("DELETE FROM kit")
    second = postgres.create_database(template=postgres.template("copied", fill))
    with postgres.connect(second) as connection:
        assert connection.execute("SELECT number FROM kit").fetchall() == [("OSV4-FC1-A500",)]
    assert len(calls) == 1


def test_each_test_gets_an_empty_database_of_both_kinds(database_url: str) -> None:
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE only_here (number text)"))
        connection.execute(text("INSERT INTO only_here VALUES ('é-42')"))
    with engine.connect() as connection:
        assert connection.execute(text("SELECT number FROM only_here")).scalar_one() == "é-42"
    engine.dispose()


def test_no_table_of_another_test_is_left(postgres_url: str) -> None:
    engine = create_engine(postgres_url)
    with engine.connect() as connection:
        found = connection.execute(text("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'")).scalar_one()
    engine.dispose()
    assert found == 0


def test_a_named_folder_without_a_server_is_refused_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TEST_PG_BIN", str(tmp_path))
    with pytest.raises(ServerMissing, match=str(tmp_path)):
        helper.find_binaries.__wrapped__()
