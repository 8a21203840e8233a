"""Print jobs: their marks, how far each is, and who works on a job just now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, case, func, insert, select, update

from service.store.database import next_id
from service.store.tables import PrintJob, PrintJobMark, Segment, table_of

JobState = Literal["waiting", "printing", "stopped", "asks", "done", "cancelled"]
PageState = Literal["waiting", "sent", "printed", "failed", "doubtful"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPrintJob:
    """What is printed on which printer; ``printer`` is its address."""

    subject: str
    template: str
    paper: Literal["roll", "a4", "letter"]
    dpi: int
    start_cell: int
    copies: int
    printer: str
    token: str
    made_at: str
    made_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintJobRow(NewPrintJob):
    """A print job as it stands; ``said`` is why it stopped, empty while it did not."""

    id: int
    state: JobState
    said: str
    owner: str | None
    owned_until: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewJobMark:
    """A mark of a job, and on which of its pages it comes, from 1."""

    page: int
    segment_id: int
    piece_id: int | None
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobMarkRow(NewJobMark):
    """A mark of a job as it stands; ``number`` is its segment's."""

    ordinal: int
    number: str
    state: PageState
    job_name: str | None
    printer_job_id: int | None
    sent_at: str | None
    ended_at: str | None
    said: str


@dataclass(frozen=True, slots=True)
class JobCount:
    """A job in a list: how many of its marks are printed."""

    job: PrintJobRow
    marks: int
    printed: int


_JOB = tuple(getattr(PrintJob, name) for name in (*NewPrintJob.__slots__, *PrintJobRow.__slots__))
_MARK = tuple(
    Segment.number if name == "number" else getattr(PrintJobMark, name)
    for name in (*NewJobMark.__slots__, *JobMarkRow.__slots__)
)


def add_print_job(connection: Connection, new: NewPrintJob, marks: Sequence[NewJobMark]) -> int:
    """Put a job on record with its marks in order, all of them waiting; its id."""
    id_ = next_id(connection, PrintJob)
    connection.execute(
        insert(table_of(PrintJob)),
        {
            **{name: getattr(new, name) for name in NewPrintJob.__slots__},
            "id": id_,
            "state": "waiting",
            "said": "",
            "owner": None,
            "owned_until": None,
        },
    )
    first = next_id(connection, PrintJobMark)
    connection.execute(
        insert(table_of(PrintJobMark)),
        [
            {
                **{name: getattr(mark, name) for name in NewJobMark.__slots__},
                "id": first + ordinal - 1,
                "print_job_id": id_,
                "ordinal": ordinal,
                "state": "waiting",
                "job_name": None,
                "printer_job_id": None,
                "sent_at": None,
                "ended_at": None,
                "said": "",
            }
            for ordinal, mark in enumerate(marks, 1)
        ],
    )
    return id_


def find_print_job(connection: Connection, job_id: int) -> PrintJobRow | None:
    """A job by its id."""
    row = connection.execute(select(*_JOB).where(PrintJob.id == job_id)).one_or_none()
    return None if row is None else PrintJobRow(**row._mapping)


def job_marks(connection: Connection, job_id: int) -> tuple[JobMarkRow, ...]:
    """The marks of a job in order."""
    rows = connection.execute(
        select(*_MARK)
        .join(Segment, Segment.id == PrintJobMark.segment_id)
        .where(PrintJobMark.print_job_id == job_id)
        .order_by(PrintJobMark.ordinal)
    )
    return tuple(JobMarkRow(**row._mapping) for row in rows)


def list_print_jobs(
    connection: Connection, *, before: int | None = None, subject: str | None = None, limit: int
) -> tuple[JobCount, ...]:
    """Jobs, the newest first, of one kit or segment when it is named."""
    marks = (
        select(
            PrintJobMark.print_job_id,
            func.count().label("marks"),
            func.sum(case((PrintJobMark.state == "printed", 1), else_=0)).label("printed"),
        )
        .group_by(PrintJobMark.print_job_id)
        .subquery()
    )
    query = select(*_JOB, marks.c.marks, marks.c.printed).join(marks, marks.c.print_job_id == PrintJob.id)
    if before is not None:
        query = query.where(PrintJob.id < before)
    if subject is not None:
        query = query.where(PrintJob.subject == subject)
    found = []
    for row in connection.execute(query.order_by(PrintJob.id.desc()).limit(limit)):
        values = dict(row._mapping)
        count, printed = int(values.pop("marks")), int(values.pop("printed"))
        found.append(JobCount(PrintJobRow(**values), count, printed))
    return tuple(found)


def printing_jobs(connection: Connection) -> tuple[PrintJobRow, ...]:
    """Jobs that somebody works on, or worked on when it ended."""
    rows = connection.execute(select(*_JOB).where(PrintJob.state == "printing").order_by(PrintJob.id))
    return tuple(PrintJobRow(**row._mapping) for row in rows)


def take_job(connection: Connection, job_id: int, *, owner: str, until: str) -> None:
    """Write down who works on a job, and until when that holds unless it is said again."""
    _update_job(connection, job_id, state="printing", said="", owner=owner, owned_until=until)


def hold_job(connection: Connection, job_id: int, *, owner: str, until: str) -> bool:
    """Say again that one works on a job; False when it is another's by now."""
    job = table_of(PrintJob)
    held = connection.execute(
        update(job).where(job.c.id == job_id, job.c.owner == owner).values(owned_until=until)
    ).rowcount
    return held == 1


def leave_job(connection: Connection, job_id: int, state: JobState, said: str = "") -> None:
    """Say how a job stands now that nobody works on it."""
    _update_job(connection, job_id, state=state, said=said[:1000], owner=None, owned_until=None)


def _update_job(connection: Connection, job_id: int, **values: object) -> None:
    job = table_of(PrintJob)
    connection.execute(update(job).where(job.c.id == job_id).values(**values))


def set_page(connection: Connection, job_id: int, page: int, state: PageState, **values: object) -> None:
    """Say how far the marks of a page are, and what else is known of it (columns by name)."""
    mark = table_of(PrintJobMark)
    connection.execute(
        update(mark).where(mark.c.print_job_id == job_id, mark.c.page == page).values(state=state, **values)
    )
