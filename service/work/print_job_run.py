"""Send the pages of a print job, one after the other, each in a job of its own on the printer.

What is known of a page is written before it is sent and after it has ended. Whatever happens in between, the page is
``sent`` on record: printed or not. Whoever goes on asks the printer by the name of the page. Only where the printer
cannot know any more, somebody has to look. So no mark is lost, and none is printed twice.
"""

from __future__ import annotations

import secrets
import threading
import time
from datetime import datetime
from pathlib import Path

from schemas.print_jobs import PrintJobAnswer
from service.errors import JobAborted, KitwrightError, NoPrinter, PrinterStopped, PrinterUnreachable
from service.printers.ipp_printer import IppPrinter
from service.printers.jobs import JobStatus
from service.printers.plan import PrintPlan, choose
from service.store import events, print_jobs
from service.store.print_jobs import JobMarkRow, PrintJobRow
from service.work.print_job_answers import ASKS, pages_of
from service.work.print_job_claim import Claim, ClaimLost, held, job_on_record, leave, require
from service.work.print_job_pages import plates_of_page
from service.work.print_jobs import show_print_job
from service.work.print_marks import proven_file
from service.work.printers import document_of, page_size
from service.work.rendering import Tell, say_nothing
from service.work.workshop import SERVICE, Actor, Workshop

REMEMBERS_S = 45
"""So long after a page was sent, a printer that runs since then and does not know it never got it.

RFC 8011 has printers keep ended jobs for a while; one minute is common. Common practice, no source.
"""

STANDS_S = 600.0
"""So long a printer may stand still with a page, out of paper for one, before the job is left to be resumed."""

_SLICE_S = 1.0
_EVERY_S = 0.2
_CLOCKS_APART_S = 2

Page = tuple[JobMarkRow, ...]


def run_print_job(
    workshop: Workshop,
    claim: Claim,
    *,
    actor: Actor = SERVICE,
    stop: threading.Event | None = None,
    tell: Tell = say_nothing,
    stands_s: float = STANDS_S,
) -> PrintJobAnswer:
    """Print what is not printed yet. However it ends, the job says how it stands and can be resumed.

    Args:
        workshop: whose records.
        claim: the right to work on the job; it is given back.
        actor: who lets it be printed.
        stop: set by whoever wants this to end; the page under way is left as ``sent``.
        tell: told how many of the marks are printed.
        stands_s: how long the printer may stand still with a page.
    """
    run = _Run(workshop, claim, actor, stop or threading.Event(), tell, stands_s)
    try:
        with held(workshop, claim):
            run.go()
    except ClaimLost:
        return show_print_job(workshop, claim.job_id)
    except KitwrightError as error:
        leave(workshop, claim, "stopped", f"{error}")
    except BaseException:
        leave(workshop, claim, "stopped", "Interrupted. Resume it.")
        raise
    return show_print_job(workshop, claim.job_id)


