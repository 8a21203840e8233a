"""Order one broken segment again: decide the revision to cut, and give the new piece its own key."""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import Connection

from schemas.answers import AlsoCutAnswer, CutAnswer, ReorderAnswer
from schemas.requests import ReorderRequest
from service.errors import ReorderClosed, ReorderUnknown
from service.rules.duplicates import Broken
from service.rules.order_states import State, next_states
from service.rules.revisions import Situation
from service.store import cutfiles, events, order_steps, pieces, reorders, segments
from service.store.order_steps import StepRow
from service.store.values import PieceRow, ReorderRow, RevisionRow
from service.work.damaged import damaged_piece
from service.work.fit_decision import choice_of, decided_fit
from service.work.issue import fresh_keys
from service.work.members import members_around, surviving
from service.work.on_order import refuse_duplicate, same_on_order
from service.work.once import NO_RETRY, Retry, once
from service.work.order_intake import intake
from service.work.order_log import ask_fitted_at, shipped_before, state_of, step_answers
from service.work.out_of_use import refuse_retired
from service.work.read import find_active
from service.work.workshop import SERVICE, Actor, Workshop


def reorder(
    workshop: Workshop, request: ReorderRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> ReorderAnswer:
    """Decide, give the new pieces their keys, and write the reorder, in one transaction.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the damaged segment or a survivor is not settled.
        KitRetired: the kit is out of use, and no reason is given.
        SetUnknown: a set is named that was never made.
        AlreadyOnOrder: an open order may be for the same piece, and no reason for another one is given.
        ReportUnknown, ReportClosed: the damage report is not there, is ordered already, or was given up.
        FitDisputed: the declared joint revisions and the outlines contradict each other, and nobody has decided.
        BadRequest: a survivor is no neighbour, the named piece belongs to another set, or the report is about another
            segment.
    """
    with workshop.database.write() as connection:

        def work() -> ReorderAnswer:
            return _order(workshop, connection, request, actor)

        return once(connection, retry, ReorderAnswer, workshop.now(), work)


def _order(workshop: Workshop, connection: Connection, request: ReorderRequest, actor: Actor) -> ReorderAnswer:
    found = find_active(connection, request.mark)
    segment = found.segment
    now = workshop.now()
    refuse_retired(connection, segment.kit_number, what="reorder", override=request.override, actor=actor, now=now)
    broken = damaged_piece(connection, found, request.set)
    damaged = broken.piece
    known = Broken(damaged.id, damaged.set_number) if damaged else Broken(None, request.set)
    refuse_duplicate(same_on_order(connection, segment, known), mark=request.mark, also=request.also)
    taken_in = intake(connection, request, found, actor=actor, now=now)
    survivors = surviving(connection, segment, request.survivors)
    around = members_around(connection, segment, damaged=damaged, set_number=request.set, survivors=survivors)
    situation = Situation(
        damaged=segment.number,
        members=around.members,
        joints=around.joints,
        deviations=(damaged.deviations or "") if damaged else "",
        why_unknown=broken.why_unknown,
        prefer=request.prefer,
    )
    decision = decided_fit(connection, situation, around, choice_of(request), actor=actor, now=now)
    others = tuple(row.id for row in reorders.open_reorders(connection, segment.id))
    set_number = damaged.set_number if damaged else request.set or 1
    revision: RevisionRow | None = None
    new_pieces: list[PieceRow] = []
    if decision.revision is not None:
        revision = _released(connection, segment.cut_file, decision.revision)
        new_pieces = _ordered(connection, segment.id, revision.id, set_number, request.quantity)
    also_cut = []
    for cut in decision.also_cut:
        release = _released(connection, cut.cut_file, cut.revision)
        ordered = _ordered(connection, around.rows[cut.number].id, release.id, set_number, request.quantity)
        also_cut.append(
            {
                "number": cut.number,
                "place": cut.place,
                "cut_file": cut.cut_file,
                "revision": cut.revision,
                "sha256": release.sha256,
                "keys": [piece.key for piece in ordered],
            }
        )
    neighbours = {joint.other(segment.id).number for joint in segments.joints_of(connection, segment.id)}
    details = {
        "reasons": [*broken.said, *decision.reasons],
        "also_cut": also_cut,
        "keys": [piece.key for piece in new_pieces],
        "survivors": sorted(neighbours if survivors is None else survivors),
        "open_orders": list(others),
        "set": set_number if new_pieces else None,
        "override": request.override,
        "also": request.also,
    }
    id_ = reorders.add_reorder(
        connection,
        segment_id=segment.id,
        damaged_piece_id=damaged.id if damaged else None,
        new_piece_id=new_pieces[0].id if new_pieces else None,
        quantity=request.quantity,
        reason=request.reason,
        prefer=request.prefer,
        outcome=decision.outcome,
        revision_id=revision.id if revision else None,
        decision=json.dumps(details, sort_keys=True, ensure_ascii=False),
        ordered_at=now,
    )
    row = taken_in.written(connection, id_, decision.reasons)
    answer = full_answer(connection, row)
    told = {"at": now, "actor": actor.name, "subject": segment.number}
    broke = {"key": damaged.key if damaged else None, "set": set_number, "reason": request.reason, "mark": request.mark}
    events.record_many(
        connection,
        (
            events.NewEvent(verb="damage", before=_state(damaged), after=broke, **told),
            events.NewEvent(verb="reorder", after=_as_decided(answer), **told),
        ),
    )
    return answer


def _as_decided(answer: ReorderAnswer) -> dict[str, object]:
    """What was decided, without what only follows from it or changes later."""
    return answer.model_dump(mode="json", exclude={"history", "next_states", "open", "since", "ask_fitted_at"})


def _state(damaged: PieceRow | None) -> dict[str, object] | None:
    """What was on record of the damaged piece, where it is known which one that is."""
    if damaged is None:
        return None
    return {"key": damaged.key, "condition": damaged.condition, "revision": damaged.revision}


def _released(connection: Connection, cut_file: str, letter: str) -> RevisionRow:
    row = cutfiles.find_revision(connection, cut_file, letter)
    assert row is not None
    return row


def _ordered(
    connection: Connection, segment_id: int, revision_id: int, set_number: int, quantity: int
) -> list[PieceRow]:
    """New pieces, each with its own key whatever the quantity, so that their revision stays known."""
    return [
        pieces.add_piece(
            connection,
            segment_id=segment_id,
            key=key,
            set_number=set_number,
            revision_id=revision_id,
            condition="ordered",
        )
        for key in fresh_keys(connection, quantity)
    ]


def full_answer(connection: Connection, row: ReorderRow) -> ReorderAnswer:
    """A reorder with its history."""
    return reorder_answer(row, order_steps.steps_of(connection, [row.id]).get(row.id, ()))


def reorder_answer(row: ReorderRow, steps: Sequence[StepRow] = ()) -> ReorderAnswer:
    """A reorder as it crosses the edge, with the steps that are given of it."""
    details = json.loads(row.decision)
    state = state_of(row)
    cut = None
    if row.cut_file is not None and row.revision is not None and row.sha256 is not None:
        cut = CutAnswer(cut_file=row.cut_file, revision=row.revision, sha256=row.sha256)
    return ReorderAnswer.model_validate(
        {
            "id": row.id,
            "number": row.number,
            "key": row.new_key,
            "keys": tuple(details["keys"]),
            "outcome": row.outcome,
            "cut": cut,
            "also_cut": tuple(AlsoCutAnswer(**also) for also in details["also_cut"]),
            "reasons": tuple(details["reasons"]),
            "quantity": row.quantity,
            "reason": row.reason,
            "prefer": row.prefer,
            "survivors": tuple(details["survivors"]),
            "state": state,
            "ordered_at": row.ordered_at,
            "open_orders": tuple(details["open_orders"]),
            # Not said in decisions of earlier days.
            "set": details.get("set"),
            "override": details.get("override"),
            "also": details.get("also"),
            "report": row.report_id,
            "since": row.step_at or row.ordered_at,
            "promised_on": row.promised_on,
            "ask_fitted_at": ask_fitted_at(row),
            "next_states": next_states(state),
            "history": step_answers(steps),
        }
    )


def reorder_on_record(connection: Connection, reorder_id: int) -> ReorderRow:
    """A reorder by its id; raises ReorderUnknown."""
    row = reorders.find_reorder(connection, reorder_id)
    if row is None:
        raise ReorderUnknown(
            "no reorder has this id", field="id", value=reorder_id, todo="Look it up in the list of reorders"
        )
    return row


def show_reorder(workshop: Workshop, reorder_id: int) -> ReorderAnswer:
    """A reorder by its id; raises ReorderUnknown."""
    with workshop.database.read() as connection:
        return full_answer(connection, reorder_on_record(connection, reorder_id))


def list_reorders(
    workshop: Workshop, *, after: int | None, limit: int, state: State | None = None, ask_fitted: bool = False
) -> tuple[ReorderAnswer, ...]:
    """A page of reorders, the newest first; only those at a state, or of which the plant is to be asked now."""
    with workshop.database.read() as connection:
        rows = reorders.reorder_page(
            connection,
            after=after,
            limit=limit,
            step="shipped" if ask_fitted else state,
            since_before=shipped_before(workshop.now()) if ask_fitted else None,
        )
        steps = order_steps.steps_of(connection, [row.id for row in rows])
        return tuple(reorder_answer(row, steps.get(row.id, ())) for row in rows)


def require_open(row: ReorderRow) -> None:
    """Raises ReorderClosed unless the reorder is open."""
    if row.state != "open":
        raise ReorderClosed(
            f"this reorder is already {row.state}", field="id", value=row.id, todo="Order the segment again if it broke"
        )
