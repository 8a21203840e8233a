"""Our client against a real IPP printer program: asked, given jobs, followed; out of paper, slow, hung, killed."""

from __future__ import annotations

import re
import ssl
import subprocess
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.errors import JobAborted, MediaRefused, PrinterRefused, PrinterStopped, PrinterUnreachable
from service.marks.dots import dots_per_mm
from service.printers.ipp_printer import IppPrinter
from service.printers.ipp_tags import JobState
from service.printers.jobs import JobStatus
from service.printers.plan import PrintPlan, choose
from service.render.pdf import pdf
from service.work.printers import document_of
from tests.mark_factory import make_layout
from tests.printers.conftest import MakePrinter
from tests.printers.ippeveprinter import EvePrinter

PAGES = 5


@pytest.fixture(scope="module")
def plates(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Five plates, one a page, for a head of 203 dots an inch."""
    layouts = [make_layout(segment_of=f"segment {index} of {PAGES}") for index in range(1, PAGES + 1)]
    file = tmp_path_factory.mktemp("plates") / "plates.pdf"
    file.write_bytes(pdf(layouts, paper="roll", dots_per_mm=dots_per_mm(203)))
    return file


def planned(printer: IppPrinter, *, width_mm: float = 60.0, height_mm: float = 22.0) -> PrintPlan:
    return choose(printer.capabilities(), width_mm=width_mm, height_mm=height_mm, dpi=203)


def give(printer: IppPrinter, file: Path, *, name: str = "plates of OSV4-FC1-A500") -> JobStatus:
    plan = planned(printer)
    return printer.print(document_of(file, plan), plan, job_name=name, document_name="plates.pdf")


def watched(printer: IppPrinter, job: JobStatus) -> JobStatus:
    return printer.follow(job.id, every_s=0.05, at_most_s=30, patience_s=1)


def said_by_ipptool(eve: EvePrinter, test: str, *options: str) -> str:
    done = subprocess.run(
        ["ipptool", "-tv", *options, eve.uri, test], capture_output=True, text=True, check=False, timeout=60
    )
    return done.stdout


def test_what_it_can_do_is_what_another_client_is_told(make_printer: MakePrinter) -> None:
    """ipptool, the printing system's own client, reads the same answer with its own code."""
    eve = make_printer(dpi=(203, 300), roll=(2000, 10800, 1000, 30000))
    can = IppPrinter(eve.uri).capabilities()
    told = said_by_ipptool(eve, "get-printer-attributes.test")

    def one(name: str) -> str:
        found = re.search(rf"^ +{name} \([^)]*\) = (.*)$", told, re.MULTILINE)
        assert found, name
        return found[1]

    assert can.name == one("printer-name") == "Bench printer"
    assert can.model == one("printer-make-and-model")
    assert (can.state, can.accepting) == (one("printer-state"), one("printer-is-accepting-jobs") == "true")
    assert ",".join(can.formats) == one("document-format-supported")
    assert [f"{dpi}dpi" for dpi in can.dpi] == one("printer-resolution-supported").split(",")
    assert set(can.raster_types) == set(one("pwg-raster-document-type-supported").split(","))
    sizes = one("media-size-supported")
    for size in can.sizes:
        assert f"{{x-dimension={size.x_hmm} y-dimension={size.y_hmm}}}" in sizes
        assert size.name in one("media-supported").split(",")
    (span,) = can.ranges
    assert f"{{x-dimension={span.x_hmm.low}-{span.x_hmm.high} y-dimension={span.y_hmm.low}-{span.y_hmm.high}}}" in sizes
    assert [size.name for size in can.ready] == ["om_plate_60x22mm"]
    assert not can.colour
    assert can.most_copies == 99


@pytest.mark.parametrize("formats", [("application/pdf", "image/pwg-raster"), ("image/pwg-raster",)])
def test_every_plate_is_printed_once_in_order(make_printer: MakePrinter, plates: Path, formats: tuple[str]) -> None:
    eve = make_printer(formats=formats)
    printer = IppPrinter(eve.uri)
    job = give(printer, plates)
    seen: list[JobStatus] = []
    ended = printer.follow(job.id, every_s=0.02, on_change=seen.append).proven()
    assert ended.state is JobState.COMPLETED
    assert ended.pages_done == PAGES
    assert seen[-1] == ended
    assert [page["page"] for page in eve.printed()] == list(range(1, PAGES + 1))
    for index, page in enumerate(eve.printed(), 1):
        # 60 × 22 mm are 170 × 62 points, and each page bears the mark that stands there.
        assert [round(side) for side in page["points"]] == [170, 62]
        expected = f"{index} of {PAGES}" if formats[0] == "application/pdf" else "K7M4XRAW"
        assert expected in page["text"]


def test_what_the_printer_was_asked_for_is_what_its_own_decoder_read(make_printer: MakePrinter, plates: Path) -> None:
    """The program decodes our request with libcups and hands the job's wishes to its command."""
    eve = make_printer()
    printer = IppPrinter(eve.uri)
    watched(printer, give(printer, plates)).proven()
    asked = eve.printed()[0]["asked"]
    assert asked["IPP_JOB_NAME"] == "plates of OSV4-FC1-A500"
    assert asked["IPP_JOB_ORIGINATING_USER_NAME"] == "kitwright"
    assert asked["IPP_PRINT_SCALING"] == "none"
    assert asked["IPP_SIDES"] == "one-sided"
    assert asked["IPP_PRINTER_RESOLUTION"] == "203dpi"
    assert "media-size={x-dimension=6000 y-dimension=2200}" in asked["IPP_MEDIA_COL"]
    assert asked["IPP_MEDIA_COL"].count("-margin=0") == 4


def test_a_name_is_cut_between_two_characters(make_printer: MakePrinter, plates: Path) -> None:
    """255 octets at most (RFC 8011 section 5.1.3); é has two."""
    eve = make_printer()
    printer = IppPrinter(eve.uri)
    job = give(printer, plates, name="é" * 300)
    watched(printer, job)
    assert job.name == "é" * 127
    found = printer.find_job("é" * 300)
    assert found is not None
    assert found.id == job.id


def test_copies_are_asked_for(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    printer = IppPrinter(eve.uri)
    plan = planned(printer)
    job = printer.print(document_of(plates, plan), plan, job_name="plates", document_name="plates.pdf", copies=3)
    watched(printer, job).proven()
    assert eve.printed()[0]["asked"]["IPP_COPIES"] == "3"


def test_paper_that_it_does_not_take_is_refused_by_the_printer_too(make_printer: MakePrinter) -> None:
    """The capabilities of one printer, and another one that stands there by now."""
    plan = planned(IppPrinter(make_printer(roll=(2000, 10800, 1000, 30000)).uri), width_mm=70.0)
    other = IppPrinter(make_printer().uri)
    with pytest.raises(MediaRefused, match="media-col"):
        other.validate(plan, job_name="plates", document_name="plates.pdf")
    with pytest.raises(MediaRefused, match="client-error-attributes-or-values-not-supported"):
        other.print(b"%PDF", plan, job_name="plates", document_name="plates.pdf")


def test_a_document_of_another_format_is_refused_before_all_of_it_is_sent(make_printer: MakePrinter) -> None:
    plan = planned(IppPrinter(make_printer().uri))
    raster_only = IppPrinter(make_printer(formats=("image/pwg-raster",)).uri)
    with pytest.raises(PrinterRefused, match="document-format") as caught:
        raster_only.print(iter([b"%PDF"] * 3), plan, job_name="plates", document_name="plates.pdf")
    assert caught.value.status == 0x040B, "client-error-attributes-or-values-not-supported"


def test_out_of_paper_ends_the_job_and_says_where(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    eve.mood(pages_before_empty=2)
    printer = IppPrinter(eve.uri)
    ended = watched(printer, give(printer, plates))
    assert ended.state is JobState.ABORTED
    assert ended.pages_done == 2
    assert any(reason.startswith("media-empty") for reason in ended.printer_reasons)
    with pytest.raises(JobAborted, match=r"media-empty.*pages printed: 2"):
        ended.proven()
    assert len(eve.printed()) == 2


def test_a_cancelled_job_ends(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    eve.mood(seconds_a_page=0.3)
    printer = IppPrinter(eve.uri)
    job = give(printer, plates)
    printer.cancel(job.id)
    ended = watched(printer, job)
    assert not ended.is_whole
    printer.cancel(job.id)
    with pytest.raises(JobAborted):
        ended.proven()


def test_one_of_our_jobs_is_found_again_by_its_name(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    printer = IppPrinter(eve.uri)
    first, second = (give(printer, plates, name=f"plates {index}") for index in (1, 2))
    watched(printer, second)
    for job in (first, second):
        found = printer.find_job(job.name)
        assert found is not None
        assert (found.id, found.state) == (job.id, JobState.COMPLETED)
    assert printer.find_job("plates 3") is None
    with pytest.raises(PrinterRefused, match="client-error-not-found") as caught:
        printer.job(9999)
    assert caught.value.status == 0x0406


def test_a_printer_that_hangs_is_told_after_a_while(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    eve.mood(hang=True)
    printer = IppPrinter(eve.uri)
    job = give(printer, plates)
    with pytest.raises(PrinterStopped, match="processing"):
        printer.follow(job.id, every_s=0.05, at_most_s=0.5)


def test_a_printer_that_is_killed_while_it_prints(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    eve.mood(seconds_a_page=0.2)
    printer = IppPrinter(eve.uri)
    job = give(printer, plates)
    while not eve.printed():
        time.sleep(0.02)
    eve.kill()
    with pytest.raises(PrinterUnreachable):
        printer.follow(job.id, every_s=0.05, patience_s=0.2)
    eve.start()
    # It forgot the job: what lies in the tray is all that is known, and the next job starts its count anew.
    assert printer.find_job(job.name) is None


def test_a_printer_that_comes_back_in_time_is_waited_for(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    eve.mood(seconds_a_page=0.2)
    printer = IppPrinter(eve.uri)
    job = give(printer, plates)
    eve.kill()
    again = threading.Timer(0.5, eve.start)
    again.start()
    with pytest.raises(PrinterRefused) as caught:
        printer.follow(job.id, every_s=0.05, patience_s=20)
    again.join()
    assert caught.value.status == 0x0406


def test_a_printer_that_vanishes_while_it_is_sent_to(make_printer: MakePrinter, plates: Path) -> None:
    eve = make_printer()
    printer = IppPrinter(eve.uri)
    plan = planned(printer)

    def interrupted() -> Iterator[bytes]:
        yield plates.read_bytes()[:1000]
        time.sleep(0.2)
        eve.kill()
        for _ in range(50):
            yield bytes(65_536)
            time.sleep(0.01)

    with pytest.raises(PrinterUnreachable):
        printer.print(interrupted(), plan, job_name="plates", document_name="plates.pdf")
    assert eve.printed() == []


def test_a_wrong_path_is_no_printer(make_printer: MakePrinter) -> None:
    eve = make_printer()
    with pytest.raises(PrinterRefused, match="not-found"):
        IppPrinter(eve.uri.replace("/ipp/print", "/ipp/nowhere")).capabilities()


#: What ippeveprinter 2.4.2 itself does otherwise than the suite of the printing system wants, whoever asks.
OWN_FAULTS = {
    "RFC 8011 section 4.1.4: attributes-charset + attributes-natural-lang",
    "RFC 8011 section 4.2.5: Get-Printer-Attributes Operation (default)",
    "Send-Document missing last-document: Create-Job Operation",
    "Send-URI with bad URI: Create-Job Operation",
}


def test_the_program_that_we_test_against_passes_the_printing_systems_own_suite(
    make_printer: MakePrinter, plates: Path
) -> None:
    """So what it takes from us, other printers take too."""
    eve = make_printer()
    # The suite does not wait for one job to end before it gives the next, and the program takes one at a time.
    (eve.folder / "command").write_text("#!/bin/sh\nexit 0\n", encoding="utf-8")
    told = said_by_ipptool(eve, "ipp-1.1.test", "-I", "-f", str(plates))
    results = re.findall(r"^ {4}(\S[^\n]*?) +\[(PASS|FAIL|SKIP)\]$(.*?)(?=^ {4}\S|\Z)", told, re.MULTILINE | re.DOTALL)
    assert sum(result == "PASS" for _, result, _ in results) > 20
    failed = {name for name, result, why in results if result == "FAIL" and "server-error-busy" not in why}
    assert failed <= OWN_FAULTS


def test_over_tls_the_printer_is_trusted_or_refused(make_printer: MakePrinter) -> None:
    """The program makes a certificate of its own, which nobody trusts until it is named."""
    eve = make_printer()
    uri = eve.uri.replace("ipp:", "ipps:")
    with pytest.raises(PrinterUnreachable, match="certificate is not trusted") as caught:
        IppPrinter(uri).capabilities()
    assert "SSL_CERT_FILE" in caught.value.todo
    (certificate,) = eve.folder.glob("*.crt")
    trusting = ssl.create_default_context(cafile=str(certificate))
    assert IppPrinter(uri, context=trusting).capabilities().name == "Bench printer"
