"""A print job as it is answered: its pages, and the question that somebody has to answer."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from sqlalchemy import Connection

from schemas.print_jobs import JobPageAnswer, PrintJobAnswer, PrintJobSummaryAnswer
from service.store import print_jobs
from service.store.print_jobs import JobMarkRow, PrintJobRow
from service.work.print_job_claim import LEFT, is_worked_on
from service.work.workshop import Workshop

ASKS = "Look at the printer, then answer; the job goes on from there"


def job_answer(
    workshop: Workshop, connection: Connection, row: PrintJobRow, *, notes: Iterable[str] = ()
) -> PrintJobAnswer:
    """A job with every page."""
    marks = print_jobs.job_marks(connection, row.id)
    pages = pages_of(marks)
    doubtful = next((page for page in pages if page[0].state == "doubtful"), None)
    return PrintJobAnswer.model_validate(
        {
            **_summary(workshop, row, len(marks), sum(mark.state == "printed" for mark in marks)),
            "template": row.template,
            "paper": row.paper,
            "dpi": row.dpi,
            "start_cell": row.start_cell,
            "copies": row.copies,
            "notes": tuple(notes),
            "question": "" if doubtful is None else question(row, doubtful),
            "question_page": None if doubtful is None else doubtful[0].page,
            "pages": tuple(_page_answer(page) for page in pages),
        }
    )


def summary_answer(workshop: Workshop, count: print_jobs.JobCount) -> PrintJobSummaryAnswer:
    """A job in a list."""
    return PrintJobSummaryAnswer.model_validate(_summary(workshop, count.job, count.marks, count.printed))


def pages_of(marks: Iterable[JobMarkRow]) -> list[tuple[JobMarkRow, ...]]:
    """The marks of each page, page by page; those of one page are all equally far."""
    return [tuple(some) for _, some in groupby(marks, key=lambda mark: mark.page)]


def question(row: PrintJobRow, page: tuple[JobMarkRow, ...]) -> str:
    """What somebody has to look for."""
    first, last = page[0], page[-1]
    if row.paper == "roll":
        copies = f" {row.copies} times" if row.copies > 1 else ""
        return f"Is mark {first.ordinal} printed{copies}: {first.number}, key {first.key[:4]} {first.key[4:]}?"
    count = f"marks {first.ordinal} to {last.ordinal}" if len(page) > 1 else f"mark {first.ordinal}"
    return f"Is sheet {first.page} printed, with {count}: {first.number} to {last.number}?"


def _summary(workshop: Workshop, row: PrintJobRow, marks: int, printed: int) -> dict[str, object]:
    # Its process may be gone without having been able to say so.
    left = row.state == "printing" and not is_worked_on(workshop, row)
    names = {uri: name for name, uri in workshop.printers.items()}
    return {
        "id": row.id,
        "subject": row.subject,
        "printer": names.get(row.printer, row.printer),
        "state": "stopped" if left else row.state,
        "marks": marks,
        "printed": printed,
        "made_at": row.made_at,
        "made_by": row.made_by,
        "said": f"{LEFT}." if left else row.said,
    }


def _page_answer(page: tuple[JobMarkRow, ...]) -> JobPageAnswer:
    first = page[0]
    return JobPageAnswer.model_validate(
        {
            "page": first.page,
            "state": first.state,
            "marks": tuple({"number": mark.number, "key": mark.key} for mark in page),
            "job_name": first.job_name,
            "sent_at": first.sent_at,
            "ended_at": first.ended_at,
            "said": first.said,
        }
    )
