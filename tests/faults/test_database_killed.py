"""A process or a server that is killed in the middle of a write leaves whole kits or nothing."""

from __future__ import annotations

import contextlib
import hashlib
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from service.errors import DatabaseUnavailable
from service.store.database import Database
from service.store.kits import kit_segments
from service.store.tables import Base
from service.store.vault import Vault
from tests.factories import make_kit
from tests.faults.processes import snippet
from tests.postgres import PostgresServer

SEGMENTS = 150

HALF_WAY = """
import sys, time
from service.store.database import Database
from tests.factories import make_kit
with Database(sys.argv[1]).write() as connection:
    make_kit(connection, segments=150)
    print("written, not committed", flush=True)
    time.sleep(600)
"""
ONE_AFTER_ANOTHER = """
import sys
from service.store.database import Database
from tests.factories import make_kit
database = Database(sys.argv[1])
for nominal in range(1, 100000):
    with database.write() as connection:
        make_kit(connection, nominal=nominal, segments=150)
    print("committed", nominal, flush=True)
"""
FILES = """
import sys
from service.store.vault import Vault
vault = Vault(sys.argv[1])
for number in range(1, 100000):
    print("kept", vault.put(str(number).encode() * 50000), flush=True)
"""


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """A database with the tables in it, of each kind."""
    with contextlib.closing(Database(database_url)) as made:
        made.migrate()
        yield made


def count_all(database: Database) -> dict[str, int]:
    """The number of rows of every table."""
    with database.read() as connection:
        return {name: connection.scalar(text(f"SELECT count(*) FROM {name}")) or 0 for name in Base.metadata.tables}


def url_of(database: Database) -> str:
    return database.url.render_as_string(hide_password=False)


def test_a_process_killed_before_its_commit_leaves_nothing_and_no_lock(database: Database) -> None:
    with snippet(HALF_WAY, arguments=[url_of(database)]) as process:
        process.wait_for_output("written, not committed")
        process.kill9()
    assert set(count_all(database).values()) == {0}
    with database.write() as connection:
        kit = make_kit(connection, segments=3)
    with database.read() as connection:
        assert [row.id for row in kit_segments(connection, kit.id)] == [1, 2, 3]


@pytest.mark.parametrize("moment", [0.0, 0.004, 0.011])
def test_a_process_killed_at_any_moment_leaves_whole_kits(database: Database, moment: float) -> None:
    with snippet(ONE_AFTER_ANOTHER, arguments=[url_of(database)]) as process:
        process.wait_for_output("committed 3")
        time.sleep(moment)
        process.kill9()
    committed = process.output.count("committed")
    rows = count_all(database)
    # One more may have been committed than the process had time to say.
    assert rows["kit"] in {committed, committed + 1}
    assert rows["segment"] == rows["piece"] == rows["kit"] * SEGMENTS
    assert rows["issued_key"] == 2 * rows["segment"]
    assert rows["joint"] == rows["kit"] * (SEGMENTS - 1)
    assert rows["assembly"] == rows["cut_file"] == rows["revision"] == rows["container"] == rows["kit"]


def test_a_server_killed_before_the_commit_keeps_nothing_of_it(postgres: PostgresServer, postgres_url: str) -> None:
    with contextlib.closing(Database(postgres_url)) as database:
        database.migrate()
        with database.write() as connection:
            make_kit(connection, nominal=330, segments=2)

        def write_while_the_server_dies() -> None:
            with database.write() as connection:
                make_kit(connection, segments=SEGMENTS)
                postgres.kill9()

        with pytest.raises(DatabaseUnavailable):
            write_while_the_server_dies()
        assert not database.ready()
        postgres.restart()
        assert database.ready()
        rows = count_all(database)
        assert (rows["kit"], rows["segment"], rows["issued_key"]) == (1, 2, 4)
        with database.write() as connection:
            make_kit(connection, segments=SEGMENTS)


def test_a_writer_that_waits_gets_its_turn_when_the_one_before_is_killed(database: Database) -> None:
    done = threading.Event()

    def wait_for_turn() -> None:
        with database.write() as connection:
            make_kit(connection, segments=2)
        done.set()

    waiting = threading.Thread(target=wait_for_turn)
    with snippet(HALF_WAY, arguments=[url_of(database)]) as process:
        process.wait_for_output("written, not committed")
        waiting.start()
        assert not done.wait(0.3), "two writers at once"
        process.kill9()
    waiting.join(timeout=20)
    assert done.is_set()
    assert count_all(database)["segment"] == 2


def test_a_process_killed_while_it_fills_the_vault_leaves_whole_files(tmp_path: Path) -> None:
    with snippet(FILES, arguments=[str(tmp_path)]) as process:
        process.wait_for_output("kept")
        time.sleep(0.05)
        process.kill9()
    said = [line.split()[1] for line in process.output.splitlines() if line.startswith("kept ") and len(line) == 69]
    vault = Vault(str(tmp_path))
    for sha256 in said:
        assert hashlib.sha256(vault.get(sha256)).hexdigest() == sha256
    kept = [path for path in (tmp_path / "sha256").rglob("*") if path.is_file()]
    assert len(kept) >= len(said) > 0
    for path in kept:
        assert hashlib.sha256(path.read_bytes()).hexdigest() == path.parent.name + path.name
