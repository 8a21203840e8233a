"""Copies of a SQLite shop while processes issue kits: each copy is of one moment, and a whole shop is made of it."""

from __future__ import annotations

import contextlib
import shutil
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from service.store.database import Database
from service.store.vault import Vault
from service.work.backup import back_up_records
from service.work.export import export_to_file
from service.work.rendering import RenderRoom
from service.work.restore import restore_archive
from service.work.verify_ledger import verify_ledger
from service.work.workshop import Workshop
from tests.faults.processes import Running
from tests.large_kit import SEGMENTS, open_large, release_plate
from tests.small_shop import rows

WRITERS = 2
KITS_EACH = 6
COPIES = 5


@pytest.fixture
def writers(tmp_path: Path) -> Iterator[list[Running]]:
    """Processes that issue large kits into one SQLite file, until they are done or the test ends."""
    url, vault = f"sqlite:///{tmp_path / 'live' / 'kitwright.db'}", str(tmp_path / "live" / "vault")
    (tmp_path / "live").mkdir()
    with closing(Database(url)) as database:
        database.migrate()
    workshop = open_large(url, vault)
    release_plate(workshop)
    workshop.database.close()
    running = [
        Running(
            [sys.executable, "-m", "tests.large_kit", url, vault, str(first), str(first + KITS_EACH - 1)],
            {"PYTHONPATH": "."},
        )
        for first in range(1, 1 + WRITERS * KITS_EACH, KITS_EACH)
    ]
    try:
        yield running
    finally:
        for process in running:
            process.kill9()


@contextlib.contextmanager
def opened(url: str, vault: Path) -> Iterator[Workshop]:
    with closing(Database(url)) as database:
        database.migrate()
        workshop = Workshop(
            database=database, vault=Vault(str(vault)), templates={}, public_url="", rendering=RenderRoom(0)
        )
        with closing(workshop.exact):
            yield workshop


def kits_of(workshop: Workshop) -> list[int]:
    """How many segments each kit has."""
    query = "SELECT count(segment.id) FROM kit LEFT JOIN segment ON segment.kit_id = kit.id GROUP BY kit.id"
    with workshop.database.read() as connection:
        return [int(count) for count in connection.scalars(text(query))]


def test_a_copy_taken_while_processes_write_is_a_whole_shop(
    writers: list[Running], tmp_path: Path, postgres_url: str
) -> None:
    for process in writers:
        process.wait_for_output("issued", timeout_s=120)
    live = f"sqlite:///{tmp_path / 'live' / 'kitwright.db'}"
    taken_while_writing, seen = 0, []
    for turn in range(COPIES):
        folder = tmp_path / f"copy-{turn}"
        folder.mkdir()
        before = sum(process.output.count("issued") for process in writers)
        back_up_records(live, folder / "kitwright.db")
        taken_while_writing += any("done" not in process.output for process in writers)
        # The vault is copied after the records: what they name is there by then.
        shutil.copytree(tmp_path / "live" / "vault", folder / "vault")
        with opened(f"sqlite:///{folder / 'kitwright.db'}", folder / "vault") as copy:
            kits = kits_of(copy)
            assert set(kits) == {SEGMENTS}, "half a kit"
            assert len(kits) >= before, "a kit that was issued before the copy is not in it"
            assert verify_ledger(copy).whole
            seen.append(len(kits))
    assert taken_while_writing > 0
    assert seen == sorted(seen)
    for process in writers:
        assert process.wait(timeout_s=300) == 0, process.output
    with opened(f"sqlite:///{tmp_path / 'copy-0' / 'kitwright.db'}", tmp_path / "copy-0" / "vault") as copy:
        told = export_to_file(copy, tmp_path / "shop.zip")
        with opened(postgres_url, tmp_path / "server") as server:
            restore_archive(server, tmp_path / "shop.zip", tips=[told.ledger.tip])
            assert rows(server) == rows(copy)
            export_to_file(server, tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "shop.zip").read_bytes()
