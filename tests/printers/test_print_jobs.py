"""Print jobs at every door, on a real printer program: started, followed, resumed, answered, cancelled, restarted."""

from __future__ import annotations

import re
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from schemas.print_jobs import PrintJobAnswer
from service.app import close_workshop, make_app, open_workshop
from service.errors import KitwrightError
from service.settings import Settings
from service.work.print_job_claim import Claim, claim_job
from service.work.print_job_run import run_print_job
from service.work.print_jobs import show_print_job, start_print_job
from service.work.workshop import Workshop
from tests.print_kit import issue_plates, keys_of, request, tray
from tests.printers.conftest import MakePrinter
from tests.printers.ippeveprinter import EvePrinter

MARKS = 3


@dataclass
class Bench:
    """A shop with a kit of three plates and one printer, its calls and its pages."""

    workshop: Workshop
    client: TestClient
    printer: EvePrinter
    kit: str

    def start(self, **more: object) -> dict[str, Any]:
        answer = self.client.post("/api/print-jobs", json={"marks": [self.kit], "printer": "bench", **more})
        assert answer.status_code == 201, answer.text
        started: dict[str, Any] = answer.json()
        assert answer.headers["location"] == f"/api/print-jobs/{started['id']}"
        return started

    def show(self, job: int) -> dict[str, Any]:
        shown: dict[str, Any] = self.client.get(f"/api/print-jobs/{job}").json()
        return shown

    def until(self, job: int, *states: str) -> dict[str, Any]:
        for _ in range(400):
            if self.show(job)["state"] in states:
                break
            time.sleep(0.1)
        return self.show(job)

    def wait_for(self, ready: Callable[[], bool]) -> None:
        for _ in range(400):
            if ready():
                return
            time.sleep(0.05)
        raise TimeoutError


@pytest.fixture
def bench(tmp_path: Path, make_printer: MakePrinter) -> Iterator[Bench]:
    printer = make_printer(ready=("om_plate_60x22mm", "iso_a4_210x297mm"))
    settings = Settings(
        database_url=f"sqlite:///{tmp_path / 'kitwright.db'}",
        vault_url=str(tmp_path / "vault"),
        render_workers=0,
        printers=f"bench={printer.uri}",
    )
    workshop = open_workshop(settings)
    kit = issue_plates(workshop, MARKS)
    with ExitStack() as opened:
        opened.callback(close_workshop, workshop)
        client = TestClient(make_app(settings, workshop), base_url="http://127.0.0.1:8000", follow_redirects=False)
        yield Bench(workshop, opened.enter_context(client), printer, kit)


def test_a_kit_is_printed_mark_by_mark_and_each_bears_its_own_key(bench: Bench) -> None:
    job = bench.start()
    ended = bench.until(job["id"], "done", "stopped")
    assert (ended["state"], ended["printed"], ended["said"]) == ("done", MARKS, "")
    assert tray(bench.printer) == Counter(keys_of(bench.workshop, bench.kit))
    names = [page["job_name"] for page in ended["pages"]]
    assert [name.rpartition(" ")[0] for name in names] == [f"kitwright {job['id']} page {n}" for n in (1, 2, 3)]
    assert [page["name"] for page in bench.printer.printed()] == names
    history = bench.client.get(f"/api/kits/{bench.kit}/history").json()["events"]
    assert [event["verb"] for event in history].count("print job") == 2
    assert [row["id"] for row in bench.client.get("/api/print-jobs").json()["print_jobs"]] == [job["id"]]
    again = bench.client.post(f"/api/print-jobs/{job['id']}/resume")
    assert (again.status_code, again.json()["code"]) == (409, "print_job_closed")


