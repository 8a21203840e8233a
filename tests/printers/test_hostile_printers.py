"""Whatever answers at a printer's address, honest or not, ends in an error that says what is there, and in time."""

from __future__ import annotations

import socket
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

import pytest

from service.errors import KitwrightError, NoPrinter, PrinterRefused, PrinterUnreachable
from service.printers import ipp_http
from service.printers.ipp_message import Group, Message, attribute, decoded, encoded
from service.printers.ipp_printer import IppPrinter
from service.printers.ipp_tags import GroupTag, Operation, Tag
from service.printers.plan import choose
from tests.printers.ippeveprinter import free_port, skip_or_fail
from tests.printers.scripted import Answer, answering, describing, scripted

HTML = {"Content-Type": "text/html"}


def garbage(_request: Message, _body: bytes) -> bytes:
    return b"\x01\x01\x00\x00\xff"


def too_much(_request: Message, _body: bytes) -> bytes:
    return bytes(ipp_http.MOST_ANSWER_BYTES + 1)


def another_request(request: Message, body: bytes) -> bytes:
    return answering(0, describing())(Message(0, request.request_id + 1, ()), body)


SAID: dict[str, tuple[Answer, dict[str, Any], type[KitwrightError], str]] = {
    "a web page": (garbage, {"headers": HTML}, NoPrinter, "answers text/html instead of application/ipp"),
    "nothing there": (garbage, {"status": 404, "headers": HTML}, NoPrinter, "HTTP 404"),
    "sent elsewhere": (
        garbage,
        {"status": 302, "headers": {"Location": "http://169.254.169.254/"}},
        NoPrinter,
        "no printer is followed elsewhere",
    ),
    "a password": (garbage, {"status": 401, "headers": HTML}, PrinterRefused, "name and password"),
    "TLS only": (garbage, {"status": 426, "headers": HTML}, PrinterRefused, "over TLS only"),
    "garbage": (garbage, {}, NoPrinter, "it breaks off"),
    "too much": (too_much, {}, NoPrinter, "more than 4,000,000 bytes"),
    "another answer": (another_request, {}, NoPrinter, "another request than this"),
    "forbidden": (answering(0x0401), {}, PrinterRefused, "client-error-forbidden"),
    "a code of its own": (answering(0x0499), {}, PrinterRefused, "status 0x0499"),
}


@pytest.mark.parametrize("case", SAID)
def test_what_answers_is_said(case: str) -> None:
    answer, more, kind, words = SAID[case]
    with scripted(answer, **more) as server, pytest.raises(kind, match=words) as caught:
        IppPrinter(server.uri).capabilities()
    assert caught.value.todo


def test_the_printers_own_words_are_told() -> None:
    words = Group(GroupTag.OPERATION, (attribute("status-message", Tag.TEXT, "Kein Papier im Fach 2"),))

    def answer(request: Message, _body: bytes) -> bytes:
        return encoded(Message(0x0504, request.request_id, (words,)))

    with scripted(answer) as server, pytest.raises(PrinterRefused, match="device-error; Kein Papier im Fach 2"):
        IppPrinter(server.uri).capabilities()


def test_an_older_or_newer_printer_is_asked_in_its_own_version() -> None:
    def answer(request: Message, body: bytes) -> bytes:
        code = 0 if request.version == (2, 0) else 0x0503
        return answering(code, describing(), version=(2, 0))(request, body)

    with scripted(answer) as server:
        printer = IppPrinter(server.uri)
        assert printer.capabilities().name == "Bench printer"
        assert [data[:2] for data in server.requests] == [b"\x01\x01", b"\x02\x00"]
        printer.capabilities()
        assert server.requests[-1][:2] == b"\x02\x00"


def test_a_printer_that_likes_no_version_is_not_asked_for_ever() -> None:
    def answer(request: Message, body: bytes) -> bytes:
        return answering(0x0503, version=(1, request.version[1] + 1))(request, body)

    with scripted(answer) as server:
        with pytest.raises(PrinterRefused, match="version-not-supported"):
            IppPrinter(server.uri).capabilities()
        assert len(server.requests) == 3


