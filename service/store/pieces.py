"""Pieces: what was really made for a segment, and of which revision."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from operator import attrgetter
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, update

from service.store.batches import insert_batch
from service.store.chunks import chunks
from service.store.database import next_id
from service.store.new_kit import NewPiece
from service.store.tables import IssuedKey, Piece, PieceEnd, Revision, Segment, table_of
from service.store.values import PieceRow

_COLUMNS = (
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
    PieceEnd.kind,
    PieceEnd.note,
    PieceEnd.ended_at,
    PieceEnd.reorder_id,
)
PIECES = (
    select(*_COLUMNS)
    .outerjoin(Revision, Revision.id == Piece.revision_id)
    .outerjoin(PieceEnd, PieceEnd.piece_id == Piece.id)
)
"""Every piece, in the columns of a ``PieceRow``; a piece may have no revision and has no end while it is in use."""

_OF_PIECE = ("key", "set_number", "count", "revision_id", "made_at", "material_batch", "deviations", "condition")
_ORDER = (Piece.set_number, Piece.id)
_OF_SEGMENT = PIECES.where(Piece.segment_id == bindparam("segment_id")).order_by(*_ORDER)
_BY_KEY = PIECES.where(Piece.key == bindparam("key"))


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
    rows = connection.execute(PIECES.where(Piece.segment_id.in_(own)).order_by(*_ORDER))
    return _by_segment(segment_ids, rows)


def as_built(connection: Connection, segment_ids: Collection[int]) -> dict[int, tuple[PieceRow, ...]]:
    """The pieces that sit in the machine now. A piece that is ordered, damaged or scrapped is nobody's as-built.

    Every id that was asked for is a key; the tuple is empty where nothing is known to be fitted.
    """
    rows = (
        row
        for some in chunks(segment_ids)
        for row in connection.execute(
            PIECES.where(Piece.segment_id.in_(some), Piece.condition == "fitted").order_by(*_ORDER)
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


def add_pieces(connection: Connection, new: Sequence[tuple[int, NewPiece]]) -> None:
    """Register many pieces, each with its segment's row id, and their keys as given."""
    first = next_id(connection, Piece)
    of_piece = attrgetter(*_OF_PIECE)
    rows = list(enumerate(new, first))
    insert_batch(
        connection,
        Piece,
        ("id", "segment_id", *_OF_PIECE),
        [(id_, segment_id, *of_piece(piece)) for id_, (segment_id, piece) in rows],
    )
    insert_batch(
        connection,
        IssuedKey,
        ("key", "segment_id", "piece_id"),
        [(piece.key, segment_id, id_) for id_, (segment_id, piece) in rows if piece.key is not None],
    )


def give_key(connection: Connection, piece: PieceRow, key: str) -> None:
    """Give the last of a count of like pieces a key of its own; from now on it is tracked."""
    table = table_of(Piece)
    connection.execute(update(table).where(table.c.id == piece.id).values(key=key, count=1))
    connection.execute(insert(table_of(IssuedKey)), {"key": key, "segment_id": piece.segment_id, "piece_id": piece.id})


def end_piece(
    connection: Connection, piece_id: int, *, kind: str, note: str, at: str, reorder_id: int | None = None
) -> None:
    """Scrap a piece, or a count of like ones, and keep what happened to it."""
    set_condition(connection, piece_id, "scrapped")
    connection.execute(
        insert(table_of(PieceEnd)),
        {"piece_id": piece_id, "kind": kind, "note": note, "ended_at": at, "reorder_id": reorder_id},
    )


def split_off(connection: Connection, piece: PieceRow, count: int) -> PieceRow:
    """Part ``count`` pieces from a larger count of like ones; the new row is alike in everything else."""
    set_count(connection, piece.id, piece.count - count)
    return add_piece(
        connection,
        segment_id=piece.segment_id,
        key=None,
        set_number=piece.set_number,
        count=count,
        revision_id=piece.revision_id,
        condition=piece.condition,
        made_at=piece.made_at,
        material_batch=piece.material_batch,
        deviations=piece.deviations,
    )


def sets_of_kit(connection: Connection, kit_id: int) -> tuple[int, ...]:
    """The numbers of the sets of which a piece was ever made, the first first."""
    query = (
        select(Piece.set_number)
        .join(Segment, Segment.id == Piece.segment_id)
        .where(Segment.kit_id == kit_id)
        .distinct()
        .order_by(Piece.set_number)
    )
    return tuple(connection.scalars(query))


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
