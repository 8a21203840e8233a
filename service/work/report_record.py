"""A damage report on record: what it says today, and whether something may still be done with it."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import ReportClosed, ReportUnknown
from service.rules.order_states import State
from service.store import damage_reports, reorders
from service.store.damage_reports import ChoiceRow, EndRow, EvidenceRow, ReportRow
from service.store.values import ReorderRow
from service.work.order_log import state_of


@dataclass(frozen=True, slots=True)
class OrderOfReport:
    """An order that a report is about; a duplicate was on order before."""

    row: ReorderRow
    duplicate: bool


@dataclass(frozen=True, slots=True)
class Record:
    """A report with all that decides how it stands."""

    report: ReportRow
    evidence: tuple[EvidenceRow, ...]
    choices: tuple[ChoiceRow, ...]
    orders: tuple[OrderOfReport, ...]
    end: EndRow | None

    @property
    def choice(self) -> ChoiceRow | None:
        """The choice that stands."""
        return self.choices[-1] if self.choices else None

    @property
    def order(self) -> ReorderRow | None:
        """The order that stands: the last one that was not given up."""
        return next((one.row for one in reversed(self.orders) if one.row.state != "cancelled"), None)

    @property
    def state(self) -> State:
        """How it stands: given up, as its order, or how far the desk is."""
        if self.end is not None:
            return "cancelled"
        if self.order is not None:
            return state_of(self.order)
        return "identified" if self.choices else "reported"

    def said(self, question: str) -> str | None:
        """What was last answered to a question; None when it never was."""
        return next((one.answer for one in reversed(self.evidence) if one.question == question), None)


def records_of(connection: Connection, reports: tuple[ReportRow, ...]) -> tuple[Record, ...]:
    """Reports with what belongs to them."""
    ids = [report.id for report in reports]
    evidence = damage_reports.evidence_of(connection, ids)
    choices = damage_reports.choices_of(connection, ids)
    orders = damage_reports.orders_of(connection, ids)
    ends = damage_reports.ends_of(connection, ids)
    found = []
    for report in reports:
        of_it = []
        for one in orders.get(report.id, ()):
            row = reorders.find_reorder(connection, one.reorder_id)
            assert row is not None
            of_it.append(OrderOfReport(row, one.duplicate))
        found.append(
            Record(
                report,
                evidence.get(report.id, ()),
                choices.get(report.id, ()),
                tuple(of_it),
                ends.get(report.id),
            )
        )
    return tuple(found)


def record_of(connection: Connection, report_id: int) -> Record:
    """A report by its id; raises ReportUnknown."""
    report = damage_reports.find_report(connection, report_id)
    if report is None:
        raise ReportUnknown(
            "no damage report has this id", field="id", value=report_id, todo="Look it up in the list of reports"
        )
    return records_of(connection, (report,))[0]


def require_not_given_up(record: Record) -> None:
    """Raises ReportClosed when a report was given up."""
    if record.end is not None:
        raise ReportClosed(
            f"it was given up on {record.end.at[:10]}: {record.end.reason}",
            field="id",
            value=record.report.id,
            todo="Write a new report",
        )


def require_undecided(record: Record) -> None:
    """Raises ReportClosed when an order stands that a report is about, or it was given up."""
    require_not_given_up(record)
    if record.order is not None:
        raise ReportClosed(
            f"reorder {record.order.id} stands for it",
            field="id",
            value=record.report.id,
            todo="Cancel that reorder first, or write a new report",
        )


def require_orderable(connection: Connection, report_id: int) -> ReportRow:
    """A report of which an order may come now.

    Raises:
        ReportUnknown: there is no such report.
        ReportClosed: it is ordered already, or was given up.
    """
    record = record_of(connection, report_id)
    require_undecided(record)
    return record.report
