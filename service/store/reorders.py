"""Reorders: a broken segment, and what was decided to cut for it."""

from __future__ import annotations

from typing import Any, Literal

from sqlalchemy import Connection, Select, and_, bindparam, func, insert, select, update
from sqlalchemy.orm import aliased

from service.store.database import next_id
from service.store.tables import CutFile, DamageOrder, OrderStep, Piece, Reorder, Revision, Segment, table_of
from service.store.values import ReorderRow

State = Literal["open", "fitted", "cancelled"]

_EARLIER = aliased(OrderStep)
_LAST_STEP = (
    select(func.max(_EARLIER.ordinal)).where(_EARLIER.reorder_id == Reorder.id).correlate(Reorder).scalar_subquery()
)
_PROMISED_ON = (
    select(_EARLIER.promised_on)
    .where(_EARLIER.reorder_id == Reorder.id, _EARLIER.promised_on.is_not(None))
    .order_by(_EARLIER.ordinal.desc())
    .limit(1)
    .correlate(Reorder)
    .scalar_subquery()
)
_REPORT = (
    select(func.min(DamageOrder.damage_report_id))
    .where(DamageOrder.reorder_id == Reorder.id, DamageOrder.duplicate.is_(False))
    .correlate(Reorder)
    .scalar_subquery()
)

_REORDERS = (
    select(
        Reorder.id,
        Reorder.segment_id,
        Reorder.damaged_piece_id,
        Reorder.new_piece_id,
        Reorder.quantity,
        Reorder.reason,
        Reorder.prefer,
        Reorder.outcome,
        Reorder.revision_id,
        Reorder.decision,
        Reorder.state,
        Reorder.ordered_at,
        Segment.number,
        CutFile.name,
        Revision.letter,
        Revision.sha256,
        Piece.key,
        OrderStep.state,
        OrderStep.at,
        _PROMISED_ON,
        _REPORT,
    )
    .join(Segment, Segment.id == Reorder.segment_id)
    .outerjoin(Revision, Revision.id == Reorder.revision_id)
    .outerjoin(CutFile, CutFile.id == Revision.cut_file_id)
    .outerjoin(Piece, Piece.id == Reorder.new_piece_id)
    .outerjoin(OrderStep, and_(OrderStep.reorder_id == Reorder.id, OrderStep.ordinal == _LAST_STEP))
)
_BY_ID = _REORDERS.where(Reorder.id == bindparam("id"))
_OPEN = _REORDERS.where(Reorder.segment_id == bindparam("segment_id"), Reorder.state == "open").order_by(Reorder.id)


def add_reorder(
    connection: Connection,
    *,
    segment_id: int,
    damaged_piece_id: int | None,
    new_piece_id: int | None,
    quantity: int,
    reason: str,
    prefer: str,
    outcome: str,
    revision_id: int | None,
    decision: str,
    ordered_at: str,
) -> int:
    """Write an open reorder with its decision (JSON text); its id."""
    id_ = next_id(connection, Reorder)
    connection.execute(
        insert(table_of(Reorder)),
        {
            "id": id_,
            "segment_id": segment_id,
            "damaged_piece_id": damaged_piece_id,
            "new_piece_id": new_piece_id,
            "quantity": quantity,
            "reason": reason,
            "prefer": prefer,
            "outcome": outcome,
            "revision_id": revision_id,
            "decision": decision,
            "state": "open",
            "ordered_at": ordered_at,
        },
    )
    return id_


def find_reorder(connection: Connection, reorder_id: int) -> ReorderRow | None:
    """The reorder with an id."""
    return next(iter(_rows(connection, _BY_ID, id=reorder_id)), None)


def open_reorders(connection: Connection, segment_id: int) -> tuple[ReorderRow, ...]:
    """What is on order for a segment, oldest first."""
    return _rows(connection, _OPEN, segment_id=segment_id)


def reorder_page(
    connection: Connection,
    *,
    after: int | None,
    limit: int,
    state: State | None = None,
    step: str | None = None,
    since_before: str | None = None,
) -> tuple[ReorderRow, ...]:
    """Reorders, the newest first.

    Args:
        connection: one moment of the records.
        after: the id of the last one of the page before.
        limit: how many at most.
        state: only open, fitted or cancelled ones.
        step: only those that stand at this step.
        since_before: only those whose last step was taken before this moment or at it.
    """
    query = _REORDERS.order_by(Reorder.id.desc()).limit(limit)
    if after is not None:
        query = query.where(Reorder.id < after)
    if state is not None:
        query = query.where(Reorder.state == state)
    if step is not None:
        query = query.where(OrderStep.state == step)
    if since_before is not None:
        query = query.where(OrderStep.at <= since_before)
    return _rows(connection, query)


def open_naming(connection: Connection, number: str) -> tuple[ReorderRow, ...]:
    """Open orders of other segments whose decision names this one, as a survivor or to be cut too; oldest first."""
    query = _REORDERS.where(
        Reorder.state == "open", Segment.number != number, Reorder.decision.contains(f'"{number}"', autoescape=True)
    )
    return _rows(connection, query.order_by(Reorder.id))


def all_open(connection: Connection) -> tuple[ReorderRow, ...]:
    """Every order that is neither fitted nor cancelled, oldest first."""
    return _rows(connection, _REORDERS.where(Reorder.state == "open").order_by(Reorder.id))


def _rows(connection: Connection, query: Select[*tuple[Any, ...]], **parameters: int) -> tuple[ReorderRow, ...]:
    return tuple(ReorderRow(*row) for row in connection.execute(query, parameters))


def set_reorder_state(connection: Connection, reorder_id: int, state: State) -> None:
    """Say what became of a reorder."""
    reorder = table_of(Reorder)
    connection.execute(update(reorder).where(reorder.c.id == reorder_id).values(state=state))


def ordered_again(connection: Connection) -> dict[int, int]:
    """How often each segment was ordered again, by row id; cancelled orders left out, and segments that never were."""
    query = select(Reorder.segment_id, func.count()).where(Reorder.state != "cancelled").group_by(Reorder.segment_id)
    return {row[0]: row[1] for row in connection.execute(query)}
