"""A release, a reorder, an engraving and an export that are killed: nothing of it is half, and what began is named."""

from __future__ import annotations

import hashlib
import random
import sys
import time
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from service.store.database import Database
from service.work.history import history
from service.work.verify_ledger import verify_ledger
from tests.faults.processes import Running
from tests.large_kit import open_large
from tests.small_kit import NUMBER_U3, issue_small, release_all

KILLS = 2


@pytest.mark.parametrize("what", ["release", "reorder", "engrave", "export"])
def test_killed_at_any_moment_it_is_done_or_it_is_not(database: Database, tmp_path: Path, what: str) -> None:
    url, vault, archives = database.url.render_as_string(hide_password=False), tmp_path / "vault", tmp_path / "archives"
    archives.mkdir()
    dice = random.Random(what)
    workshop = open_large(url, str(vault))
    with closing(workshop.database), closing(workshop.exact):
        release_all(workshop)
        issue_small(workshop)
        said = 0
        for _ in range(KILLS):
            command = [sys.executable, "-m", "tests.faults.desk_work", url, str(vault), str(archives), what]
            process = Running(command, {"PYTHONPATH": "."})
            try:
                process.wait_for_output(f"done {what}", timeout_s=60)
                time.sleep(dice.uniform(0.0, 0.1))
            finally:
                process.kill9()
            said += process.output.count(f"done {what}\n")
        with workshop.database.read() as connection:

            def count(query: str) -> int:
                return int(connection.scalar(text(query)) or 0)

            # Of each process one more may be on record than it could say.
            done = {
                "release": count("SELECT count(*) FROM revision") - 6,
                "reorder": count("SELECT count(*) FROM reorder"),
                "engrave": count("SELECT count(*) FROM mark WHERE state = 'made'"),
                "export": len(list(archives.glob("[0-9]*.zip"))),
            }[what]
            if what != "export":
                assert said <= done <= said + KILLS
                # An engraving has a second event, for what became of it.
                which = {"release": "verb = 'revise'"}.get(what, f"verb = '{what}' AND before IS NULL")
                events = count(f"SELECT count(*) FROM event WHERE {which}")
                begun = count("SELECT count(*) FROM mark") if what == "engrave" else done
                assert events == begun + (6 if what == "release" else 0)
            for sha256 in connection.scalars(text("SELECT sha256 FROM revision")):
                assert hashlib.sha256(workshop.vault.get(str(sha256))).hexdigest() == sha256
            ordered = count("SELECT count(*) FROM piece WHERE condition = 'ordered'")
            assert ordered == count("SELECT count(*) FROM reorder WHERE new_piece_id IS NOT NULL")
            orphans = count("SELECT count(*) FROM mark WHERE state = 'intended'")
        assert verify_ledger(workshop).whole
        # What was begun and never settled stands in the history as begun: it says more often that it begins.
        states = [str(line) for line in history(workshop, NUMBER_U3).events]
        assert sum("intended" in line for line in states) >= orphans
        assert orphans <= KILLS
        # An archive has its name when it is whole, and not before; a draft that was broken off is named as one.
        for path in archives.glob("[0-9]*.zip"):
            with zipfile.ZipFile(path) as archive:
                assert archive.testzip() is None
