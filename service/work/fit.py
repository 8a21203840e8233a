"""What became of a reorder: the new piece is in the machine, or the order is not wanted any more.

Only a fitted piece is anybody's as-built. What it replaces is scrapped and stays on record.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from schemas.answers import ReorderAnswer
from schemas.requests import CancelRequest, FittedRequest
from service.errors import PlaceVoided
from service.store import events, pieces, reorders
from service.store.order_steps import NewStep
from service.store.values import PieceRow, ReorderRow
from service.work.once import NO_RETRY, Retry, once
from service.work.order_log import log_steps, state_of
from service.work.reorder import full_answer, reorder_answer, reorder_on_record, require_open
from service.work.take_out import take_out
from service.work.workshop import SERVICE, Actor, Workshop


def fit_reorder(
    workshop: Workshop, reorder_id: int, request: FittedRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> ReorderAnswer:
    """The new pieces are fitted, those they replace are scrapped, in one transaction.

    Raises:
        ReorderUnknown, ReorderClosed: no such reorder, or it is fitted or cancelled already.
        PlaceVoided: a place that it is for was given up.
    """
    with workshop.database.write() as connection:

        def work() -> ReorderAnswer:
            return fit_in(connection, reorder_id, request, now=workshop.now(), actor=actor)

        return once(connection, retry, ReorderAnswer, workshop.now(), work)


def fit_in(
    connection: Connection, reorder_id: int, request: FittedRequest, *, now: str, actor: Actor, evidence: str = ""
) -> ReorderAnswer:
    """The same inside a transaction; ``evidence`` says on what grounds, in words."""
    row = reorder_on_record(connection, reorder_id)
    require_open(row)
    answer = reorder_answer(row)
    groups = (answer.keys, *(also.keys for also in answer.also_cut))
    taken_out = [out for keys in groups for out in _fit(connection, row, keys, request.deviations, now)]
    facts: dict[str, object] = {
        "deviations": request.deviations,
        "fitted": [key for keys in groups for key in keys],
        "scrapped": [{"key": piece.key, "set": piece.set_number, "count": count} for piece, count in taken_out],
    }
    step = NewStep(reorder_id=row.id, state="fitted", at=now, actor=actor.name, evidence=evidence)
    return _settle(connection, row, step, facts)


def cancel_reorder(
    workshop: Workshop, reorder_id: int, request: CancelRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> ReorderAnswer:
    """The order is not wanted any more: its pieces count as scrapped, their keys stay spent.

    Raises:
        ReorderUnknown, ReorderClosed: no such reorder, or it is fitted or cancelled already.
    """
    with workshop.database.write() as connection:

        def work() -> ReorderAnswer:
            return cancel_in(connection, reorder_id, request, now=workshop.now(), actor=actor)

        return once(connection, retry, ReorderAnswer, workshop.now(), work)


def cancel_in(
    connection: Connection, reorder_id: int, request: CancelRequest, *, now: str, actor: Actor, evidence: str = ""
) -> ReorderAnswer:
    """The same inside a transaction; ``evidence`` says on what grounds, in words."""
    row = reorder_on_record(connection, reorder_id)
    require_open(row)
    answer = reorder_answer(row)
    for key in (*answer.keys, *(key for also in answer.also_cut for key in also.keys)):
        piece = pieces.piece_by_key(connection, key)
        assert piece is not None
        # A place that was given up meanwhile took what was ordered for it along.
        if piece.condition == "ordered":
            pieces.end_piece(connection, piece.id, kind="cancelled", note=request.reason, at=now, reorder_id=row.id)
    step = NewStep(
        reorder_id=row.id, state="cancelled", at=now, actor=actor.name, evidence=evidence, reason=request.reason
    )
    return _settle(connection, row, step, {"reason": request.reason})


def _fit(
    connection: Connection, row: ReorderRow, keys: Sequence[str], deviations: str | None, now: str
) -> list[tuple[PieceRow, int]]:
    """Put new pieces of one segment into the machine and take as many old ones out; those, and how many of each."""
    fresh = []
    for key in keys:
        piece = pieces.piece_by_key(connection, key)
        assert piece is not None
        fresh.append(piece)
    if not fresh:
        return []
    segment_id = fresh[0].segment_id
    for piece in fresh:
        if piece.condition != "ordered":
            raise PlaceVoided(
                "the place was given up since this was ordered",
                field="id",
                value=row.id,
                todo="Cancel this reorder, and order what took the place",
            )
    taken_out = take_out(
        connection, row, segment_id=segment_id, set_number=fresh[0].set_number, new=len(fresh), now=now
    )
    for piece in fresh:
        pieces.set_condition(connection, piece.id, "fitted")
        pieces.set_made(connection, piece.id, now)
        if deviations and segment_id == row.segment_id:
            pieces.set_deviations(connection, piece.id, deviations)
    return taken_out


def _settle(connection: Connection, row: ReorderRow, step: NewStep, after: dict[str, object]) -> ReorderAnswer:
    state: reorders.State = "fitted" if step.state == "fitted" else "cancelled"
    reorders.set_reorder_state(connection, row.id, state)
    log_steps(connection, row, [step])
    events.record(
        connection,
        at=step.at,
        actor=step.actor,
        verb=state,
        subject=row.number,
        before={"reorder": row.id, "state": state_of(row)},
        after={"reorder": row.id, "state": state, **after},
    )
    settled = reorders.find_reorder(connection, row.id)
    assert settled is not None
    return full_answer(connection, settled)