class _Run:
    def __init__(
        self, workshop: Workshop, claim: Claim, actor: Actor, stop: threading.Event, tell: Tell, stands_s: float
    ) -> None:
        self._workshop, self._claim, self._actor = workshop, claim, actor
        self._stop, self._tell, self._stands_s = stop, tell, stands_s
        with workshop.database.read() as connection:
            self._job: PrintJobRow = job_on_record(connection, claim.job_id)
        self._printer = IppPrinter(self._job.printer)

    def go(self) -> None:
        """Settle what is unknown, then print the rest."""
        for page in self._pages():
            if page[0].state == "sent":
                self._settle(page)
        if any(page[0].state == "doubtful" for page in self._pages()):
            leave(self._workshop, self._claim, "asks", f"{ASKS}.")
            return
        plan: PrintPlan | None = None
        for page in self._pages():
            if page[0].state == "printed":
                continue
            if self._stop.is_set():
                leave(self._workshop, self._claim, "stopped", "The program was ended. Resume it.")
                return
            plan = plan or self._plan()
            self._print(page, plan)
            if self._state(page) == "doubtful":
                leave(self._workshop, self._claim, "asks", f"{ASKS}.")
                return
            if self._state(page) == "sent":
                leave(self._workshop, self._claim, "stopped", "The program was ended. Resume it.")
                return
        self._done()

    def _pages(self) -> list[Page]:
        with self._workshop.database.read() as connection:
            marks = print_jobs.job_marks(connection, self._job.id)
        self._tell("printed", sum(mark.state == "printed" for mark in marks), len(marks))
        return pages_of(marks)

    def _state(self, page: Page) -> str:
        return next(one[0].state for one in self._pages() if one[0].page == page[0].page)

    def _plan(self) -> PrintPlan:
        template = self._workshop.template(self._job.template)
        width_mm, height_mm = page_size(template.width_mm, template.height_mm, self._job.paper)
        return choose(self._printer.capabilities(), width_mm=width_mm, height_mm=height_mm, dpi=self._job.dpi)

    def _print(self, page: Page, plan: PrintPlan) -> None:
        job = self._job
        number = page[0].page
        with proven_file(
            self._workshop,
            self._workshop.template(job.template),
            plates_of_page(self._workshop, page),
            paper=job.paper,
            dpi=job.dpi,
            start_cell=job.start_cell if number == 1 else 1,
        ) as file:
            name = f"kitwright {job.id} page {number} {job.token}{secrets.token_hex(2)}"
            self._keep(page, "sent", job_name=name, sent_at=self._workshop.now(), ended_at=None, printer_job_id=None)
            try:
                status = self._printer.print(
                    document_of(Path(file.name), plan),
                    plan,
                    job_name=name,
                    document_name=f"{job.subject} page {number}",
                    copies=job.copies,
                )
            except (PrinterUnreachable, NoPrinter):
                # It went away in the middle, and may have all of it.
                raise
            except KitwrightError as error:
                self._keep(page, "failed", ended_at=self._workshop.now(), said=str(error)[:1000])
                raise
        self._keep(page, "sent", printer_job_id=status.id)
        ended = self._follow(status)
        if ended is None:
            return
        if ended.name not in ("", name):
            # The printer was restarted meanwhile and gave the number of the job to another.
            self._settle(next(one for one in self._pages() if one[0].page == number))
            return
        self._conclude(page, ended)
        if self._state(page) == "failed":
            ended.proven()

    def _follow(self, status: JobStatus) -> JobStatus | None:
        """The job when it has ended; None when this program is to end before."""
        moved = [time.monotonic()]

        def moves(_now: JobStatus) -> None:
            moved[0] = time.monotonic()

        last: JobStatus | None = None

        def changed(now: JobStatus) -> None:
            nonlocal last
            if now != last:
                last = now
                moves(now)

        while True:
            try:
                return self._printer.follow(status.id, every_s=_EVERY_S, at_most_s=_SLICE_S, on_change=changed)
            except PrinterStopped:
                if self._stop.is_set():
                    return None
                if time.monotonic() - moved[0] > self._stands_s:
                    raise

    def _conclude(self, page: Page, ended: JobStatus) -> None:
        """Put on record how a page ended on the printer."""
        now = self._workshop.now()
        if ended.is_whole:
            self._keep(page, "printed", ended_at=now, said="", printer_job_id=ended.id)
            return
        try:
            ended.proven()
        except JobAborted as error:
            state: print_jobs.PageState = "doubtful" if ended.pages_done else "failed"
            self._keep(page, state, ended_at=now, said=str(error)[:1000], printer_job_id=ended.id)

    def _settle(self, page: Page) -> None:
        """Find out what became of a page that was sent and whose end nobody saw."""
        name = page[0].job_name
        found = None if name is None else self._printer.find_job(name)
        if found is not None:
            ended = found if found.ended else self._follow(found)
            if ended is not None:
                self._conclude(page, ended)
            return
        now = self._workshop.now()
        if self._would_know(page):
            self._keep(page, "failed", ended_at=now, said="The printer never got it.")
        else:
            said = "The printer knows nothing of it any more: it was restarted, or it was long ago."
            self._keep(page, "doubtful", ended_at=now, said=said)

    def _would_know(self, page: Page) -> bool:
        """Whether a printer that names no such job is sure never to have had it."""
        if page[0].sent_at is None:
            return False
        up_s = self._printer.capabilities().up_s
        since_sent_s = (_moment(self._workshop.now()) - _moment(page[0].sent_at)).total_seconds()
        if up_s is not None and up_s < since_sent_s + _CLOCKS_APART_S:
            return False
        # Printers forget the oldest first: one that knows an earlier page would know this one.
        earlier = [one[0].job_name for one in self._pages() if one[0].state == "printed" and one[0].page < page[0].page]
        if any(name is not None and self._printer.find_job(name) is not None for name in earlier[-1:]):
            return True
        return up_s is not None and since_sent_s <= REMEMBERS_S

    def _keep(self, page: Page, state: print_jobs.PageState, **values: object) -> None:
        with self._workshop.database.write() as connection:
            require(self._workshop, connection, self._claim)
            print_jobs.set_page(connection, self._job.id, page[0].page, state, **values)

    def _done(self) -> None:
        with self._workshop.database.write() as connection:
            require(self._workshop, connection, self._claim)
            print_jobs.leave_job(connection, self._job.id, "done")
            events.record(
                connection,
                at=self._workshop.now(),
                actor=self._actor.name,
                verb="print job",
                subject=self._job.subject,
                before={"job": self._job.id, "state": "waiting"},
                after={
                    "job": self._job.id,
                    "state": "done",
                    "printed": len(print_jobs.job_marks(connection, self._job.id)),
                },
            )


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text)
