"""Rendering in worker processes: results and errors come back whole, a dead worker is replaced."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator

import pytest

from service.errors import LintFailed, ReadBackFailed
from service.findings import Finding
from service.work.rendering import RenderRoom

FINDING = Finding(rule="a_rule", level="error", message="it is wrong", field="f", value="v", todo="Mend it")


def worker() -> int:
    return os.getpid()


def fail_to_read_back() -> None:
    raise ReadBackFailed("it reads 'X'", field="QR Code", value="K7M4XRAW", todo="Report this", place="page 2")


def fail_the_lint() -> None:
    raise LintFailed([FINDING])


def die_once(marker: str) -> int:
    """Kill this worker the first time, answer the second."""
    try:
        os.close(os.open(marker, os.O_CREAT | os.O_EXCL))
    except FileExistsError:
        return os.getpid()
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def handles_interrupts() -> bool:
    return signal.getsignal(signal.SIGINT) is not signal.SIG_IGN


@pytest.fixture(scope="module")
def room() -> Iterator[RenderRoom]:
    opened = RenderRoom(1)
    yield opened
    opened.close()


def test_drawing_runs_in_another_process(room: RenderRoom) -> None:
    assert room.run(worker) != os.getpid()


def rank() -> int:
    return os.getpriority(os.PRIO_PROCESS, 0)


def test_a_worker_lets_those_who_scan_go_first(room: RenderRoom) -> None:
    assert room.run(rank) > rank()
    assert RenderRoom(0).run(rank) == rank()


def test_without_workers_it_runs_here() -> None:
    assert RenderRoom(0).run(worker) == os.getpid()


def test_errors_come_back_whole(room: RenderRoom) -> None:
    with pytest.raises(ReadBackFailed) as caught:
        room.run(fail_to_read_back)
    assert (caught.value.field, caught.value.value, caught.value.place) == ("QR Code", "K7M4XRAW", "page 2")
    assert str(caught.value) == "QR Code 'K7M4XRAW': it reads 'X'. Report this."
    with pytest.raises(LintFailed) as failed:
        room.run(fail_the_lint)
    assert (failed.value.rule, failed.value.findings) == ("a_rule", (FINDING,))


def test_a_dead_worker_is_replaced_and_the_drawing_made(room: RenderRoom, tmp_path: object) -> None:
    assert room.run(die_once, f"{tmp_path}/died") > 0
    assert room.run(worker) > 0


def test_workers_leave_interrupts_to_the_service(room: RenderRoom) -> None:
    assert room.run(handles_interrupts) is False


def test_a_closed_room_opens_again() -> None:
    again = RenderRoom(1)
    first = again.run(worker)
    again.close()
    assert again.run(worker) != first
    again.close()