def test_the_second_time_is_a_reprint_in_the_ledger_and_not_on_the_mark(bench: Bench) -> None:
    for _ in range(2):
        assert bench.until(bench.start()["id"], "done")["state"] == "done"
    first, second = bench.printer.printed()[:MARKS], bench.printer.printed()[MARKS:]
    assert [page["text"] for page in first] == [page["text"] for page in second]
    assert not any("REPRINT" in page["text"].upper() for page in second)
    told = [
        event["after"].get("reprint")
        for event in bench.client.get(f"/api/kits/{bench.kit}/history").json()["events"]
        if event["verb"] == "print" and event["after"]["state"] == "intended"
    ]
    assert told[0] is None
    assert told[1]["says"] == "REPRINT"
    assert len(told[1]["marks"]) == MARKS


def test_a_sheet_is_one_page_and_begins_where_it_is_told(bench: Bench) -> None:
    job = bench.start(paper="a4", start_cell=29)
    ended = bench.until(job["id"], "done", "stopped")
    assert (ended["state"], ended["said"]) == ("done", "")
    # Two cells are left on the used sheet, the third mark begins a new one.
    assert [len(page["marks"]) for page in ended["pages"]] == [2, 1]
    assert len(bench.printer.printed()) == 2


def test_the_same_request_sent_twice_prints_once(bench: Bench) -> None:
    body = {"marks": [bench.kit], "printer": "bench"}
    answers = [
        bench.client.post("/api/print-jobs", json=body, headers={"Idempotency-Key": "once"}).json() for _ in range(2)
    ]
    assert answers[0]["id"] == answers[1]["id"]
    assert bench.until(answers[0]["id"], "done")["printed"] == MARKS
    assert len(bench.printer.printed()) == MARKS


@pytest.mark.parametrize(
    ("asked", "status", "code"),
    [
        ({"printer": "nobody"}, 404, "printer_unknown"),
        ({"printer": "ipp://elsewhere.example/ipp/print"}, 404, "printer_unknown"),
        ({"template": "tied-tag-80x50", "dpi": 300}, 422, "resolution_refused"),
        ({"paper": "letter"}, 422, "media_refused"),
        ({"paper": "a4", "start_cell": 31}, 422, "bad_request"),
        ({"copies": 100}, 422, "bad_fields"),
        ({"marks": []}, 422, "bad_fields"),
    ],
)
def test_what_cannot_be_printed_is_refused_before_anything_is_sent(
    bench: Bench, asked: dict[str, object], status: int, code: str
) -> None:
    answer = bench.client.post("/api/print-jobs", json={"marks": [bench.kit], "printer": "bench", **asked})
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert bench.printer.printed() == []
    assert bench.client.get("/api/print-jobs").json()["print_jobs"] == []


