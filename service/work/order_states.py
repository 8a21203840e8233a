"""Take an order a step further: released to cut, cut, inspected, shipped; or back, with a reason."""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import Connection

from schemas.answers import ReorderAnswer
from schemas.answers.order_states import MeasuredAnswer
from schemas.order_states import MeasuredItem, StepRequest
from schemas.requests import CancelRequest, FittedRequest
from service.errors import RevisionWithdrawn, StepRefused
from service.rules.materials import length_at_20c, material
from service.rules.order_states import is_step_back, next_states
from service.store import cutfiles, events, inspections, pieces, segments
from service.store.order_steps import NewStep
from service.store.values import ReorderRow
from service.work.fit import cancel_in, fit_in
from service.work.once import NO_RETRY, Retry, once
from service.work.order_log import log_steps, state_of
from service.work.reorder import full_answer, reorder_answer, reorder_on_record, require_open
from service.work.workshop import SERVICE, Actor, Workshop


def step_order(
    workshop: Workshop, reorder_id: int, request: StepRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> ReorderAnswer:
    """Take a step, in one transaction with the notices of it.

    Raises:
        ReorderUnknown, ReorderClosed: no such reorder, or it is fitted or cancelled already.
        StepRefused: the state does not follow, or the step lacks what it needs.
        RevisionWithdrawn: the revision must not be cut any more.
        CutFileAltered, CutFileMissing, VaultUnavailable: what is to be cut is not what was released.
        PlaceVoided: a place that it is for was given up.
        UnknownCode: a measured piece is of a material that no table knows.
    """
    if request.state == "released_to_cut":
        # The vault may be far away, and the writer's lock is for milliseconds. What an order cuts never changes.
        _prove_bytes(workshop, reorder_id)
    with workshop.database.write() as connection:

        def work() -> ReorderAnswer:
            return _step(workshop, connection, reorder_id, request, actor)

        return once(connection, retry, ReorderAnswer, workshop.now(), work)


def _step(
    workshop: Workshop, connection: Connection, reorder_id: int, request: StepRequest, actor: Actor
) -> ReorderAnswer:
    row = reorder_on_record(connection, reorder_id)
    require_open(row)
    _refuse_illegal(row, request)
    now = workshop.now()
    if request.state == "fitted":
        fitted = FittedRequest(deviations=request.deviations)
        return fit_in(connection, row.id, fitted, now=now, actor=actor, evidence=request.evidence)
    if request.state == "cancelled":
        assert request.reason is not None
        why = CancelRequest(reason=request.reason)
        return cancel_in(connection, row.id, why, now=now, actor=actor, evidence=request.evidence)
    back = is_step_back(state_of(row), request.state)
    evidence = request.evidence
    measured: tuple[MeasuredAnswer, ...] = ()
    if request.state == "released_to_cut" and not back:
        evidence = " ".join(filter(None, (evidence, _cuttable(connection, row))))
    if request.state == "inspected":
        measured = _at_20c(connection, row, request.measured)
        _refuse_out_of_tolerance(measured)
        evidence = " ".join(filter(None, (evidence, _proved(connection, row))))
    new = NewStep(
        reorder_id=row.id,
        state=request.state,
        at=now,
        actor=actor.name,
        evidence=evidence,
        reason=request.reason,
        measured=json.dumps([one.model_dump() for one in measured]),
        promised_on=request.promised_on,
    )
    log_steps(connection, row, [new])
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb=request.state,
        subject=row.number,
        before={"reorder": row.id, "state": state_of(row)},
        after={
            "reorder": row.id,
            "state": request.state,
            "evidence": evidence,
            "reason": request.reason,
            "measured": [one.model_dump() for one in measured],
            "promised_on": request.promised_on,
        },
    )
    return full_answer(connection, reorder_on_record(connection, row.id))


def _refuse_illegal(row: ReorderRow, request: StepRequest) -> None:
    state = state_of(row)
    follow = next_states(state)
    # What cannot be decided for want of a record is ordered again once more is known: that is another decision.
    if request.state not in follow or (state == "identified" and request.state == "decided"):
        raise StepRefused(
            f"it is {_words(state)}, and {_words(request.state)} does not follow that",
            field="state",
            value=request.state,
            todo=f"Say one of {', '.join(one for one in follow if one != 'decided' or state != 'identified')}",
        )
    if request.reason is None and (request.state == "cancelled" or is_step_back(state, request.state)):
        raise StepRefused(
            "a step that undoes work says why",
            field="reason",
            value=None,
            todo="Give the reason; a piece that is cut again is destroyed first, its key goes onto the new one",
        )
    if request.measured and request.state != "inspected":
        raise StepRefused(
            "pieces are measured when they are inspected",
            field="measured",
            value=request.state,
            todo="Send what was measured with the state inspected",
        )


