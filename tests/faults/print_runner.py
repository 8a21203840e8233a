"""A process that prints a job and is killed at a chosen moment: ``python -m tests.faults.print_runner …``.

The moment is a method of the printer or a state on record, which time it comes, and whether the plug is pulled before
it or after it.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable
from typing import Any, TypeVar

from service.printers.ipp_printer import IppPrinter
from service.store import print_jobs
from service.work.print_job_claim import claim_job
from service.work.print_job_run import run_print_job
from tests.large_kit import open_large

T = TypeVar("T")


def die() -> None:
    """As when the power fails."""
    os.kill(os.getpid(), signal.SIGKILL)


def deadly(method: Callable[..., T], nth: int, *, before: bool, counts: Callable[..., bool]) -> Callable[..., T]:
    """The method as it is, but for its ``nth`` call."""
    calls = 0

    def called(*args: Any, **kwargs: Any) -> T:
        nonlocal calls
        calls += counts(*args, **kwargs)
        if calls == nth and before:
            die()
        result = method(*args, **kwargs)
        if calls == nth:
            die()
        return result

    return called


def main(url: str, vault: str, job_id: str, moment: str, nth: str, when: str) -> None:
    """Print the job until the moment comes, or to its end."""
    before = when == "before"
    if moment == "print":
        IppPrinter.print = deadly(IppPrinter.print, int(nth), before=before, counts=lambda *_a, **_k: True)  # type: ignore[method-assign]  # the one way to be killed at a certain line
    elif moment in ("sent", "printed"):
        print_jobs.set_page = deadly(  # the same
            print_jobs.set_page, int(nth), before=before, counts=lambda _c, _j, _p, state, **_k: state == moment
        )
    workshop = open_large(url, vault)
    answer = run_print_job(workshop, claim_job(workshop, int(job_id)))
    print(f"{answer.state} {answer.printed} {answer.question}{answer.said}", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
