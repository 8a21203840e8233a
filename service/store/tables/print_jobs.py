"""Marks on their way to a real printer: what was sent, what is printed, and what nobody can tell yet."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class PrintJob(Numbered):
    """Marks for one printer, in order.

    Whoever works on it writes its name and until when into ``owner`` and ``owned_until``, and both are empty while
    nobody does. ``token`` stands in the names of its jobs on the printer.
    """

    __tablename__ = "print_job"
    __table_args__ = (
        CheckConstraint("paper IN ('roll', 'a4', 'letter')", name="paper"),
        CheckConstraint("start_cell >= 1", name="start_cell"),
        CheckConstraint("copies >= 1", name="copies"),
        CheckConstraint("state IN ('waiting', 'printing', 'stopped', 'asks', 'done', 'cancelled')", name="state"),
        CheckConstraint("(owner IS NULL) = (owned_until IS NULL)", name="owner"),
    )

    subject: Mapped[str] = mapped_column(String(64))
    template: Mapped[str] = mapped_column(String(60))
    paper: Mapped[str] = mapped_column(String(6))
    dpi: Mapped[int]
    start_cell: Mapped[int]
    copies: Mapped[int]
    printer: Mapped[str] = mapped_column(String(1023))
    token: Mapped[str] = mapped_column(String(8))
    made_at: Mapped[str] = mapped_column(String(27))
    made_by: Mapped[str] = mapped_column(String(120))
    state: Mapped[str] = mapped_column(String(9))
    said: Mapped[str] = mapped_column(String(1000))
    owner: Mapped[str | None] = mapped_column(String(160))
    owned_until: Mapped[str | None] = mapped_column(String(27))


class PrintJobMark(Numbered):
    """One mark of a print job, on which page it comes, and how far it is.

    ``sent`` is written before the page leaves, so that what a crash leaves behind is known to be unknown. ``job_name``
    is under what the printer knows the page. What is ``printed`` stays so.
    """

    __tablename__ = "print_job_mark"
    __table_args__ = (
        UniqueConstraint("print_job_id", "ordinal"),
        CheckConstraint("ordinal >= 1 AND page >= 1", name="place"),
        CheckConstraint("state IN ('waiting', 'sent', 'printed', 'failed', 'doubtful')", name="state"),
        CheckConstraint("state = 'waiting' OR job_name IS NOT NULL", name="job_name"),
        Index("ix_print_job_mark_segment_id", "segment_id"),
    )

    print_job_id: Mapped[int] = mapped_column(ForeignKey("print_job.id"))
    ordinal: Mapped[int]
    page: Mapped[int]
    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    key: Mapped[str] = mapped_column(String(8))
    state: Mapped[str] = mapped_column(String(8))
    job_name: Mapped[str | None] = mapped_column(String(120))
    printer_job_id: Mapped[int | None]
    sent_at: Mapped[str | None] = mapped_column(String(27))
    ended_at: Mapped[str | None] = mapped_column(String(27))
    said: Mapped[str] = mapped_column(String(1000))
