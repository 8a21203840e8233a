"""Damage reports: what a caller says is written down as it is said; what is said later comes beside it."""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import Connection

from schemas.answers.pictures import PictureAnswer
from schemas.damage_report import (
    ChoiceAnswer,
    DamageReportAnswer,
    DamageReportRequest,
    DamageReportSummaryAnswer,
    DuplicateRequest,
    EvidenceAnswer,
    EvidenceItem,
    EvidenceRequest,
    GiveUpRequest,
    PhotoAnswer,
    ReportOrderAnswer,
    ShownCandidateAnswer,
)
from service.errors import KitwrightError, ReorderClosed
from service.findings import Finding
from service.rules.duplicates import Broken
from service.store import damage_reports, events, segments
from service.store.damage_reports import ChoiceRow, EvidenceRow, NewEvidence, NewReport, PhotoRow
from service.work.on_order import finding, same_on_order
from service.work.once import NO_RETRY, Retry, once
from service.work.order_log import state_of
from service.work.read import find_active
from service.work.reorder import reorder_on_record
from service.work.report_record import Record, record_of, records_of, require_not_given_up, require_undecided
from service.work.shown import finding_answers
from service.work.workshop import SERVICE, Actor, Workshop


def add_report(
    workshop: Workshop, request: DamageReportRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> DamageReportAnswer:
    """Write down what a caller says first; a mark that cannot be read is written down as well."""
    with workshop.database.write() as connection:

        def work() -> DamageReportAnswer:
            now = workshop.now()
            report_id = damage_reports.add_report(
                connection,
                NewReport(
                    words=request.words,
                    mark=request.mark,
                    came_by=request.came_by,
                    caller=request.caller,
                    telephone=request.telephone,
                    follows_reorder_id=None,
                    reported_at=now,
                    reported_by=actor.name,
                ),
            )
            for item in request.evidence:
                damage_reports.add_evidence(connection, report_id, _evidence(item, now, actor))
            note(connection, report_id, "report", request.model_dump(mode="json"), now=now, actor=actor)
            return report_answer(connection, record_of(connection, report_id))

        return once(connection, retry, DamageReportAnswer, workshop.now(), work)


def add_evidence(
    workshop: Workshop, report_id: int, request: EvidenceRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> DamageReportAnswer:
    """Write down further answers; what was said before stays.

    Raises:
        ReportUnknown: there is no such report.
        ReportClosed: it was given up.
    """
    with workshop.database.write() as connection:

        def work() -> DamageReportAnswer:
            require_not_given_up(record_of(connection, report_id))
            now = workshop.now()
            for item in request.evidence:
                damage_reports.add_evidence(connection, report_id, _evidence(item, now, actor))
            note(connection, report_id, "evidence", request.model_dump(mode="json"), now=now, actor=actor)
            return report_answer(connection, record_of(connection, report_id))

        return once(connection, retry, DamageReportAnswer, workshop.now(), work)


def mark_duplicate(
    workshop: Workshop, report_id: int, request: DuplicateRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> DamageReportAnswer:
    """Say that a report is about what is on order already; it goes with that order from now on.

    Raises:
        ReportUnknown, ReorderUnknown: there is no such report or order.
        ReportClosed: an order stands for it already, or it was given up.
        ReorderClosed: that order is fitted or cancelled.
    """
    with workshop.database.write() as connection:

        def work() -> DamageReportAnswer:
            require_undecided(record_of(connection, report_id))
            order = reorder_on_record(connection, request.order)
            if order.state != "open":
                raise ReorderClosed(
                    f"this reorder is {order.state}, so a new piece broke",
                    field="order",
                    value=order.id,
                    todo="Order the segment again",
                )
            now = workshop.now()
            damage_reports.add_order(
                connection, report_id=report_id, reorder_id=order.id, duplicate=True, at=now, actor=actor.name
            )
            note(connection, report_id, "duplicate", {"order": order.id}, now=now, actor=actor, subject=order.number)
            return report_answer(connection, record_of(connection, report_id))

        return once(connection, retry, DamageReportAnswer, workshop.now(), work)


def give_up_report(
    workshop: Workshop, report_id: int, request: GiveUpRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> DamageReportAnswer:
    """Nothing comes of a report.

    Raises:
        ReportUnknown: there is no such report.
        ReportClosed: an order stands for it, or it was given up already.
    """
    with workshop.database.write() as connection:

        def work() -> DamageReportAnswer:
            require_undecided(record_of(connection, report_id))
            now = workshop.now()
            damage_reports.end_report(connection, report_id=report_id, reason=request.reason, at=now, actor=actor.name)
            note(connection, report_id, "give up report", {"reason": request.reason}, now=now, actor=actor)
            return report_answer(connection, record_of(connection, report_id))

        return once(connection, retry, DamageReportAnswer, workshop.now(), work)


def show_report(workshop: Workshop, report_id: int) -> DamageReportAnswer:
    """A report with all that belongs to it; raises ReportUnknown."""
    with workshop.database.read() as connection:
        return report_answer(connection, record_of(connection, report_id))


def list_reports(workshop: Workshop, *, after: int | None, limit: int) -> tuple[DamageReportSummaryAnswer, ...]:
    """A page of reports, the newest first."""
    with workshop.database.read() as connection:
        rows = damage_reports.report_page(connection, after=after, limit=limit)
        return tuple(DamageReportSummaryAnswer.model_validate(_summary(one)) for one in records_of(connection, rows))


def note(
    connection: Connection,
    report_id: int,
    verb: str,
    after: dict[str, object],
    *,
    now: str,
    actor: Actor,
    subject: str | None = None,
) -> None:
    """A line of the journal about a report."""
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb=verb,
        subject=subject or f"damage report {report_id}",
        before=None,
        after={"report": report_id, **after},
    )


def report_answer(connection: Connection, record: Record) -> DamageReportAnswer:
    """A report as it crosses the edge."""
    report = record.report
    photos = damage_reports.photos_of(connection, [report.id]).get(report.id, ())
    choices = [_choice(row) for row in record.choices]
    return DamageReportAnswer.model_validate(
        {
            **_summary(record),
            "evidence": tuple(_said(row) for row in record.evidence),
            "photos": tuple(_photo(row) for row in photos),
            "choice": choices[-1] if choices else None,
            "choices": tuple(choices),
            "orders": tuple(
                ReportOrderAnswer(
                    id=one.row.id, number=one.row.number, state=state_of(one.row), duplicate=one.duplicate
                )
                for one in record.orders
            ),
            "follows_order": report.follows_reorder_id,
            "cancel_reason": record.end.reason if record.end else None,
            "findings": finding_answers(_findings(connection, record)),
        }
    )


def _summary(record: Record) -> dict[str, object]:
    report, order = record.report, record.order
    marks = [one for one in record.evidence if one.question == "mark"]
    return {
        "id": report.id,
        "state": record.state,
        "reported_at": report.reported_at,
        "reported_by": report.reported_by,
        "caller": record.said("caller") or report.caller,
        "telephone": record.said("telephone") or report.telephone,
        "words": record.said("words") or report.words,
        "mark": marks[-1].answer if marks else report.mark,
        "came_by": marks[-1].came_by if marks else report.came_by,
        "number": record.choice.number if record.choice else None,
        "order": order.id if order else None,
    }


def _findings(connection: Connection, record: Record) -> Sequence[Finding]:
    """What is on order already, as long as nobody decided anything."""
    if record.end is not None or record.order is not None:
        return ()
    choice = record.choice
    if choice is not None:
        segment = segments.segment_by_id(connection, choice.segment_id)
        assert segment is not None
        known = Broken(choice.piece_id, choice.set_number)
        return finding(same_on_order(connection, segment, known), mark=choice.number)
    mark = record.said("mark") or record.report.mark
    if mark is None:
        return ()
    try:
        found = find_active(connection, mark)
    except KitwrightError:
        # Half a mark names no segment yet, and then there is nothing to notice.
        return ()
    known = Broken(found.piece.id, found.piece.set_number) if found.piece else Broken(None, None)
    return finding(same_on_order(connection, found.segment, known), mark=mark)


def _evidence(item: EvidenceItem, now: str, actor: Actor) -> NewEvidence:
    return NewEvidence(
        question=item.question,
        answer=item.answer,
        tolerance_mm=item.tolerance_mm,
        came_by=item.came_by,
        damage_link_id=None,
        at=now,
        actor=actor.name,
    )


def _said(row: EvidenceRow) -> EvidenceAnswer:
    return EvidenceAnswer.model_validate(
        {
            "ordinal": row.ordinal,
            "question": row.question,
            "answer": row.answer,
            "tolerance_mm": row.tolerance_mm,
            "came_by": row.came_by,
            "given_by": "desk" if row.damage_link_id is None else "caller",
            "at": row.at,
            "by": row.actor,
        }
    )


def _photo(row: PhotoRow) -> PhotoAnswer:
    return PhotoAnswer.model_validate(
        {
            "id": row.ordinal,
            "sha256": row.sha256,
            "media_type": row.media_type,
            "size_bytes": row.size_bytes,
            "width_px": row.width_px,
            "height_px": row.height_px,
            "typed": row.typed,
            "reading": PictureAnswer.model_validate_json(row.reading),
            "mark": row.mark,
            "added_at": row.at,
            "added_by": row.actor,
        }
    )


def _choice(row: ChoiceRow) -> ChoiceAnswer:
    return ChoiceAnswer(
        number=row.number,
        key=row.key,
        set=row.set_number,
        rejected=tuple(json.loads(row.rejected)),
        shown=tuple(ShownCandidateAnswer(**one) for one in json.loads(row.shown)),
        reason=row.reason,
        at=row.at,
        by=row.actor,
    )
