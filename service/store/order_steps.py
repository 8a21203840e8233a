"""Steps of reorders: added one by one, and the history of one or of many."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import OrderStep, table_of


@dataclass(frozen=True, slots=True, kw_only=True)
class NewStep:
    """A step to add; ``rejected`` and ``measured`` are JSON lists."""

    reorder_id: int
    state: str
    at: str
    actor: str
    evidence: str = ""
    rejected: str = "[]"
    reason: str | None = None
    measured: str = "[]"
    promised_on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow(NewStep):
    """A step as it was taken; ``ordinal`` counts those of its order from 1."""

    id: int
    ordinal: int


_COLUMNS = tuple(getattr(OrderStep, name) for name in (*NewStep.__slots__, *StepRow.__slots__))


def add_step(connection: Connection, new: NewStep) -> StepRow:
    """Add the next step of an order."""
    last = connection.scalar(select(func.max(OrderStep.ordinal)).where(OrderStep.reorder_id == new.reorder_id))
    values = {name: getattr(new, name) for name in NewStep.__slots__}
    row = StepRow(**values, id=next_id(connection, OrderStep), ordinal=(last or 0) + 1)
    connection.execute(insert(table_of(OrderStep)), {**values, "id": row.id, "ordinal": row.ordinal})
    return row


def steps_of(connection: Connection, reorder_ids: Collection[int]) -> dict[int, tuple[StepRow, ...]]:
    """The steps of orders in their order, by the order's id; orders without any are left out."""
    found: dict[int, list[StepRow]] = {}
    for some in chunks(reorder_ids):
        query = select(*_COLUMNS).where(OrderStep.reorder_id.in_(some))
        for row in connection.execute(query.order_by(OrderStep.reorder_id, OrderStep.ordinal)):
            step = StepRow(**row._mapping)
            found.setdefault(step.reorder_id, []).append(step)
    return {id_: tuple(steps) for id_, steps in found.items()}
