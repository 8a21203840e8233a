"""Pieces one by one: some of a count get keys of their own, and what is on record about one piece."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from schemas.pieces import PieceOnRecordAnswer, PiecesAnswer, TrackRequest
from service.errors import BadRequest, PieceUnknown, TooFewPieces
from service.store import cutfiles, events, kits, pieces
from service.store.values import PieceRow, SegmentRow
from service.work.issue import fresh_keys
from service.work.once import NO_RETRY, Retry, once
from service.work.read import find_active, find_mark
from service.work.resolve import kit_of
from service.work.shown import piece_answer
from service.work.workshop import SERVICE, Actor, Workshop


def track_pieces(
    workshop: Workshop, mark: str, request: TrackRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> PiecesAnswer:
    """Give some pieces of a count keys of their own; what they were cut from stays as it is.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the segment is not settled.
        BadRequest: several sets are counted and none is named.
        TooFewPieces: there are not so many.
    """
    with workshop.database.write() as connection:

        def work() -> PiecesAnswer:
            segment = find_active(connection, mark, field="number").segment
            counted = counted_in_one_set(connection, segment, request.set, request.track)
            keys = tuple(fresh_keys(connection, request.track))
            _give_keys(connection, counted, keys)
            kits.raise_version(connection, segment.kit_id, None)
            total = sum(piece.count for piece in counted)
            events.record(
                connection,
                at=workshop.now(),
                actor=actor.name,
                verb="track",
                subject=segment.number,
                before={"set": counted[0].set_number, "counted": total},
                after={"set": counted[0].set_number, "counted": total - len(keys), "keys": list(keys)},
            )
            return pieces_answer(connection, segment, new_keys=keys)

        return once(connection, retry, PiecesAnswer, workshop.now(), work)


def _give_keys(connection: Connection, counted: Sequence[PieceRow], keys: Sequence[str]) -> None:
    """Part single pieces from the count; its last one takes a key itself, since a count is never empty."""
    left = list(keys)
    for piece in counted:
        taken = left[: piece.count]
        left = left[piece.count :]
        whole = len(taken) == piece.count
        if taken and not whole:
            pieces.set_count(connection, piece.id, piece.count - len(taken))
        for key in taken[1:] if whole else taken:
            pieces.add_piece(
                connection,
                segment_id=piece.segment_id,
                key=key,
                set_number=piece.set_number,
                revision_id=piece.revision_id,
                condition=piece.condition,
                made_at=piece.made_at,
                material_batch=piece.material_batch,
                deviations=piece.deviations,
            )
        if whole:
            pieces.give_key(connection, piece, taken[0])


def counted_in_one_set(
    connection: Connection, segment: SegmentRow, set_number: int | None, wanted: int
) -> tuple[PieceRow, ...]:
    """The fitted pieces of one set that are only counted, at least as many as are wanted.

    Raises:
        BadRequest: several sets are counted and none is named.
        TooFewPieces: there are not so many.
    """
    counted = [piece for piece in pieces.as_built(connection, [segment.id])[segment.id] if piece.key is None]
    sets = sorted({piece.set_number for piece in counted})
    if set_number is None and len(sets) > 1:
        raise BadRequest(
            f"pieces of the sets {', '.join(map(str, sets))} are counted",
            field="set",
            value=set_number,
            todo="Say of which set",
        )
    chosen = tuple(piece for piece in counted if set_number in (None, piece.set_number))
    total = sum(piece.count for piece in chosen)
    if total < wanted:
        raise TooFewPieces(
            f"{total} of {segment.number}{f' in set {set_number}' if set_number else ''} are fitted and only counted",
            field="count",
            value=wanted,
            todo="Name at most so many; a piece with a key is named by its key",
        )
    return chosen


def pieces_answer(connection: Connection, segment: SegmentRow, *, new_keys: tuple[str, ...] = ()) -> PiecesAnswer:
    """Every piece of a segment."""
    return PiecesAnswer(
        number=segment.number,
        pieces=tuple(piece_answer(piece) for piece in pieces.pieces_of(connection, segment.id)),
        new_keys=new_keys,
    )


def show_piece(workshop: Workshop, key: str) -> PieceOnRecordAnswer:
    """What is on record about one piece.

    Raises:
        MarkUnknown, AmbiguousMark, PieceUnknown: no such piece.
    """
    with workshop.database.read() as connection:
        return piece_on_record(connection, key)


def piece_on_record(connection: Connection, key: str) -> PieceOnRecordAnswer:
    """What is on record about the piece that a key, a link or a message names."""
    found = find_mark(connection, key, field="key")
    segment, piece = found.segment, found.piece
    if piece is None:
        raise PieceUnknown(
            f"this mark stands for every piece of {segment.number}",
            field="key",
            value=key,
            todo="Look at the segment for the keys of its pieces",
        )
    revision = cutfiles.revision_by_id(connection, piece.revision_id) if piece.revision_id is not None else None
    kit = kit_of(connection, segment)
    return PieceOnRecordAnswer.model_validate(
        {
            **piece_answer(piece).model_dump(),
            "number": segment.number,
            "place": segment.place,
            "kit": kit.number,
            "kit_status": kit.status,
            "cut_file": segment.cut_file,
            "sha256": revision.sha256 if revision else None,
        }
    )
