"""Which piece is broken, as far as the mark and the records say; otherwise why nobody can know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import BadRequest, SetUnknown
from service.store import pieces
from service.store.values import PieceRow, SegmentRow
from service.work.read import Found
from service.work.sets import short_by

_ENDED_IN_USE = frozenset({"broken", "worn", "lost", "misworked", "other"})


@dataclass(frozen=True, slots=True)
class Damaged:
    """The broken piece, or why it is not known; ``said`` is what a person should know of how it was found."""

    piece: PieceRow | None
    why_unknown: str = ""
    said: tuple[str, ...] = ()


def damaged_piece(connection: Connection, found: Found, set_number: int | None) -> Damaged:
    """The piece that the mark names, else one that is known to be missing, else whichever of like fitted ones.

    Args:
        connection: one moment of the records.
        found: what the mark says.
        set_number: the set that the piece belongs to, where somebody said so.

    Raises:
        SetUnknown: no piece of this set was ever made.
        BadRequest: the piece with this key belongs to another set.
    """
    made = pieces.pieces_of(connection, found.segment.id)
    if found.piece is not None:
        return _named(found.piece, set_number)
    sets = {piece.set_number for piece in made}
    if set_number is not None and set_number not in sets:
        raise SetUnknown(
            f"no piece of {found.segment.number} was ever made for this set",
            field="set",
            value=set_number,
            todo=f"Name one of {', '.join(map(str, sorted(sets))) or 'none: there is no piece on record'}",
        )
    considered = [piece for piece in made if set_number in (None, piece.set_number)]
    gone = [piece for number in sorted(sets) for piece in _missing(found.segment, considered, number)]
    candidates = gone or [piece for piece in considered if piece.condition == "fitted"]
    return _one_of(candidates)


def _named(piece: PieceRow, set_number: int | None) -> Damaged:
    if set_number not in (None, piece.set_number):
        raise BadRequest(
            f"piece {piece.key} belongs to set {piece.set_number}",
            field="set",
            value=set_number,
            todo="Leave 'set' out, the key says it",
        )
    said = (f"Piece {piece.key} is on record as scrapped.",) if piece.condition == "scrapped" else ()
    if piece.revision is None:
        return Damaged(piece, f"The revision of piece {piece.key} is not on record", said)
    return Damaged(piece, "", said)


def _missing(segment: SegmentRow, made: Sequence[PieceRow], set_number: int) -> list[PieceRow]:
    """The pieces scrapped in use last, as many as a set lacks: it is for one of these that a new one is wanted."""
    lacking = short_by(segment, made, set_number)
    ended = [piece for piece in made if piece.set_number == set_number and piece.end in _ENDED_IN_USE]
    found = []
    for piece in sorted(ended, key=lambda piece: (piece.ended_at or "", piece.id), reverse=True):
        if lacking <= 0:
            break
        found.append(piece)
        lacking -= piece.count
    return found


def _one_of(candidates: Sequence[PieceRow]) -> Damaged:
    if not candidates:
        return Damaged(None, "No fitted piece of this segment is on record")
    sets = sorted({piece.set_number for piece in candidates})
    if len({(piece.revision, piece.deviations) for piece in candidates}) > 1:
        several = f"{len(sets)} sets" if len(sets) > 1 else f"{sum(piece.count for piece in candidates)} pieces"
        return Damaged(
            None, f"There are {several} of this segment, not built alike, and the mark does not say which broke"
        )
    # Whichever of several like pieces it is, it was cut from this revision.
    piece = candidates[0]
    assumed = (
        f"The mark does not say which of the sets {', '.join(map(str, sets))} the piece belongs to; they were built "
        f"alike, and set {piece.set_number} is assumed."
    )
    said = (assumed,) if len(sets) > 1 else ()
    if piece.revision is None:
        return Damaged(piece, "The revision of the fitted piece is not on record", said)
    return Damaged(piece, "", said)
