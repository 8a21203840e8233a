"""What happened to a piece that is in use no more, and the rework that was done to one on site."""

from __future__ import annotations

from sqlalchemy import Connection

from schemas.pieces import DeviationRequest, PieceOnRecordAnswer, PiecesAnswer, ScrapCountRequest, ScrapRequest
from service.errors import BadRequest, PieceGone, PieceOnOrder, PieceUnknown
from service.store import events, kits, pieces
from service.store.values import PieceRow
from service.work.once import NO_RETRY, Retry, once
from service.work.read import Found, find_mark
from service.work.track_pieces import counted_in_one_set, piece_on_record, pieces_answer
from service.work.workshop import SERVICE, Actor, Workshop

MOST_DEVIATIONS = 2000
"""How many characters of rework a piece can carry; the work sheet has to show them."""


def scrap_piece(
    workshop: Workshop, key: str, request: ScrapRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> PieceOnRecordAnswer:
    """Scrap one tracked piece; it stays on record with what happened to it.

    Raises:
        MarkUnknown, AmbiguousMark, PieceUnknown: no such piece.
        PieceGone: it is scrapped already.
        PieceOnOrder: it is not fitted yet.
    """
    with workshop.database.write() as connection:

        def work() -> PieceOnRecordAnswer:
            found, piece = _in_use(connection, key, todo="Cancel its reorder")
            now = workshop.now()
            pieces.end_piece(connection, piece.id, kind=request.kind, note=request.note, at=now)
            after = {"key": piece.key, "set": piece.set_number, "condition": "scrapped"}
            _record(connection, now, actor, found, piece, {**after, "end": request.kind, "note": request.note})
            return piece_on_record(connection, key)

        return once(connection, retry, PieceOnRecordAnswer, workshop.now(), work)


def scrap_counted(
    workshop: Workshop, mark: str, request: ScrapCountRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> PiecesAnswer:
    """Scrap some of the pieces of a segment that are only counted.

    Raises:
        MarkUnknown, AmbiguousMark: no such segment.
        BadRequest: several sets are counted and none is named.
        TooFewPieces: there are not so many.
    """
    with workshop.database.write() as connection:

        def work() -> PiecesAnswer:
            found = find_mark(connection, mark, field="number")
            now = workshop.now()
            left = request.count
            for piece in counted_in_one_set(connection, found.segment, request.set, request.count):
                gone = pieces.split_off(connection, piece, left) if piece.count > left else piece
                pieces.end_piece(connection, gone.id, kind=request.kind, note=request.note, at=now)
                after = {"count": gone.count, "set": gone.set_number, "condition": "scrapped"}
                _record(connection, now, actor, found, gone, {**after, "end": request.kind, "note": request.note})
                left -= gone.count
                if left == 0:
                    break
            return pieces_answer(connection, found.segment)

        return once(connection, retry, PiecesAnswer, workshop.now(), work)


def record_deviation(
    workshop: Workshop, key: str, request: DeviationRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> PieceOnRecordAnswer:
    """Add rework done on site to what is on record about a piece.

    Raises:
        MarkUnknown, AmbiguousMark, PieceUnknown: no such piece.
        PieceGone: it is scrapped.
        PieceOnOrder: it is not fitted yet.
        BadRequest: more rework than a work sheet can show.
    """
    with workshop.database.write() as connection:

        def work() -> PieceOnRecordAnswer:
            found, piece = _in_use(connection, key, todo="Record the rework when the piece is fitted")
            whole = "; ".join(filter(None, (piece.deviations, " ".join(request.deviation.split()))))
            if len(whole) > MOST_DEVIATIONS:
                raise BadRequest(
                    f"with this the piece has {len(whole):,} characters of rework, more than {MOST_DEVIATIONS:,}",
                    field="deviation",
                    value=request.deviation,
                    todo="Release a revision that draws the piece as it is now",
                )
            pieces.set_deviations(connection, piece.id, whole)
            events.record(
                connection,
                at=workshop.now(),
                actor=actor.name,
                verb="rework",
                subject=found.segment.number,
                before={"key": piece.key, "deviations": piece.deviations},
                after={"key": piece.key, "deviations": whole},
            )
            kits.raise_version(connection, found.segment.kit_id, None)
            return piece_on_record(connection, key)

        return once(connection, retry, PieceOnRecordAnswer, workshop.now(), work)


def _in_use(connection: Connection, key: str, *, todo: str) -> tuple[Found, PieceRow]:
    """The piece with a key, as long as it is in the machine or lies damaged beside it."""
    found = find_mark(connection, key, field="key")
    piece = found.piece
    if piece is None:
        raise PieceUnknown(
            f"this mark stands for every piece of {found.segment.number}",
            field="key",
            value=key,
            todo="Give the key of the one piece, or have it tracked first",
        )
    if piece.condition == "scrapped":
        raise PieceGone(
            f"it was scrapped{f' on {piece.ended_at[:10]}' if piece.ended_at else ''}",
            field="key",
            value=piece.key,
            todo="Look at the segment for the piece that took its place",
        )
    if piece.condition == "ordered":
        raise PieceOnOrder("it is on order and not fitted yet", field="key", value=piece.key, todo=todo)
    return found, piece


def _record(
    connection: Connection, now: str, actor: Actor, found: Found, piece: PieceRow, after: dict[str, object]
) -> None:
    before = {"key": piece.key, "count": piece.count, "set": piece.set_number, "condition": piece.condition}
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb="scrap",
        subject=found.segment.number,
        before={name: value for name, value in before.items() if name in after},
        after=after,
    )
    kits.raise_version(connection, found.segment.kit_id, None)
