"""Restoring in a process that is killed: nothing of it is there, and the next one brings everything back."""

from __future__ import annotations

import contextlib
import random
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.store.database import Database
from service.store.vault import Vault
from service.work.export import export_to_file
from service.work.rendering import RenderRoom
from service.work.restore import restore_archive
from service.work.workshop import Workshop
from tests.bench.full_shop import fill
from tests.faults.processes import Running
from tests.small_shop import is_empty, rows

SEGMENTS = 2_000
KILLS = 6
RELEASED = b"osv4-fc1-a500-sw2-u3.dxf -"
RESTORE = """
import sys
from pathlib import Path
from service.store.database import Database
from service.store.vault import Vault
from service.work.rendering import RenderRoom
from service.work.restore import restore_archive
from service.work.workshop import Workshop

database = Database(sys.argv[1])
workshop = Workshop(database=database, vault=Vault(sys.argv[2]), templates={}, public_url="", rendering=RenderRoom(0))
restore_archive(workshop, Path(sys.argv[3]), step=lambda words: print(words, flush=True))
print("restored", flush=True)
"""


@contextlib.contextmanager
def opened(database: Database, vault: Path) -> Iterator[Workshop]:
    workshop = Workshop(
        database=database, vault=Vault(str(vault)), templates={}, public_url="", rendering=RenderRoom(0)
    )
    with contextlib.closing(workshop.exact):
        yield workshop


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop large enough that its restore takes a while."""
    folder = tmp_path_factory.mktemp("large")
    with contextlib.closing(Database(f"sqlite:///{folder / 'kitwright.db'}")) as database:
        database.migrate()
        with opened(database, folder / "vault") as workshop:
            workshop.vault.put(RELEASED)
            fill(database, segments=SEGMENTS)
            export_to_file(workshop, folder / "shop.zip")
    return folder / "shop.zip"


def test_killed_at_any_moment_a_restore_leaves_nothing(database: Database, archive: Path, tmp_path: Path) -> None:
    url, vault = database.url.render_as_string(hide_password=False), tmp_path / "vault"
    moment = random.Random(11)
    waits_for = ("table segment", "table issued_key", "references", "proving segment", "proving piece", "ledger")
    finished = False
    for turn in range(KILLS):
        process = Running([sys.executable, "-c", RESTORE, url, str(vault), str(archive)], {"PYTHONPATH": "."})
        try:
            process.wait_for_output(waits_for[turn % len(waits_for)], timeout_s=120)
            time.sleep(moment.uniform(0.0, 0.05))
        finally:
            process.kill9()
        with opened(database, vault) as workshop:
            if not is_empty(workshop):
                # The commit may have come before the signal; then everything is there.
                finished = True
                break
            assert database.ready()
    with opened(database, vault) as workshop:
        if not finished:
            restore_archive(workshop, archive)
        assert len(rows(workshop)["segment"]) == SEGMENTS
        export_to_file(workshop, tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == archive.read_bytes()
