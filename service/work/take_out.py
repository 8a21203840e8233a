"""New pieces go in, old ones come out: which ones, and what stays on record about them."""

from __future__ import annotations

from sqlalchemy import Connection

from service.store import pieces, segments
from service.store.values import PieceRow, ReorderRow


def take_out(
    connection: Connection, row: ReorderRow, *, segment_id: int, set_number: int, new: int, now: str
) -> list[tuple[PieceRow, int]]:
    """Scrap the pieces of one set whose places new ones take; each of them, and how many of it.

    The damaged piece comes first, then pieces that are only counted, then tracked ones. A place that is empty already,
    because its piece was scrapped before, is filled and takes nobody out.

    Args:
        connection: the writer's.
        row: the reorder whose pieces are fitted.
        segment_id: the segment.
        set_number: the set.
        new: how many new pieces come in.
        now: when.
    """
    fitted = pieces.as_built(connection, [segment_id])[segment_id]
    of_set = [piece for piece in fitted if piece.set_number == set_number]
    segment = segments.segment_by_id(connection, segment_id)
    assert segment is not None
    damaged = any(piece.id == row.damaged_piece_id for piece in of_set)
    left = max(sum(piece.count for piece in of_set) + new - segment.quantity, int(damaged))
    taken: list[tuple[PieceRow, int]] = []
    of_set.sort(key=lambda piece: (piece.id != row.damaged_piece_id, piece.key is not None, piece.id))
    for piece in of_set:
        if left <= 0:
            break
        gone = pieces.split_off(connection, piece, left) if piece.count > left else piece
        pieces.end_piece(connection, gone.id, kind="replaced", note=row.reason, at=now, reorder_id=row.id)
        taken.append((piece, gone.count))
        left -= gone.count
    return taken
