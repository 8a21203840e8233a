"""Who works on a print job: one process at a time, and the next one when that is gone.

A claim holds for a while and is said again as long as its process lives. On the same machine a process that is gone is
known to be gone at once; another machine's is waited for.
"""

from __future__ import annotations

import os
import secrets
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from sqlalchemy import Connection

from service.errors import DatabaseUnavailable, PrintJobClosed, PrintJobUnknown, RequestInProgress
from service.store import print_jobs
from service.store.print_jobs import JobState, PrintJobRow
from service.work.workshop import Workshop

HOLDS = timedelta(seconds=90)
"""How long a claim holds that is not said again."""

LEFT = "The program that printed it has ended. Resume it: it goes on with the first mark that is not printed"


@dataclass(frozen=True, slots=True)
class Claim:
    """One process's right to work on one job; nobody else has the same ``owner``."""

    job_id: int
    owner: str


class ClaimLost(Exception):
    """The job is another's by now, or nobody's: somebody cancelled it, or took it over."""


def job_on_record(connection: Connection, job_id: int) -> PrintJobRow:
    """A print job; raises PrintJobUnknown."""
    row = print_jobs.find_print_job(connection, job_id)
    if row is None:
        raise PrintJobUnknown(
            "no print job has this id", field="id", value=job_id, todo="Look for it in the list of print jobs"
        )
    return row


def claim_job(workshop: Workshop, job_id: int) -> Claim:
    """Begin to work on a job.

    Raises:
        PrintJobUnknown: there is no such job.
        PrintJobClosed: it is done, or was cancelled.
        RequestInProgress: another process works on it.
    """
    with workshop.database.write() as connection:
        row = job_on_record(connection, job_id)
        refuse_closed(row)
        if is_worked_on(workshop, row):
            raise RequestInProgress(
                "this job is being printed by another process just now",
                field="id",
                value=job_id,
                todo="Watch it there; should that process be gone, ask again in a minute and a half",
            )
        claim = Claim(job_id, f"{_myself()} {secrets.token_hex(8)}")
        print_jobs.take_job(connection, job_id, owner=claim.owner, until=_until(workshop))
        return claim


def refuse_closed(row: PrintJobRow) -> None:
    """Raises PrintJobClosed when a job has ended."""
    if row.state in ("done", "cancelled"):
        raise PrintJobClosed(
            "all of this job is printed" if row.state == "done" else "this job was cancelled",
            field="id",
            value=row.id,
            todo="Start another job for marks that are needed again",
        )


def is_worked_on(workshop: Workshop, row: PrintJobRow) -> bool:
    """Whether some process works on a job, as far as anybody can tell."""
    if row.owner is None or row.owned_until is None:
        return False
    return row.owned_until > workshop.now() and not _is_gone(row.owner)


@contextmanager
def held(workshop: Workshop, claim: Claim) -> Iterator[None]:
    """Keep a claim alive meanwhile."""
    ended = threading.Event()

    def keep() -> None:
        while not ended.wait(HOLDS.total_seconds() / 4):
            # A database that does not answer once may do so the next time, while the claim still holds.
            with suppress(DatabaseUnavailable), workshop.database.write() as connection:
                if not print_jobs.hold_job(connection, claim.job_id, owner=claim.owner, until=_until(workshop)):
                    return

    keeper = threading.Thread(target=keep, name=f"print job {claim.job_id} held", daemon=True)
    keeper.start()
    try:
        yield
    finally:
        ended.set()
        keeper.join()


def require(workshop: Workshop, connection: Connection, claim: Claim) -> None:
    """See inside a transaction that the job is still one's own; raises ClaimLost."""
    if not print_jobs.hold_job(connection, claim.job_id, owner=claim.owner, until=_until(workshop)):
        raise ClaimLost


def leave(workshop: Workshop, claim: Claim, state: JobState, said: str = "") -> None:
    """Stop working on a job; nothing happens when it is another's by now."""
    with workshop.database.write() as connection:
        if print_jobs.hold_job(connection, claim.job_id, owner=claim.owner, until=_until(workshop)):
            print_jobs.leave_job(connection, claim.job_id, state, said)


def note_left_jobs(workshop: Workshop) -> None:
    """Say of jobs whose process is gone that they can be resumed; none of them goes on by itself."""
    with workshop.database.write() as connection:
        for row in print_jobs.printing_jobs(connection):
            if not is_worked_on(workshop, row):
                print_jobs.leave_job(connection, row.id, "stopped", LEFT)


def _until(workshop: Workshop) -> str:
    now = datetime.fromisoformat(workshop.now()).astimezone(UTC)
    return (now + HOLDS).strftime("%Y-%m-%dT%H:%M:%SZ")


@cache
def _machine() -> str:
    try:
        boot = Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        boot = "unknown"
    return f"{socket.gethostname()[:60].replace(' ', '-')}/{boot[:13]}"


def _myself() -> str:
    return f"{_machine()} {os.getpid()} {_started(os.getpid()) or '-'}"


def _started(pid: int) -> str | None:
    """When a process was started, in the kernel's own count; None when there is no such process, or it is dead.

    A number is given to another process later, and the two differ in this.
    """
    try:
        # Behind the name in brackets: the state, and 19 fields on the start (proc(5)).
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
    except OSError:
        return None
    return None if fields[0] in ("Z", "X") else fields[19]


def _is_gone(owner: str) -> bool:
    """Whether a process of this machine is gone for sure."""
    machine, pid, started, _token = owner.split(" ")
    return machine == _machine() and started != "-" and _started(int(pid)) != started
