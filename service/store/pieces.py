"""Pieces: what was really made for a segment, and of which revision."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, update

from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import IssuedKey, Piece, Revision, Segment, table_of
from service.store.values import PieceRow

PIECE_COLUMNS = (
    Piece.id,
    Piece.key,
    Piece.segment_id,
    Piece.set_number,
    Piece.count,
    Piece.revision_id,
    Revision.letter,
    Piece.made_at,
    Piece.material_batch,
    Piece.deviations,
    Piece.condition,
)
"""The columns of a ``PieceRow``, in its order; the revision is joined from outside, a piece may have none."""

_PIECES = select(*PIECE_COLUMNS).outerjoin(Revision, Revision.id == Piece.revision_id)
_ORDER = (Piece.set_number, Piece.id)
_OF_SEGMENT = _PIECES.where(Piece.segment_id == bindparam("segment_id")).order_by(*_ORDER)
_BY_KEY = _PIECES.where(Piece.key == bindparam("key"))


def pieces_of(connection: Connection, segment_id: int) -> tuple[PieceRow, ...]:
    """Every piece that was ever made or ordered for a segment, by set and age."""
    return tuple(PieceRow(*row) for row in connection.execute(_OF_SEGMENT, {"segment_id": segment_id}))


def piece_by_key(connection: Connection, key: str) -> PieceRow | None:
    """The piece that bears a key."""
    row = connection.execute(_BY_KEY, {"key": key}).one_or_none()
    return None if row is None else PieceRow(*row)


def pieces_of_kit(connection: Connection, kit_id: int) -> dict[int, tuple[PieceRow, ...]]:
    """The pieces of every segment that a kit numbered, by the segment's row id."""
    segment_ids = connection.scalars(select(Segment.id).where(Segment.kit_id == kit_id)).all()
    own = select(Segment.id).where(Segment.kit_id == kit_id).scalar_subquery()
    rows = connection.execute(_PIECES.where(Piece.segment_id.in_(own)).order_by(*_ORDER))
    return _by_segment(segment_ids, rows)


def as_built(connection: Connection, segment_ids: Collection[int]) -> dict[int, tuple[PieceRow, ...]]:
    """The pieces that sit in the machine now. A piece that is ordered, damaged or scrapped is nobody's as-built.

    Every id that was asked for is a key; the tuple is empty where nothing is known to be fitted.
    """
    rows = (
        row
        for some in chunks(segment_ids)
        for row in connection.execute(
            _PIECES.where(Piece.segment_id.in_(some), Piece.condition == "fitted").order_by(*_ORDER)
        )
    )
    return _by_segment(segment_ids, rows)


def _by_segment(segment_ids: Iterable[int], rows: Iterable[Sequence[Any]]) -> dict[int, tuple[PieceRow, ...]]:
    found: defaultdict[int, list[PieceRow]] = defaultdict(list)
    for row in rows:
        piece = PieceRow(*row)
        found[piece.segment_id].append(piece)
    return {segment_id: tuple(found[segment_id]) for segment_id in segment_ids}


def add_piece(
    connection: Connection,
    *,
    segment_id: int,
    key: str | None,
    set_number: int,
    count: int = 1,
    revision_id: int | None,
    condition: str,
    made_at: str | None = None,
    material_batch: str | None = None,
    deviations: str | None = None,
) -> PieceRow:
    """Register a piece, and its key as given. Pieces that are counted (``count`` > 1) have no key of their own."""
    letter = connection.scalar(select(Revision.letter).where(Revision.id == revision_id))
    piece_id = next_id(connection, Piece)
    connection.execute(
        insert(table_of(Piece)),
        {
            "id": piece_id,
            "key": key,
            "segment_id": segment_id,
            "set_number": set_number,
            "count": count,
            "revision_id": revision_id,
            "made_at": made_at,
            "material_batch": material_batch,
            "deviations": deviations,
            "condition": condition,
        },
    )
    if key is not None:
        connection.execute(insert(table_of(IssuedKey)), {"key": key, "segment_id": segment_id, "piece_id": piece_id})
    return PieceRow(
        id=piece_id,
        key=key,
        segment_id=segment_id,
        set_number=set_number,
        count=count,
        revision_id=revision_id,
        revision=letter,
        made_at=made_at,
        material_batch=material_batch,
        deviations=deviations,
        condition=condition,
    )


def set_condition(connection: Connection, piece_id: int, condition: str) -> None:
    """Say what became of a piece: ``ordered``, ``fitted``, ``damaged`` or ``scrapped``."""
    piece = table_of(Piece)
    connection.execute(update(piece).where(piece.c.id == piece_id).values(condition=condition))


def set_count(connection: Connection, piece_id: int, count: int) -> None:
    """Say how many of a count of like pieces are left."""
    piece = table_of(Piece)
    connection.execute(update(piece).where(piece.c.id == piece_id).values(count=count))


def set_made(connection: Connection, piece_id: int, made_at: str) -> None:
    """Say when a piece was made."""
    piece = table_of(Piece)
    connection.execute(update(piece).where(piece.c.id == piece_id).values(made_at=made_at))


def set_revision(connection: Connection, segment_id: int, old_id: int, new_id: int) -> None:
    """Say that the pieces of a segment were cut from another revision than was typed."""
    piece = table_of(Piece)
    connection.execute(
        update(piece).where(piece.c.segment_id == segment_id, piece.c.revision_id == old_id).values(revision_id=new_id)
    )


def set_deviations(connection: Connection, piece_id: int, deviations: str | None) -> None:
    """Note how a piece was reworked on site, None when it is as drawn."""
    piece = table_of(Piece)
    connection.execute(update(piece).where(piece.c.id == piece_id).values(deviations=deviations))
