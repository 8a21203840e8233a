"""Prove the marks of a finished set: what is read off each piece against the records, piece by piece.

A plate alone says only that such a plate was printed. What is engraved in the same plastic came with the contour, so
the two together say whether the right plate is on the right piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection

from schemas.inspections import InspectionAnswer, InspectionRequest, ProofAnswer, ProofRowAnswer
from service.errors import BadRequest, Contradiction, PieceGone, SetUnknown
from service.store import events, inspections, kits, pieces
from service.store.inspections import InspectionRow
from service.store.values import KitRow, PieceRow, SegmentRow
from service.work.once import NO_RETRY, Retry, once
from service.work.plates import kit_on_record
from service.work.read import Found, find_active
from service.work.workshop import SERVICE, Actor, Workshop

LOOK_AGAIN_MM = 0.5
"""A piece that measures so much off its sheet's nominal thickness is pointed out. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A piece, or a count of like ones, on the bench."""

    segment: SegmentRow
    piece: PieceRow


def prove_marks(
    workshop: Workshop,
    number: str,
    request: InspectionRequest,
    *,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> InspectionAnswer:
    """Hold what was read off one piece against the records and keep the verdict.

    The first look that finds a piece right binds its mark to it; a wrong one stays on record until a right one follows.

    Raises:
        KitUnknown: no such kit.
        MarkUnknown, AmbiguousMark, PlaceVoided, BadCharacter: the plate says nothing that is settled.
        Contradiction: the piece is of another kit or set, or of another batch than is on record.
        PieceGone: it is scrapped.
        BadRequest: the plate stands for pieces of several sets and none is named.
    """
    with workshop.database.write() as connection:

        def work() -> InspectionAnswer:
            kit = kit_on_record(connection, number)
            row = _on_the_bench(connection, kit, request)
            wrong, right = _compare(connection, row, request)
            now = workshop.now()
            last = inspections.last_inspections(connection, [row.piece.id]).get(row.piece.id)
            if not wrong and last is not None and last.verdict == "right":
                right.append(
                    f"it was proved before, on {last.inspected_at[:10]}: if that was another piece, two plates bear "
                    "this mark"
                )
            verdict = "wrong" if wrong else "right"
            binds = verdict == "right" and not inspections.was_bound(connection, row.piece.id)
            found = (*wrong, *right)
            inspections.add_inspection(
                connection,
                InspectionRow(
                    piece_id=row.piece.id,
                    inspected_at=now,
                    inspected_by=actor.name,
                    plate=request.plate,
                    engraving=request.engraving,
                    engraved_revision=request.engraved_revision,
                    thickness_mm=request.thickness_mm,
                    verdict=verdict,
                    found="\n".join(found),
                ),
            )
            batch = _keep_batch(connection, row, request, verdict)
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="bind" if binds else "inspect",
                subject=row.segment.number,
                before={"verdict": last.verdict if last else None, "material_batch": row.piece.material_batch},
                after={
                    "key": row.piece.key,
                    "set": row.piece.set_number,
                    "plate": request.plate,
                    "engraving": request.engraving,
                    "engraved_revision": request.engraved_revision,
                    "thickness_mm": request.thickness_mm,
                    "material_batch": batch,
                    "verdict": verdict,
                    "found": list(found),
                },
            )
            if batch != row.piece.material_batch:
                kits.raise_version(connection, kit.id, None)
            proof = _proof(connection, kit, row.piece.set_number)
            return InspectionAnswer(
                kit=kit.number,
                number=row.segment.number,
                place=row.segment.place,
                key=row.piece.key,
                set=row.piece.set_number,
                verdict="wrong" if wrong else "right",
                found=found,
                inspected_at=now,
                left=proof.wrong + proof.open,
            )

        return once(connection, retry, InspectionAnswer, workshop.now(), work)


def show_proof(workshop: Workshop, number: str, *, set_number: int = 1) -> ProofAnswer:
    """How far the marks of a set are proved.

    Raises:
        KitUnknown: no such kit.
        SetUnknown: the set was never made.
    """
    with workshop.database.read() as connection:
        return _proof(connection, kit_on_record(connection, number), set_number)


def _proof(connection: Connection, kit: KitRow, set_number: int) -> ProofAnswer:
    made = pieces.sets_of_kit(connection, kit.id)
    if set_number not in made:
        raise SetUnknown(
            "this set was never made",
            field="set",
            value=set_number,
            todo=f"Give one of {', '.join(map(str, made))}" if made else "Make a set first",
        )
    rows = [row for row in _rows(connection, kit) if row.piece.set_number == set_number]
    looks = inspections.last_inspections(connection, [row.piece.id for row in rows])
    told = tuple(_row_answer(row, looks.get(row.piece.id)) for row in rows)
    return ProofAnswer(
        kit=kit.number,
        set=set_number,
        right=sum(row.state == "right" for row in told),
        wrong=sum(row.state == "wrong" for row in told),
        open=sum(row.state == "open" for row in told),
        pieces=told,
    )


