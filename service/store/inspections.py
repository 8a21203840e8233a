"""Looks at finished pieces: added one by one, and the last one of each piece."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select, update

from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import Inspection, Piece, table_of


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionRow:
    """One look at a piece; ``found`` is one sentence a line."""

    piece_id: int
    inspected_at: str
    inspected_by: str
    plate: str
    engraving: str | None
    engraved_revision: str | None
    thickness_mm: float | None
    verdict: str
    found: str


_COLUMNS = tuple(getattr(Inspection, name) for name in InspectionRow.__slots__)


def add_inspection(connection: Connection, row: InspectionRow) -> int:
    """Put a look on record and say its row id."""
    id_ = next_id(connection, Inspection)
    values = {name: getattr(row, name) for name in InspectionRow.__slots__}
    connection.execute(insert(table_of(Inspection)), {"id": id_, **values})
    return id_


def last_inspections(connection: Connection, piece_ids: Collection[int]) -> dict[int, InspectionRow]:
    """The last look at each piece, by the piece's row id; pieces at which nobody looked are not in it."""
    found: dict[int, InspectionRow] = {}
    for some in chunks(piece_ids):
        last = select(func.max(Inspection.id)).where(Inspection.piece_id.in_(some)).group_by(Inspection.piece_id)
        for row in connection.execute(select(*_COLUMNS).where(Inspection.id.in_(last.scalar_subquery()))):
            look = InspectionRow(**row._mapping)
            found[look.piece_id] = look
    return found


def was_bound(connection: Connection, piece_id: int) -> bool:
    """Whether any look at a piece found its marks right."""
    query = select(Inspection.id).where(Inspection.piece_id == piece_id, Inspection.verdict == "right").limit(1)
    return connection.scalar(query) is not None


def set_material_batch(connection: Connection, piece_id: int, batch: str) -> None:
    """Say of which batch a piece was cut."""
    piece = table_of(Piece)
    connection.execute(update(piece).where(piece.c.id == piece_id).values(material_batch=batch))
