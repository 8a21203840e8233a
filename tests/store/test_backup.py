"""A copy of the records while others write to them."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest

from service.errors import BadRequest, CopyUnproven, DatabaseUnavailable, TargetUnavailable
from service.store.backup import back_up, new_file
from service.store.database import Database
from service.store.events import record
from service.work.backup import back_up_records
from tests.factories import NOW, make_kit


@pytest.fixture
def local(migrated_sqlite: Path, tmp_path: Path) -> Database:
    """A SQLite database with a kit."""
    path = tmp_path / "live" / "kitwright.db"
    path.parent.mkdir()
    path.write_bytes(migrated_sqlite.read_bytes())
    database = Database(f"sqlite:///{path}")
    with database.write() as connection:
        make_kit(connection)
    return database


def ask(path: Path, query: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.execute(query))


def test_a_copy_taken_while_others_write_is_of_one_moment(local: Database, tmp_path: Path) -> None:
    enough, written = threading.Event(), [0]

    def write() -> None:
        while not enough.is_set():
            with local.write() as connection:
                # Two lines in one transaction: a copy with an odd number is of no moment.
                for verb in ("print", "engrave"):
                    record(connection, at=NOW, actor="assembler", verb=verb, subject="OSV4-FC1-A500")
            written[0] += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for turn in range(10):
            copy = tmp_path / f"backup-{turn}.db"
            before = written[0]
            assert back_up(local, copy) == copy.stat().st_size
            ((count,),) = ask(copy, "SELECT count(*) FROM event")
            assert isinstance(count, int)
            assert count % 2 == 0
            assert count >= 2 * before
            assert ask(copy, "PRAGMA integrity_check") == [("ok",)]
    finally:
        enough.set()
        writer.join()
    assert written[0] > 0
    local.close()


def test_the_copy_is_one_file_and_a_database_to_work_on(local: Database, tmp_path: Path) -> None:
    copy = tmp_path / "copy" / "backup.db"
    copy.parent.mkdir()
    back_up(local, copy)
    local.close()
    assert [path.name for path in copy.parent.iterdir()] == ["backup.db"]
    assert ask(copy, "PRAGMA journal_mode") == [("delete",)]
    with closing(Database(f"sqlite:///{copy}")) as restored:
        restored.migrate()
        assert restored.ready()
        with restored.write() as connection:
            make_kit(connection, design="C")
    assert ask(copy, "SELECT count(*) FROM kit") == [(2,)]


def test_a_copy_before_a_newer_version_is_started_migrates_nothing(local: Database, tmp_path: Path) -> None:
    url = local.url.render_as_string()
    with local.write() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0003'")
    local.close()
    back_up_records(url, tmp_path / "backup.db")
    assert ask(tmp_path / "backup.db", "SELECT version_num FROM alembic_version") == [("0003",)]


def test_nothing_is_written_over_the_database_least_of_all(local: Database, tmp_path: Path) -> None:
    live = Path(local.url.database or "")
    before = ask(live, "SELECT number FROM kit")
    (tmp_path / "backup.db").write_bytes(b"the last good one")
    for target in (live, tmp_path / "backup.db"):
        with pytest.raises(BadRequest, match="there already"):
            back_up(local, target)
    assert ask(live, "SELECT number FROM kit") == before
    assert (tmp_path / "backup.db").read_bytes() == b"the last good one"
    local.close()


def test_one_that_came_meanwhile_is_kept_too(tmp_path: Path) -> None:
    target = tmp_path / "backup.db"

    def write() -> None:
        with new_file(target) as draft:
            draft.write_bytes(b"mine")
            target.write_bytes(b"theirs")

    with pytest.raises(BadRequest, match="there already"):
        write()
    assert target.read_bytes() == b"theirs"
    assert [path.name for path in tmp_path.iterdir()] == ["backup.db"]


def test_what_cannot_be_is_said(local: Database, tmp_path: Path) -> None:
    with pytest.raises(TargetUnavailable, match="cannot be written"):
        back_up(local, tmp_path / "no such folder" / "backup.db")
    local.close()
    with pytest.raises(DatabaseUnavailable, match="no such file"):
        back_up_records(f"sqlite:///{tmp_path / 'none.db'}", tmp_path / "backup.db")
    assert not (tmp_path / "none.db").exists()
    (tmp_path / "odd.db").write_bytes(b"no database at all, but long enough to be looked at" * 40)
    with pytest.raises(DatabaseUnavailable):
        back_up_records(f"sqlite:///{tmp_path / 'odd.db'}", tmp_path / "backup.db")
    assert not (tmp_path / "backup.db").exists()


def test_a_damaged_database_gives_no_copy(local: Database, tmp_path: Path) -> None:
    with local.write() as connection:
        for _ in range(200):
            record(connection, at=NOW, actor="assembler", verb="print", subject="OSV4-FC1-A500")
    live = Path(local.url.database or "")
    local.close()
    with closing(sqlite3.connect(live)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        ((root,),) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'event'")
        ((size,),) = connection.execute("PRAGMA page_size")
    data = bytearray(live.read_bytes())
    data[(root - 1) * size + 8 : (root - 1) * size + 200] = b"\xff" * 192
    live.write_bytes(data)
    with pytest.raises((CopyUnproven, DatabaseUnavailable)):
        back_up_records(f"sqlite:///{live}", tmp_path / "backup.db")
    assert not (tmp_path / "backup.db").exists()


def test_a_row_that_refers_to_nothing_makes_a_copy_worthless(local: Database, tmp_path: Path) -> None:
    live = Path(local.url.database or "")
    local.close()
    with closing(sqlite3.connect(live)) as connection:
        connection.execute("INSERT INTO shared_segment (kit_id, segment_id) VALUES (1, 999)")
        connection.commit()
    with pytest.raises(CopyUnproven, match="shared_segment"):
        back_up_records(f"sqlite:///{live}", tmp_path / "backup.db")
    assert not (tmp_path / "backup.db").exists()


def test_a_server_is_copied_with_its_own_tools(postgres_url: str, tmp_path: Path) -> None:
    with pytest.raises(BadRequest, match="pg_dump"):
        back_up_records(postgres_url, tmp_path / "backup.db")