def _row_answer(row: _Row, look: InspectionRow | None) -> ProofRowAnswer:
    return ProofRowAnswer.model_validate(
        {
            "number": row.segment.number,
            "place": row.segment.place,
            "key": row.piece.key,
            "count": row.piece.count,
            "state": look.verdict if look else "open",
            "inspected_at": look.inspected_at if look else None,
            "inspected_by": look.inspected_by if look else None,
            "found": tuple(look.found.splitlines()) if look else (),
        }
    )


def _rows(connection: Connection, kit: KitRow) -> Iterator[_Row]:
    """The pieces in use and on order that the kit numbered, in assembly order."""
    made = pieces.pieces_of_kit(connection, kit.id)
    for segment in kits.kit_segments(connection, kit.id):
        if not segment.voided:
            yield from (_Row(segment, piece) for piece in made[segment.id] if piece.condition != "scrapped")


def _on_the_bench(connection: Connection, kit: KitRow, request: InspectionRequest) -> _Row:
    """The one piece of this kit whose plate was read."""
    found = find_active(connection, request.plate, field="plate")
    if found.segment.kit_number != kit.number:
        raise Contradiction(
            f"this plate belongs to {found.segment.place} of {found.segment.kit_number}",
            field="plate",
            value=found.segment.number,
            todo=f"Lay the piece aside: it is not of {kit.number}",
        )
    if found.piece is None:
        return _counted(connection, found, request)
    piece = found.piece
    if piece.condition == "scrapped":
        raise PieceGone(
            f"the piece of this plate was scrapped{f' on {piece.ended_at[:10]}' if piece.ended_at else ''}",
            field="plate",
            value=piece.key,
            todo="Print the plate of the piece that took its place",
        )
    if request.set is not None and piece.set_number != request.set:
        raise Contradiction(
            f"this plate belongs to {found.segment.place} of set {piece.set_number}",
            field="plate",
            value=piece.key,
            todo=f"Lay the piece aside: it is not of set {request.set}",
        )
    return _Row(found.segment, piece)


def _counted(connection: Connection, found: Found, request: InspectionRequest) -> _Row:
    """What a plate stands for that names the segment: the only row in use of the set on the bench."""
    rows = [
        piece
        for piece in pieces.pieces_of(connection, found.segment.id)
        if piece.condition != "scrapped" and request.set in (None, piece.set_number)
    ]
    without_key = [piece for piece in rows if piece.key is None]
    # A plate without a piece's key is the plate of the count, where one is left.
    rows = without_key or rows
    if len(rows) != 1:
        raise BadRequest(
            f"{found.segment.place} has {len(rows)} pieces that this plate could stand for",
            field="plate",
            value=found.segment.number,
            todo="Scan the code with the piece's key, or name the set" if rows else "Make the piece first",
        )
    return _Row(found.segment, rows[0])


def _compare(connection: Connection, row: _Row, request: InspectionRequest) -> tuple[list[str], list[str]]:
    """What disagrees, and what agrees or is worth a word."""
    wrong: list[str] = []
    right: list[str] = []
    if request.engraving is None:
        right.append("the plate names this piece; what is engraved was not compared")
    else:
        engraved = find_active(connection, request.engraving, field="engraving")
        if engraved.segment.id != row.segment.id:
            wrong.append(f"the engraving names {engraved.segment.number}, the plate {row.segment.number}")
        elif engraved.piece is not None and engraved.piece.id != row.piece.id:
            wrong.append("the engraved key is that of another piece of this segment")
        else:
            right.append("plate and engraving name this segment")
    if request.engraved_revision is not None:
        built = row.piece.revision
        if built is None:
            right.append(f"revision {request.engraved_revision} is engraved; none is on record for this piece")
        elif built != request.engraved_revision:
            wrong.append(f"revision {request.engraved_revision} is engraved, {built} is on record for this piece")
        else:
            right.append(f"revision {built} as on record")
    if request.thickness_mm is not None:
        right.append(_measured(request.thickness_mm, row.segment.thickness_mm))
    return wrong, right


def _measured(measured_mm: float, nominal_mm: float) -> str:
    off_mm = measured_mm - nominal_mm
    said = f"measures {measured_mm:g} mm, nominal {nominal_mm:g} mm"
    return f"{said}: {abs(off_mm):.2g} mm off, look again" if abs(off_mm) > LOOK_AGAIN_MM else said


def _keep_batch(connection: Connection, row: _Row, request: InspectionRequest, verdict: str) -> str | None:
    """The piece's batch after this look; one that is on record is never changed by a look."""
    on_record = row.piece.material_batch
    if request.material_batch is None or request.material_batch == on_record:
        return on_record
    if on_record is not None:
        raise Contradiction(
            f"this piece is on record as cut from batch {on_record}",
            field="material_batch",
            value=request.material_batch,
            todo="Look at the sheet again, or leave the batch out",
        )
    if verdict == "right":
        inspections.set_material_batch(connection, row.piece.id, request.material_batch)
        return request.material_batch
    return None
