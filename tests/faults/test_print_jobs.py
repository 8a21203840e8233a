"""Forty marks on a real printer program, and the power fails: each mark lies in the tray once, whatever happens."""

from __future__ import annotations

import sys
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from schemas.print_jobs import PrintedWord, PrintJobAnswer
from service.errors import KitwrightError
from service.store.database import Database
from service.work.print_job_claim import claim_job
from service.work.print_job_run import run_print_job
from service.work.print_jobs import answer_print_job, show_print_job, start_print_job
from service.work.workshop import Workshop
from tests.faults.processes import Running
from tests.large_kit import open_large
from tests.print_kit import issue_plates, keys_of, request, tray
from tests.printers.conftest import MakePrinter
from tests.printers.conftest import bus as bus
from tests.printers.conftest import make_printer as make_printer
from tests.printers.ippeveprinter import EvePrinter

KILLED = -9


class Shop:
    """A shop with a kit and a printer, and processes that print for it."""

    def __init__(self, folder: Path, printer: EvePrinter, *, marks: int) -> None:
        self.printer = printer
        self._url, self._vault = f"sqlite:///{folder / 'kitwright.db'}", str(folder / "vault")
        with closing(Database(self._url)) as database:
            database.migrate()
        self.workshop: Workshop = open_large(self._url, self._vault)
        self.kit = issue_plates(self.workshop, marks)
        self.keys = keys_of(self.workshop, self.kit)
        self.job = start_print_job(self.workshop, request(self.kit, printer), any_address=True).id

    def printing(self, moment: str = "none", nth: int = 0, when: str = "after") -> int:
        """Print in a process of its own until it ends or is killed; its exit code."""
        command = [sys.executable, "-m", "tests.faults.print_runner", self._url, self._vault, str(self.job)]
        return Running([*command, moment, str(nth), when], {}).wait(timeout_s=120)

    def resume(self) -> PrintJobAnswer:
        return run_print_job(self.workshop, claim_job(self.workshop, self.job))

    def show(self) -> PrintJobAnswer:
        return show_print_job(self.workshop, self.job)

    def each_once(self) -> Counter[str]:
        return Counter(self.keys)


def test_a_job_of_forty_marks_killed_again_and_again_prints_each_mark_once(
    tmp_path: Path, make_printer: MakePrinter
) -> None:
    shop = Shop(tmp_path, make_printer(), marks=40)
    for moment, nth, when in (
        ("sent", 5, "before"),  # on record that it leaves, but for the commit
        ("print", 7, "before"),  # on record as sent, and never sent
        ("print", 6, "after"),  # sent, and the printer's answer not heard
        ("printed", 8, "before"),  # printed, and not on record
        ("printed", 9, "after"),  # the same, inside the transaction
    ):
        assert shop.printing(moment, nth, when) == KILLED
        left = shop.show()
        assert left.state == "stopped", "known at once to be left"
        assert "Resume" in left.said
    assert shop.resume().state == "done"
    assert tray(shop.printer) == shop.each_once()
    assert [page["name"].split()[1] for page in shop.printer.printed()] == [str(shop.job)] * 40


@pytest.mark.parametrize("lies_there", [True, False])
def test_a_printer_that_was_switched_off_is_asked_about_and_a_person_answers(
    tmp_path: Path, make_printer: MakePrinter, *, lies_there: bool
) -> None:
    shop = Shop(tmp_path, make_printer(), marks=4)
    # Our process falls at the third mark, the printer right after or right before it has printed it.
    assert shop.printing("print", 3, "after" if lies_there else "before") == KILLED
    if lies_there:
        _wait_for_tray(shop, 3)
    shop.printer.kill()
    shop.printer.start()
    asked = shop.resume()
    assert (asked.state, asked.question_page) == ("asks", 3)
    assert shop.keys[2][:4] in asked.question
    again = shop.resume()
    assert (again.state, again.question) == ("asks", asked.question), "nobody looked yet"
    # The person looks into the tray.
    answered = answer_print_job(shop.workshop, shop.job, PrintedWord(printed=shop.keys[2] in tray(shop.printer)))
    assert (answered.state, answered.question) == ("stopped", "")
    assert shop.resume().state == "done"
    assert tray(shop.printer) == shop.each_once()


def test_a_printer_that_runs_out_of_labels_in_the_middle_loses_no_mark(
    tmp_path: Path, make_printer: MakePrinter
) -> None:
    shop = Shop(tmp_path, make_printer(), marks=4)
    assert shop.printing("printed", 2, "after") == KILLED
    shop.printer.mood(pages_before_empty=0)
    stopped = shop.resume()
    assert stopped.state == "stopped"
    assert "media-empty" in stopped.said
    assert [page.state for page in stopped.pages][2:] == ["failed", "waiting"]
    # New labels: this printer program forgets that it was empty only when it is started again.
    shop.printer.kill()
    shop.printer.mood()
    shop.printer.start()
    assert shop.resume().state == "done"
    assert tray(shop.printer) == shop.each_once()


def test_a_printer_that_stands_still_keeps_its_page_and_the_job_waits(
    tmp_path: Path, make_printer: MakePrinter
) -> None:
    shop = Shop(tmp_path, make_printer(), marks=3)
    shop.printer.mood(hang=True)
    claim = claim_job(shop.workshop, shop.job)
    stopped = run_print_job(shop.workshop, claim, stands_s=1.5)
    assert stopped.state == "stopped"
    assert "does not go on" in stopped.said
    assert [page.state for page in stopped.pages] == ["sent", "waiting", "waiting"]
    assert answered_with(shop, printed=True) == "nothing_asked", "the printer can still be asked, and is first"


def test_a_printer_that_vanishes_in_the_middle_leaves_a_job_to_resume(
    tmp_path: Path, make_printer: MakePrinter
) -> None:
    shop = Shop(tmp_path, make_printer(), marks=4)
    assert shop.printing("printed", 2, "after") == KILLED
    shop.printer.kill()
    assert shop.resume().state == "stopped"
    assert shop.show().printed < 4
    shop.printer.start()
    last = shop.resume()
    while last.state == "asks":
        page = (last.question_page or 0) - 1
        answer_print_job(shop.workshop, shop.job, PrintedWord(printed=shop.keys[page] in tray(shop.printer)))
        last = shop.resume()
    assert last.state == "done"
    assert tray(shop.printer) == shop.each_once()


def answered_with(shop: Shop, *, printed: bool) -> str:
    with pytest.raises(KitwrightError) as caught:
        answer_print_job(shop.workshop, shop.job, PrintedWord(printed=printed))
    return caught.value.code


def _wait_for_tray(shop: Shop, pages: int) -> None:
    for _ in range(200):
        if len(shop.printer.printed()) >= pages:
            return
        time.sleep(0.05)
    raise TimeoutError("the printer did not print")
