"""Decide which segment a damage report is about, and put on record what was ruled out."""

from __future__ import annotations

import json

from schemas.damage_report import ChoiceRequest, DamageReportAnswer
from service.errors import BadRequest
from service.store import damage_reports
from service.store.damage_reports import NewChoice
from service.work.damage_reports import note, report_answer
from service.work.damaged import damaged_piece
from service.work.once import NO_RETRY, Retry, once
from service.work.read import find_active
from service.work.report_record import record_of, require_undecided
from service.work.seen import Seen, refuse_stale, tag_of
from service.work.workshop import SERVICE, Actor, Workshop


def choose(
    workshop: Workshop,
    report_id: int,
    request: ChoiceRequest,
    *,
    seen: Seen | None = None,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> DamageReportAnswer:
    """Choose the segment, and the piece where the mark is a key; an earlier choice stays on record.

    Args:
        workshop: the records.
        report_id: the report.
        request: what was chosen and ruled out.
        seen: the states of the report of which the choice may be made, None for any.
        actor: who decides.
        retry: the request as it is known again.

    Raises:
        ReportUnknown: there is no such report.
        StaleEdit: somebody else added to it or chose meanwhile.
        ReportClosed: an order stands for it, or it was given up.
        MarkUnknown, AmbiguousMark, PlaceVoided: the mark, or one that was ruled out, names no single segment.
        SetUnknown: no piece was made for this set.
        BadRequest: the piece belongs to another set, or the choice is ruled out as well.
    """
    with workshop.database.write() as connection:

        def work() -> DamageReportAnswer:
            record = record_of(connection, report_id)
            require_undecided(record)
            refuse_stale(seen, tag_of(report_answer(connection, record)), what="this damage report")
            found = find_active(connection, request.mark)
            # Says what a set that was never made, or another one, has to do with it.
            broken = damaged_piece(connection, found, request.set)
            rejected = [
                find_active(connection, mark, field=f"rejected[{index}]").segment.number
                for index, mark in enumerate(request.rejected)
            ]
            if found.segment.number in rejected:
                raise BadRequest(
                    "this segment is chosen and ruled out at once",
                    field="rejected",
                    value=found.segment.number,
                    todo="Take it out of one of the two",
                )
            now = workshop.now()
            set_number = found.piece.set_number if found.piece else request.set
            if set_number is None and broken.piece is not None and not broken.said:
                set_number = broken.piece.set_number
            damage_reports.add_choice(
                connection,
                report_id,
                NewChoice(
                    segment_id=found.segment.id,
                    piece_id=found.piece.id if found.piece else None,
                    set_number=set_number,
                    rejected=json.dumps(rejected),
                    shown=json.dumps([one.model_dump() for one in request.shown]),
                    reason=request.reason,
                    at=now,
                    actor=actor.name,
                ),
            )
            told: dict[str, object] = {
                "key": found.piece.key if found.piece else None,
                "set": set_number,
                "rejected": rejected,
                "shown": [one.model_dump() for one in request.shown],
                "reason": request.reason,
            }
            note(connection, report_id, "identified", told, now=now, actor=actor, subject=found.segment.number)
            return report_answer(connection, record_of(connection, report_id))

        return once(connection, retry, DamageReportAnswer, workshop.now(), work)
