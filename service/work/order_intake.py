"""How an order comes about: what was reported and identified before it, in a damage report or with the order."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from schemas.requests import ReorderRequest
from service.errors import BadRequest
from service.store import damage_reports, reorders
from service.store.damage_reports import NewChoice
from service.store.order_steps import NewStep
from service.store.values import ReorderRow
from service.work.order_log import log_steps
from service.work.read import Found
from service.work.report_record import require_orderable
from service.work.workshop import Actor


@dataclass(frozen=True, slots=True)
class Intake:
    """What is written beside a new order, once its id is known."""

    report_id: int | None
    reported: NewStep
    identified: NewStep
    actor: Actor
    now: str

    def written(self, connection: Connection, order_id: int, reasons: Sequence[str]) -> ReorderRow:
        """Write the steps up to the decision, and that the order came of its report; the order as it stands then."""
        if self.report_id is not None:
            damage_reports.add_order(
                connection,
                report_id=self.report_id,
                reorder_id=order_id,
                duplicate=False,
                at=self.now,
                actor=self.actor.name,
            )
        row = _on_record(connection, order_id)
        steps = [_of(self.reported, order_id), _of(self.identified, order_id)]
        if row.revision_id is not None:
            steps.append(
                NewStep(
                    reorder_id=order_id,
                    state="decided",
                    at=self.now,
                    actor=self.actor.name,
                    evidence=" ".join(reasons),
                )
            )
        log_steps(connection, row, steps)
        return _on_record(connection, order_id)


def intake(connection: Connection, request: ReorderRequest, found: Found, *, actor: Actor, now: str) -> Intake:
    """What led to an order; a report that named no segment yet has it chosen with this.

    Raises:
        ReportUnknown: there is no such report.
        ReportClosed: it is ordered already, or was given up.
        BadRequest: it is about another segment.
    """
    if request.report is None:
        evidence = f"Ordered at once; the mark as given: {request.mark}"
        reported = NewStep(reorder_id=0, state="reported", at=now, actor=actor.name, evidence=evidence)
        said = f"The mark names {found.segment.number}"
        identified = NewStep(reorder_id=0, state="identified", at=now, actor=actor.name, evidence=said)
        return Intake(None, reported, identified, actor, now)
    report = require_orderable(connection, request.report)
    choices = damage_reports.choices_of(connection, [report.id]).get(report.id, ())
    if choices and choices[-1].segment_id != found.segment.id:
        raise BadRequest(
            f"damage report {report.id} is about {choices[-1].number}",
            field="report",
            value=report.id,
            todo=f"Choose {found.segment.number} in the report first, or leave 'report' out",
        )
    if not choices:
        new = NewChoice(
            segment_id=found.segment.id,
            piece_id=found.piece.id if found.piece else None,
            set_number=request.set,
            rejected="[]",
            shown="[]",
            reason=None,
            at=now,
            actor=actor.name,
        )
        damage_reports.add_choice(connection, report.id, new)
        choices = damage_reports.choices_of(connection, [report.id])[report.id]
    choice = choices[-1]
    heard = f"The mark as given: {report.mark}. " if report.mark else ""
    answers = damage_reports.evidence_of(connection, [report.id]).get(report.id, ())
    asked = "; ".join(f"{one.question} {one.answer}" for one in answers)
    return Intake(
        report.id,
        NewStep(
            reorder_id=0,
            state="reported",
            at=report.reported_at,
            actor=report.reported_by,
            evidence=f"Damage report {report.id}. {heard}{report.words}".strip(),
        ),
        NewStep(
            reorder_id=0,
            state="identified",
            at=choice.at,
            actor=choice.actor,
            evidence=asked or f"{choice.number} was chosen at the desk",
            rejected=json.dumps(json.loads(choice.rejected)),
            reason=choice.reason,
        ),
        actor,
        now,
    )


def _of(step: NewStep, order_id: int) -> NewStep:
    values = {name: getattr(step, name) for name in NewStep.__slots__}
    return NewStep(**{**values, "reorder_id": order_id})


def _on_record(connection: Connection, order_id: int) -> ReorderRow:
    row = reorders.find_reorder(connection, order_id)
    assert row is not None
    return row
