"""``kitwright export``, ``restore`` and ``backup`` as a person types them."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from service.app import close_workshop, open_workshop
from service.settings import Settings
from tests.small_kit import file_of, issue_small, make_dxf, release_all

ROOT = Path(__file__).resolve().parents[1]


def kitwright(folder: Path, *arguments: str, database_url: str = "") -> subprocess.CompletedProcess[str]:
    """The command over the records in a folder."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("KITWRIGHT_")}
    own = {
        "KITWRIGHT_DATABASE_URL": database_url or f"sqlite:///{folder / 'kitwright.db'}",
        "KITWRIGHT_VAULT_URL": str(folder / "vault"),
        "COLUMNS": "60",
    }
    return subprocess.run(
        [str(Path(sys.executable).parent / "kitwright"), *arguments],
        cwd=ROOT,
        env={**clean, **own},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder of records with a kit."""
    folder = tmp_path / "shop"
    opened = open_workshop(
        Settings(database_url=f"sqlite:///{folder / 'kitwright.db'}", vault_url=str(folder / "vault"), render_workers=0)
    )
    release_all(opened)
    issue_small(opened)
    close_workshop(opened)
    return folder


def test_from_one_machine_to_a_bare_one_and_on_to_a_server(shop: Path, tmp_path: Path, postgres_url: str) -> None:
    archive = tmp_path / "shop.zip"
    done = kitwright(shop, "export", "--out", str(archive))
    assert done.returncode == 0, done.stderr
    first, *_, tip = done.stdout.splitlines()
    assert first.startswith(f"{archive}: ")
    assert first.endswith(" rows, 5 cut files and photographs")
    for folder, url in ((tmp_path / "bare", ""), (tmp_path / "server", postgres_url)):
        done = kitwright(folder, "restore", str(archive), "--tip", tip, database_url=url)
        assert done.returncode == 0, done.stderr
        assert "  segment: 6" in done.stdout.splitlines()
        assert done.stdout.splitlines()[-1] == f"Tip of the ledger: {tip}"
        again = folder / "again.zip"
        assert kitwright(folder, "export", "--out", str(again), database_url=url).returncode == 0
        assert again.read_bytes() == archive.read_bytes()
        done = kitwright(folder, "restore", str(archive), database_url=url)
        assert done.returncode == 1
        assert "database_not_empty" in done.stderr
        assert "Traceback" not in done.stderr


def test_what_was_lost_is_said_on_both_sides(shop: Path, tmp_path: Path) -> None:
    for path in (shop / "vault" / "sha256").rglob("*"):
        if path.is_file() and path.read_bytes() == make_dxf(corner=(-150.3, -150.3)):
            path.unlink()
    archive = tmp_path / "shop.zip"
    done = kitwright(shop, "export", "--out", str(archive))
    assert done.returncode == 1
    assert "cut_file_missing" in done.stderr
    assert file_of("SW2-U3") in done.stderr
    assert not archive.exists()
    done = kitwright(shop, "export", "--out", str(archive), "--leave-out-damaged")
    assert done.returncode == 0
    assert f"left out: {file_of('SW2-U3')} revision -, missing" in " ".join(done.stdout.split())
    done = kitwright(tmp_path / "bare", "restore", str(archive))
    assert done.returncode == 0
    assert f"was lost: {file_of('SW2-U3')} revision -, missing" in " ".join(done.stdout.split())


def test_a_spoilt_ledger_travels_as_it_is_and_is_named(shop: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(shop / "kitwright.db", isolation_level=None)) as foreign:
        foreign.execute("DROP TRIGGER event_never_changed")
        foreign.execute("UPDATE event SET actor = 'nobody' WHERE id = 2")
        foreign.execute("DROP TRIGGER event_never_deleted")
        foreign.execute("DELETE FROM event WHERE id = 4")
    archive = tmp_path / "shop.zip"
    for done in (
        kitwright(shop, "export", "--out", str(archive)),
        kitwright(tmp_path / "bare", "restore", str(archive)),
    ):
        assert done.returncode == 0, done.stderr
        assert "ledger: row 2 does not say what it said when it was written" in " ".join(done.stdout.split())
        assert "ledger: row 4 is missing" in " ".join(done.stdout.split())
    with closing(sqlite3.connect(tmp_path / "bare" / "kitwright.db", isolation_level=None)) as restored:
        for broken in ("UPDATE event SET actor = 'me' WHERE id = 1", "DELETE FROM event WHERE id = 1"):
            with pytest.raises(sqlite3.IntegrityError, match="kept for ever"):
                restored.execute(broken)
        with pytest.raises(sqlite3.IntegrityError, match="a new row follows the last one"):
            restored.execute("INSERT INTO event SELECT 99, at, actor, verb, subject, before, after, '', '' FROM event")


def test_a_copy_of_the_database_alone(shop: Path, tmp_path: Path) -> None:
    copy = tmp_path / "kitwright.db"
    done = kitwright(shop, "backup", "--out", str(copy))
    assert done.returncode == 0, done.stderr
    assert "now copy the vault" in " ".join(done.stdout.split())
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("SELECT count(*) FROM segment").fetchone() == (6,)
    assert kitwright(shop, "backup", "--out", str(copy)).returncode == 1
