"""``kitwright print`` on a real printer program: in words, resumed and answered, each with the right exit code."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection
from typer.testing import CliRunner

from service.cli import app
from service.errors import BadRequest, KitwrightError, PrintJobUnknown
from service.store import print_jobs
from service.store.database import Database
from service.work.print_job_claim import LEFT, note_left_jobs
from service.work.print_jobs import show_print_job
from tests.large_kit import open_large
from tests.print_kit import issue_plates
from tests.printers.conftest import MakePrinter


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of the records of a shop with a kit of two plates, in which commands run."""
    url, vault = f"sqlite:///{tmp_path / 'kitwright.db'}", str(tmp_path / "vault")
    with closing(Database(url)) as database:
        database.migrate()
    workshop = open_large(url, vault)
    issue_plates(workshop, 2)
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", url)
    monkeypatch.setenv("KITWRIGHT_VAULT_URL", vault)
    monkeypatch.setenv("KITWRIGHT_RENDER_WORKERS", "0")
    return url


def run(*arguments: str) -> tuple[int, str]:
    """The exit code of a command, and what it said."""
    done = CliRunner().invoke(app, ["print", *arguments])
    if isinstance(done.exception, KitwrightError):
        raise done.exception
    return done.exit_code, done.output


def test_a_kit_is_printed_and_a_stopped_job_goes_on(shop: str, make_printer: MakePrinter) -> None:
    printer = make_printer()
    printer.mood(pages_before_empty=0)
    code, said = run("OSV4-FC1-A500", "--printer", printer.uri)
    assert code == 1
    assert "stopped, 0 of 2 marks printed" in said
    assert "kitwright print --resume 1" in said
    printer.kill()
    printer.mood()
    printer.start()
    code, said = run("--resume", "1")
    assert (code, "done, 2 of 2 marks printed" in said) == (0, True)
    assert len(printer.printed()) == 2
    assert run("--resume", "1")[0] == 0, "nothing is left to do"
    assert len(printer.printed()) == 2


def test_a_page_in_doubt_is_answered_at_the_terminal(shop: str, make_printer: MakePrinter) -> None:
    printer = make_printer()
    with closing(Database(shop)) as database:
        workshop = open_large(shop, "unused")
        run("OSV4-FC1-A500-SW1-U1-41", "--printer", printer.uri)
        run("OSV4-FC1-A500-SW1-U2-38", "--printer", printer.uri, "--template", "nameplate-60x22")
        with database.write() as connection:
            job = print_jobs.add_print_job(connection, *_like(connection, 1))
            print_jobs.set_page(
                connection, job, 1, "sent", job_name="kitwright 9 page 1 lost", sent_at="2026-01-01T00:00:00Z"
            )
            print_jobs.take_job(connection, job, owner="elsewhere 1 - x", until="2026-01-01T00:00:00Z")
        note_left_jobs(workshop)
        assert show_print_job(workshop, job).said == LEFT
    code, said = run("--resume", str(job))
    assert code == 1
    assert "Is mark 1 printed" in said
    assert "--printed, or --not-printed" in said
    code, said = run("--resume", str(job), "--printed")
    assert (code, "done, 1 of 1" in said) == (0, True)
    assert len(printer.printed()) == 2


def _like(connection: Connection, job: int) -> tuple[print_jobs.NewPrintJob, list[print_jobs.NewJobMark]]:
    """What a job on record was made of."""
    row = print_jobs.find_print_job(connection, job)
    assert row is not None
    new = print_jobs.NewPrintJob(**{name: getattr(row, name) for name in print_jobs.NewPrintJob.__slots__})
    marks = [
        print_jobs.NewJobMark(**{name: getattr(mark, name) for name in print_jobs.NewJobMark.__slots__})
        for mark in print_jobs.job_marks(connection, job)
    ]
    return new, marks


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("OSV4-FC1-A500",),
        ("OSV4-FC1-A500", "--resume", "1"),
        ("--out", "x.pdf"),
        ("OSV4-FC1-A500", "--out", "x.pdf", "--printer", "bench"),
        ("OSV4-FC1-A500", "--printer", "bench", "--printed"),
    ],
)
def test_what_does_not_go_together_is_refused(shop: str, arguments: tuple[str, ...]) -> None:
    with pytest.raises(BadRequest):
        run(*arguments)


def test_a_job_that_is_none_is_named(shop: str) -> None:
    with pytest.raises(PrintJobUnknown):
        run("--resume", "4")
