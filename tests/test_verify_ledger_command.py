"""The command that a person, or a nightly job, runs over the ledger."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from service.store.database import Database
from service.store.events import record
from service.store.ledger import tip
from tests.factories import NOW

ROOT = Path(__file__).resolve().parents[1]


def verify_ledger(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The command, in a folder of records."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("KITWRIGHT_")}
    own = {"KITWRIGHT_DATABASE_URL": f"sqlite:///{folder / 'shop.db'}", "KITWRIGHT_VAULT_URL": str(folder / "vault")}
    return subprocess.run(
        [str(Path(sys.executable).parent / "kitwright"), "verify-ledger", *arguments],
        cwd=ROOT,
        env={**clean, **own, "COLUMNS": "60"},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def kept(tmp_path: Path) -> str:
    """The tip of a ledger of three rows, as it was written down."""
    with closing(Database(f"sqlite:///{tmp_path / 'shop.db'}")) as database:
        database.migrate()
        with database.write() as connection:
            for number in range(3):
                record(connection, at=NOW, actor="desk", verb="correct", subject="OSV4", after=number)
            return str(tip(connection))


def test_a_whole_ledger_ends_with_status_0_and_its_tip(tmp_path: Path, kept: str) -> None:
    done = verify_ledger(tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[:2] == ["ledger whole: 3 rows read", f"tip {kept}"]
    assert "rows cut off at the end would not have been seen" in " ".join(done.stdout.split())
    done = verify_ledger(tmp_path, "--tip", kept)
    assert done.returncode == 0
    assert "cut off" not in done.stdout


def test_a_ledger_that_is_not_whole_ends_with_status_1_and_names_the_rows(tmp_path: Path, kept: str) -> None:
    with closing(sqlite3.connect(tmp_path / "shop.db", isolation_level=None)) as foreign:
        foreign.execute("DROP TRIGGER event_never_changed")
        foreign.execute("DROP TRIGGER event_never_deleted")
        foreign.execute("UPDATE event SET subject = 'OSV5' WHERE id = 2")
        foreign.execute("DELETE FROM event WHERE id = 3")
    done = verify_ledger(tmp_path, "--tip", kept)
    assert done.returncode == 1
    assert done.stderr.strip().splitlines() == [
        "changed: row 2 does not say what it said when it was written",
        "cut_off: row 3 is cut off at the end: row 3 was anchored",
    ]
    assert "ledger NOT WHOLE: 2 rows read" in done.stdout


def test_what_is_no_tip_is_said(tmp_path: Path, kept: str) -> None:
    done = verify_ledger(tmp_path, "--tip", kept[:-2])
    assert done.returncode == 1
    assert "not a tip of the ledger" in " ".join(done.stderr.split())


def test_more_faults_than_are_named_are_counted(tmp_path: Path, kept: str) -> None:
    with closing(Database(f"sqlite:///{tmp_path / 'shop.db'}")) as database, database.write() as connection:
        for number in range(150):
            record(connection, at=NOW, actor="desk", verb="correct", subject="OSV4", after=number)
    with closing(sqlite3.connect(tmp_path / "shop.db", isolation_level=None)) as foreign:
        foreign.execute("DROP TRIGGER event_never_changed")
        foreign.execute("UPDATE event SET actor = 'nobody'")
    done = verify_ledger(tmp_path)
    assert done.returncode == 1
    assert done.stderr.splitlines()[-1] == "and 53 more"