def _words(state: str) -> str:
    return state.replace("_", " ")


def _prove_bytes(workshop: Workshop, reorder_id: int) -> None:
    """Every cut file of an order lies in the vault as it was released."""
    with workshop.database.read() as connection:
        answer = reorder_answer(reorder_on_record(connection, reorder_id))
    for cut in filter(None, (answer.cut, *answer.also_cut)):
        workshop.vault.get(cut.sha256)


def _cuttable(connection: Connection, row: ReorderRow) -> str:
    """Say that every cut file of an order, whose bytes are proved, may be cut."""
    answer = reorder_answer(row)
    said = []
    for cut in filter(None, (answer.cut, *answer.also_cut)):
        revision = cutfiles.find_revision(connection, cut.cut_file, cut.revision)
        assert revision is not None
        if revision.withdrawn_at is not None:
            raise RevisionWithdrawn(
                f"revision {cut.revision} of {cut.cut_file} was withdrawn on {revision.withdrawn_at}: "
                f"{revision.withdrawn_reason}",
                field="revision",
                value=cut.revision,
                todo="Cancel this reorder and order the segment again",
            )
        said.append(f"{cut.cut_file} revision {cut.revision} is as it was released (SHA-256 {cut.sha256[:12]}…).")
    return " ".join(said)


def _at_20c(connection: Connection, row: ReorderRow, measured: Sequence[MeasuredItem]) -> tuple[MeasuredAnswer, ...]:
    if not measured:
        return ()
    segment = segments.find_segment(connection, row.number)
    assert segment is not None
    of = material(segment.material)
    found = []
    for one in measured:
        at_20c = round(length_at_20c(one.measured_mm, one.temperature_c, of), 3)
        within = None
        if one.nominal_mm is not None and one.tolerance_mm is not None:
            within = abs(at_20c - one.nominal_mm) <= one.tolerance_mm
        found.append(
            MeasuredAnswer(
                feature=one.feature,
                measured_mm=one.measured_mm,
                temperature_c=one.temperature_c,
                at_20c_mm=at_20c,
                nominal_mm=one.nominal_mm,
                tolerance_mm=one.tolerance_mm,
                within=within,
            )
        )
    return tuple(found)


def _refuse_out_of_tolerance(measured: Sequence[MeasuredAnswer]) -> None:
    wrong = [one for one in measured if one.within is False]
    if wrong:
        first = wrong[0]
        assert first.nominal_mm is not None
        raise StepRefused(
            f"{first.feature} is {first.at_20c_mm:.2f} mm at 20 °C and {first.nominal_mm:.2f} ± "
            f"{first.tolerance_mm:g} mm was asked for",
            field="measured",
            value=f"{first.measured_mm:g} mm at {first.temperature_c:g} °C",
            todo="Cut it again: take the order back to released_to_cut, with this as the reason",
            place=first.feature,
        )


def _proved(connection: Connection, row: ReorderRow) -> str:
    """What is on record of the marks of the new pieces; a wrong one stops the step."""
    answer = reorder_answer(row)
    keys = (*answer.keys, *(key for also in answer.also_cut for key in also.keys))
    found = {key: pieces.piece_by_key(connection, key) for key in keys}
    looks = inspections.last_inspections(connection, [piece.id for piece in found.values() if piece is not None])
    unproved = []
    for key, piece in found.items():
        assert piece is not None
        look = looks.get(piece.id)
        if look is None:
            unproved.append(key)
        elif look.verdict == "wrong":
            raise StepRefused(
                f"the marks of piece {key} were found wrong on {look.inspected_at[:10]}",
                field="state",
                value="inspected",
                todo="Put the right mark on it and prove it again",
                place=key,
            )
    if not keys:
        return ""
    return f"Marks not proved: {', '.join(unproved)}." if unproved else "The marks of every piece are proved."