def test_a_busy_printer_gets_the_whole_document_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("service.printers.ipp_printer._BUSY_WAIT_S", 0.01)
    job = Group(GroupTag.JOB, (attribute("job-id", Tag.INTEGER, 7), attribute("job-state", Tag.ENUM, 3)))
    asked: list[bytes] = []

    def answer(request: Message, body: bytes) -> bytes:
        if request.code == Operation.GET_PRINTER_ATTRIBUTES:
            return answering(0, describing())(request, body)
        asked.append(request.data)
        return answering(0x0507 if len(asked) < 3 else 0, job)(request, body)

    with scripted(answer) as server:
        printer = IppPrinter(server.uri)
        plan = choose(printer.capabilities(), width_mm=60, height_mm=22, dpi=203)
        made = printer.print(iter([b"one ", b"two"]), plan, job_name="plates", document_name="plates.pdf")
    assert made.id == 7
    assert asked == [b"one two"] * 3


def test_a_job_without_a_number_is_no_job() -> None:
    with scripted(answering(0, describing())) as server:
        printer = IppPrinter(server.uri)
        plan = choose(printer.capabilities(), width_mm=60, height_mm=22, dpi=203)
        with pytest.raises(NoPrinter, match="under which number"):
            printer.print(b"%PDF", plan, job_name="plates", document_name="plates.pdf")
        with pytest.raises(NoPrinter, match="how the job is"):
            printer.job(7)
        assert printer.find_job("plates") is None


@contextmanager
def listening(serve: Callable[[socket.socket], None]) -> Iterator[str]:
    """Something that speaks no HTTP at all, for one connection."""
    with socket.create_server(("127.0.0.1", 0)) as server:

        def run() -> None:
            with suppress(OSError):
                connection, _ = server.accept()
                with connection:
                    serve(connection)

        thread = threading.Thread(target=run, daemon=True)
        thread.start()
        yield f"ipp://127.0.0.1:{server.getsockname()[1]}/"
        server.close()
        thread.join(timeout=5)


def test_nobody_at_the_port_is_said() -> None:
    with pytest.raises(PrinterUnreachable, match="refused"):
        IppPrinter(f"ipp://127.0.0.1:{free_port()}/").capabilities()


def test_a_name_that_no_host_has_is_said() -> None:
    with pytest.raises(PrinterUnreachable):
        IppPrinter("ipp://no-such-host.invalid/", timeout_s=5).capabilities()


def test_silence_ends_in_time() -> None:
    began = time.monotonic()
    with listening(lambda _connection: time.sleep(2)) as uri, pytest.raises(PrinterUnreachable, match="silent"):
        IppPrinter(uri, timeout_s=0.2).capabilities()
    assert time.monotonic() - began < 10


def test_an_answer_drop_by_drop_ends_in_time() -> None:
    """Never silent for long, and never done: the answer as a whole has its time too."""

    def drip(connection: socket.socket) -> None:
        connection.sendall(b"HTTP/1.1 200 OK\r\nContent-Type: application/ipp\r\nContent-Length: 100000\r\n\r\n")
        for _ in range(200):
            connection.sendall(b"x")
            time.sleep(0.02)

    with listening(drip) as uri, pytest.raises(PrinterUnreachable, match="silent"):
        IppPrinter(uri, timeout_s=0.3).capabilities()


@pytest.mark.parametrize("line", [b"SSH-2.0-OpenSSH_9.2\r\n", b"HTTP/1.1 abc\r\n\r\n", b"\x00\xff" * 40_000, b""])
def test_another_protocol_is_said(line: bytes) -> None:
    def speak(connection: socket.socket) -> None:
        connection.recv(10_000)
        connection.sendall(line)

    with listening(speak) as uri, pytest.raises((NoPrinter, PrinterUnreachable)):
        IppPrinter(uri, timeout_s=2).capabilities()


def test_plain_http_where_tls_should_be_is_said() -> None:
    with scripted(answering(0)) as server, pytest.raises(PrinterUnreachable):
        IppPrinter(server.uri.replace("ipp:", "ipps:"), timeout_s=2).capabilities()


@pytest.mark.parametrize("test", ["print-job-media-col.test", "ipp-1.1.test", "get-jobs.test"])
def test_requests_of_another_client_are_read_and_written_octet_for_octet(test: str, tmp_path: Any) -> None:
    """Another client, ipptool, encodes with libcups: our reader understands it, and our writer writes the same."""
    skip_or_fail()
    document = tmp_path / "plates.pdf"
    document.write_bytes(b"%PDF-1.4 " + bytes(range(256)) * 40)
    with scripted(answering(0x0400)) as server:
        subprocess.run(
            ["ipptool", "-I", "-T", "5", "-f", str(document), server.uri, test],
            capture_output=True,
            check=False,
            timeout=60,
        )
    assert server.requests
    for octets in server.requests:
        assert encoded(decoded(octets)) == octets
