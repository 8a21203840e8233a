"""Order one broken segment again: decide the revision to cut, and give the new piece its own key."""

from __future__ import annotations

import json

from sqlalchemy import Connection

from schemas.answers import AlsoCutAnswer, CutAnswer, ReorderAnswer
from schemas.requests import ReorderRequest
from service.errors import ReorderClosed, ReorderUnknown
from service.rules.revisions import Situation, decide
from service.store import cutfiles, events, pieces, reorders, segments
from service.store.values import PieceRow, ReorderRow, RevisionRow
from service.work.damaged import damaged_piece
from service.work.issue import fresh_keys
from service.work.members import members_around, surviving
from service.work.once import NO_RETRY, Retry, once
from service.work.out_of_use import refuse_retired
from service.work.read import find_active
from service.work.workshop import SERVICE, Actor, Workshop


def reorder(
    workshop: Workshop, request: ReorderRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> ReorderAnswer:
    """Decide, give the new pieces their keys, and write the reorder, in one transaction.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the damaged segment or a survivor is not settled.
        KitRetired: the kit is out of use, and no reason is given.
        SetUnknown: a set is named that was never made.
        BadRequest: a survivor is no neighbour, or the named piece belongs to another set.
    """
    with workshop.database.write() as connection:

        def work() -> ReorderAnswer:
            return _order(workshop, connection, request, actor)

        return once(connection, retry, ReorderAnswer, workshop.now(), work)


def _order(workshop: Workshop, connection: Connection, request: ReorderRequest, actor: Actor) -> ReorderAnswer:
    found = find_active(connection, request.mark)
    segment = found.segment
    now = workshop.now()
    refuse_retired(connection, segment.kit_number, what="reorder", override=request.override, actor=actor, now=now)
    broken = damaged_piece(connection, found, request.set)
    damaged = broken.piece
    survivors = surviving(connection, segment, request.survivors)
    around = members_around(connection, segment, damaged=damaged, set_number=request.set, survivors=survivors)
    decision = decide(
        Situation(
            damaged=segment.number,
            members=around.members,
            joints=around.joints,
            deviations=(damaged.deviations or "") if damaged else "",
            why_unknown=broken.why_unknown,
            prefer=request.prefer,
        )
    )
    others = tuple(row.id for row in reorders.open_reorders(connection, segment.id))
    set_number = damaged.set_number if damaged else request.set or 1
    revision: RevisionRow | None = None
    new_pieces: list[PieceRow] = []
    if decision.revision is not None:
        revision = _released(connection, segment.cut_file, decision.revision)
        new_pieces = _ordered(connection, segment.id, revision.id, set_number, request.quantity)
    also_cut = []
    for cut in decision.also_cut:
        release = _released(connection, cut.cut_file, cut.revision)
        ordered = _ordered(connection, around.rows[cut.number].id, release.id, set_number, request.quantity)
        also_cut.append(
            {
                "number": cut.number,
                "place": cut.place,
                "cut_file": cut.cut_file,
                "revision": cut.revision,
                "sha256": release.sha256,
                "keys": [piece.key for piece in ordered],
            }
        )
    neighbours = {joint.other(segment.id).number for joint in segments.joints_of(connection, segment.id)}
    details = {
        "reasons": [*broken.said, *decision.reasons],
        "also_cut": also_cut,
        "keys": [piece.key for piece in new_pieces],
        "survivors": sorted(neighbours if survivors is None else survivors),
        "open_orders": list(others),
        "set": set_number if new_pieces else None,
        "override": request.override,
    }
    id_ = reorders.add_reorder(
        connection,
        segment_id=segment.id,
        damaged_piece_id=damaged.id if damaged else None,
        new_piece_id=new_pieces[0].id if new_pieces else None,
        quantity=request.quantity,
        reason=request.reason,
        prefer=request.prefer,
        outcome=decision.outcome,
        revision_id=revision.id if revision else None,
        decision=json.dumps(details, sort_keys=True, ensure_ascii=False),
        ordered_at=now,
    )
    row = reorders.find_reorder(connection, id_)
    assert row is not None
    answer = reorder_answer(row)
    told = {"at": now, "actor": actor.name, "subject": segment.number}
    broke = {"key": damaged.key if damaged else None, "set": set_number, "reason": request.reason, "mark": request.mark}
    events.record_many(
        connection,
        (
            events.NewEvent(verb="damage", before=_state(damaged), after=broke, **told),
            events.NewEvent(verb="reorder", after=answer.model_dump(mode="json"), **told),
        ),
    )
    return answer


def _state(damaged: PieceRow | None) -> dict[str, object] | None:
    """What was on record of the damaged piece, where it is known which one that is."""
    if damaged is None:
        return None
    return {"key": damaged.key, "condition": damaged.condition, "revision": damaged.revision}


def _released(connection: Connection, cut_file: str, letter: str) -> RevisionRow:
    row = cutfiles.find_revision(connection, cut_file, letter)
    assert row is not None
    return row


def _ordered(
    connection: Connection, segment_id: int, revision_id: int, set_number: int, quantity: int
) -> list[PieceRow]:
    """New pieces, each with its own key whatever the quantity, so that their revision stays known."""
    return [
        pieces.add_piece(
            connection,
            segment_id=segment_id,
            key=key,
            set_number=set_number,
            revision_id=revision_id,
            condition="ordered",
        )
        for key in fresh_keys(connection, quantity)
    ]


def reorder_answer(row: ReorderRow) -> ReorderAnswer:
    """A reorder as it crosses the edge."""
    details = json.loads(row.decision)
    cut = None
    if row.cut_file is not None and row.revision is not None and row.sha256 is not None:
        cut = CutAnswer(cut_file=row.cut_file, revision=row.revision, sha256=row.sha256)
    return ReorderAnswer.model_validate(
        {
            "id": row.id,
            "number": row.number,
            "key": row.new_key,
            "keys": tuple(details["keys"]),
            "outcome": row.outcome,
            "cut": cut,
            "also_cut": tuple(AlsoCutAnswer(**also) for also in details["also_cut"]),
            "reasons": tuple(details["reasons"]),
            "quantity": row.quantity,
            "reason": row.reason,
            "prefer": row.prefer,
            "survivors": tuple(details["survivors"]),
            "state": row.state,
            "ordered_at": row.ordered_at,
            "open_orders": tuple(details["open_orders"]),
            # Not said in decisions of earlier days.
            "set": details.get("set"),
            "override": details.get("override"),
        }
    )


def reorder_on_record(connection: Connection, reorder_id: int) -> ReorderRow:
    """A reorder by its id; raises ReorderUnknown."""
    row = reorders.find_reorder(connection, reorder_id)
    if row is None:
        raise ReorderUnknown(
            "no reorder has this id", field="id", value=reorder_id, todo="Look it up in the list of reorders"
        )
    return row


def show_reorder(workshop: Workshop, reorder_id: int) -> ReorderAnswer:
    """A reorder by its id; raises ReorderUnknown."""
    with workshop.database.read() as connection:
        return reorder_answer(reorder_on_record(connection, reorder_id))


def list_reorders(workshop: Workshop, *, after: int | None, limit: int) -> tuple[ReorderAnswer, ...]:
    """A page of reorders, the newest first."""
    with workshop.database.read() as connection:
        return tuple(reorder_answer(row) for row in reorders.reorder_page(connection, after=after, limit=limit))


def require_open(row: ReorderRow) -> None:
    """Raises ReorderClosed unless the reorder is open."""
    if row.state != "open":
        raise ReorderClosed(
            f"this reorder is already {row.state}", field="id", value=row.id, todo="Order the segment again if it broke"
        )