def test_of_two_who_resume_one_wins(bench: Bench) -> None:
    job = start_print_job(bench.workshop, request(bench.kit, bench.printer), any_address=True).id
    won: list[Claim] = []
    lost: list[str] = []

    def claim() -> None:
        try:
            won.append(claim_job(bench.workshop, job))
        except KitwrightError as error:
            lost.append(error.code)

    both = [threading.Thread(target=claim) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert (len(won), lost) == (1, ["request_in_progress"])
    assert bench.client.post(f"/api/print-jobs/{job}/resume").json()["code"] == "request_in_progress"
    assert run_print_job(bench.workshop, won[0]).state == "done"
    assert len(bench.printer.printed()) == MARKS


def test_a_printer_that_takes_no_pdf_gets_the_same_marks_as_dots(bench: Bench, make_printer: MakePrinter) -> None:
    raster = make_printer(formats=("image/pwg-raster",))
    job = start_print_job(bench.workshop, request(bench.kit, raster), any_address=True).id
    assert run_print_job(bench.workshop, claim_job(bench.workshop, job)).state == "done"
    assert tray(raster) == Counter(keys_of(bench.workshop, bench.kit))


def test_a_cancelled_job_sends_nothing_more(bench: Bench) -> None:
    bench.printer.mood(seconds_a_page=1.5)
    job = bench.start()["id"]
    bench.wait_for(lambda: bench.show(job)["pages"][0]["state"] in ("sent", "printed"))
    assert bench.client.post(f"/api/print-jobs/{job}/cancel").json()["state"] == "cancelled"
    bench.wait_for(lambda: not any("print job" in one.name for one in threading.enumerate()))
    assert len(bench.printer.printed()) < MARKS
    assert bench.client.post(f"/api/print-jobs/{job}/cancel").json()["code"] == "print_job_closed"


def test_a_service_that_ends_leaves_a_job_that_the_next_one_can_resume(bench: Bench) -> None:
    bench.printer.mood(seconds_a_page=0.7)
    settings = Settings(
        database_url=bench.workshop.database.url.render_as_string(hide_password=False),
        vault_url="unused",
        printers=f"bench={bench.printer.uri}",
    )
    with TestClient(make_app(settings, bench.workshop), base_url="http://127.0.0.1:8000") as client:
        job = client.post("/api/print-jobs", json={"marks": [bench.kit], "printer": "bench"}).json()["id"]
        bench.wait_for(lambda: show_print_job(bench.workshop, job).pages[0].state != "waiting")
    left: PrintJobAnswer = show_print_job(bench.workshop, job)
    assert left.state == "stopped"
    assert left.printed < MARKS
    bench.printer.mood()
    bench.client.post(f"/api/print-jobs/{job}/resume")
    assert bench.until(job, "done", "asks")["state"] == "done"
    assert tray(bench.printer) == Counter(keys_of(bench.workshop, bench.kit))


def test_the_pages_print_resume_and_ask_without_a_script(bench: Bench) -> None:
    kit_page = bench.client.get(f"/shop/kits/{bench.kit}").text
    assert f'formaction="/shop/kits/{bench.kit}/print"' in kit_page
    bench.printer.mood(pages_before_empty=0)
    key = re.search(r'name="retry_key" value="([^"]+)"', kit_page)
    assert key is not None
    form = {"printer": "bench", "retry_key": key[1]}
    sent = bench.client.post(f"/shop/kits/{bench.kit}/print", data=form)
    assert sent.status_code == 303
    address = sent.headers["location"]
    assert bench.client.post(f"/shop/kits/{bench.kit}/print", data=form).headers["location"] == address
    job = int(address.rpartition("/")[2])
    assert bench.until(job, "stopped")["state"] == "stopped"
    page = bench.client.get(address).text
    assert "media-empty" in page
    assert "Next: mark 1" in page
    shown = re.search(r'src="(/shop/print-jobs/[^"]+)"', page)
    assert shown is not None
    assert bench.client.get(shown[1]).text.startswith("<")
    assert bench.client.get(f"{address}/pages/99.svg").status_code == 422
    # The power fails at the printer, with the first mark sent and its end not known.
    bench.printer.kill()
    bench.printer.mood(hang=True)
    bench.printer.start()
    assert bench.client.post(f"{address}/resume").status_code == 303
    bench.wait_for(lambda: bench.show(job)["pages"][0]["state"] == "sent")
    assert 'http-equiv="refresh"' in bench.client.get(address).text
    bench.printer.kill()
    bench.until(job, "stopped")
    bench.printer.mood()
    bench.printer.start()
    bench.client.post(f"{address}/resume")
    assert bench.until(job, "asks")["state"] == "asks"
    page = bench.client.get(address).text
    assert "Is mark 1 printed" in page
    assert "It does not: print it" in page
    assert bench.client.post(f"{address}/answer", data={"printed": "no"}).status_code == 303
    assert bench.until(job, "done")["state"] == "done"
    assert tray(bench.printer) == Counter(keys_of(bench.workshop, bench.kit))
    assert "3 of 3" in bench.client.get("/shop/print-jobs").text
    refused = bench.client.post(f"{address}/answer", data={"printed": "yes"})
    assert refused.status_code == 409
    assert 'role="alert"' in refused.text
