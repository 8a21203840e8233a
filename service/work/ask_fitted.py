"""Ask the plant, seven days after a piece was shipped, whether it is in the machine, and do what follows from it."""

from __future__ import annotations

from sqlalchemy import Connection

from schemas.answers import ReorderAnswer
from schemas.order_states import FittedAnswerRequest
from schemas.requests import CancelRequest, FittedRequest
from service.errors import StepRefused
from service.store import damage_reports, events
from service.store.damage_reports import NewChoice, NewReport
from service.store.order_steps import NewStep
from service.store.values import ReorderRow
from service.work.fit import cancel_in, fit_in
from service.work.once import NO_RETRY, Retry, once
from service.work.order_log import log_steps, state_of
from service.work.reorder import full_answer, reorder_on_record, require_open
from service.work.workshop import SERVICE, Actor, Workshop

_WHY = {"does_not_lock": "The new piece does not lock", "damaged_again": "The new piece is damaged again"}


def answer_fitted(
    workshop: Workshop,
    reorder_id: int,
    request: FittedAnswerRequest,
    *,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> ReorderAnswer:
    """What the plant said of a shipped order.

    ``yes`` fits it. After ``not_yet`` it is asked again in seven days. With ``no`` the order ends, since its key is on
    a piece that does not do, and its damage report is to be decided again; an order without one gets a report.

    Raises:
        ReorderUnknown, ReorderClosed: no such reorder, or it is fitted or cancelled already.
        StepRefused: it was not shipped.
        PlaceVoided: the place was given up.
    """
    with workshop.database.write() as connection:

        def work() -> ReorderAnswer:
            return _answered(connection, reorder_id, request, now=workshop.now(), actor=actor)

        return once(connection, retry, ReorderAnswer, workshop.now(), work)


def _answered(
    connection: Connection, reorder_id: int, request: FittedAnswerRequest, *, now: str, actor: Actor
) -> ReorderAnswer:
    row = reorder_on_record(connection, reorder_id)
    require_open(row)
    if state_of(row) != "shipped":
        raise StepRefused(
            f"it is {state_of(row).replace('_', ' ')}, and nobody asks before it was shipped",
            field="answer",
            value=request.answer,
            todo="Say first that it was shipped",
        )
    if request.answer == "yes":
        fitted = FittedRequest(deviations=request.deviations)
        return fit_in(connection, row.id, fitted, now=now, actor=actor, evidence="The plant says that it is fitted.")
    if request.answer == "not_yet":
        return _asked_again(connection, row, request, now, actor)
    assert request.why is not None
    assert request.reason is not None
    said = f"{_WHY[request.why]}: {request.reason}"
    report_id = _to_be_decided_again(connection, row, said, now, actor)
    cancel_in(connection, row.id, CancelRequest(reason=said[:240]), now=now, actor=actor, evidence="The plant says no.")
    answer = full_answer(connection, reorder_on_record(connection, row.id))
    return answer.model_copy(update={"report": report_id})


def _asked_again(
    connection: Connection, row: ReorderRow, request: FittedAnswerRequest, now: str, actor: Actor
) -> ReorderAnswer:
    step = NewStep(
        reorder_id=row.id,
        state="shipped",
        at=now,
        actor=actor.name,
        evidence="The plant says that it is not fitted yet.",
        reason=request.reason,
    )
    log_steps(connection, row, [step])
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb="not fitted yet",
        subject=row.number,
        before={"reorder": row.id, "state": "shipped"},
        after={"reorder": row.id, "state": "shipped", "reason": request.reason},
    )
    return full_answer(connection, reorder_on_record(connection, row.id))


def _to_be_decided_again(connection: Connection, row: ReorderRow, said: str, now: str, actor: Actor) -> int:
    """The report of an order, or a new one that follows it, with the segment chosen; its id."""
    if row.report_id is not None:
        evidence = damage_reports.NewEvidence(
            question="words",
            answer=said[:512],
            tolerance_mm=None,
            came_by=None,
            damage_link_id=None,
            at=now,
            actor=actor.name,
        )
        damage_reports.add_evidence(connection, row.report_id, evidence)
        return row.report_id
    report_id = damage_reports.add_report(
        connection,
        NewReport(
            words=said,
            mark=row.number,
            came_by=None,
            caller="",
            telephone="",
            follows_reorder_id=row.id,
            reported_at=now,
            reported_by=actor.name,
        ),
    )
    damage_reports.add_choice(
        connection,
        report_id,
        NewChoice(
            segment_id=row.segment_id,
            # The piece that broke first is still the one that is to be replaced.
            piece_id=row.damaged_piece_id,
            set_number=None,
            rejected="[]",
            shown="[]",
            reason=f"reorder {row.id} was for it",
            at=now,
            actor=actor.name,
        ),
    )
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb="report",
        subject=row.number,
        before=None,
        after={"report": report_id, "follows": row.id, "words": said},
    )
    return report_id
