"""Kits as they stand on record: one whole, and the list of them."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from schemas.answers import (
    JointAnswer,
    KitAnswer,
    KitListAnswer,
    KitSegmentAnswer,
    KitSummaryAnswer,
)
from service.store import containers, kits, pieces, segments, sharing
from service.store.values import PieceRow, SegmentRow
from service.work.plates import kit_on_record
from service.work.reuse import reasons_to_check
from service.work.shown import piece_answer
from service.work.workshop import Workshop


def show_kit(workshop: Workshop, number: str) -> KitAnswer:
    """A kit with every segment, places that were given up included; raises KitUnknown."""
    with workshop.database.read() as connection:
        return kit_answer(connection, number)


def kit_version(workshop: Workshop, number: str) -> int:
    """How often the kit's record was changed; stands behind its ETag."""
    with workshop.database.read() as connection:
        return kit_on_record(connection, number).version


def kit_answer(connection: Connection, number: str) -> KitAnswer:
    """A kit with every segment, from one moment of the records."""
    kit = kit_on_record(connection, number)
    made = pieces.pieces_of_kit(connection, kit.id)
    shared = kits.shared_into(connection, kit.id)
    retirement = sharing.retirement_of(connection, kit.id)
    return KitAnswer(
        number=kit.number,
        status="retired" if kit.status == "retired" else "issued",
        findings=(),
        customer=kit.plant.customer,
        plant=kit.plant.name,
        line=kit.born_line.name,
        line_now=kit.stands_on,
        machine=kit.machine.name,
        container=kit.container.name,
        container_code=kit.container.code,
        rotation=kit.machine.rotation,
        check_before_reuse=reasons_to_check(connection, kit),
        serves=tuple(row.code for row in containers.further_containers(connection, kit.id)),
        stock_colour=kit.stock_colour,
        issued_at=kit.issued_at,
        retired_at=retirement.retired_at if retirement else None,
        retired_reason=retirement.reason if retirement else None,
        leaned_on_by=tuple(dict.fromkeys(row.kit_number for row in sharing.leaning_on(connection, kit.id))),
        sets=pieces.sets_of_kit(connection, kit.id),
        segments=(
            *(_segment(row, made[row.id]) for row in kits.kit_segments(connection, kit.id)),
            *(_segment(row, (), shared=True) for row in shared),
        ),
        joints=tuple(
            JointAnswer(
                between=(joint.first.number, joint.second.number),
                form=joint.form,
                clearance_mm=joint.clearance_mm,
                inferred=joint.inferred,
            )
            for joint in segments.kit_joints(connection, kit.id)
        ),
    )


def _segment(row: SegmentRow, made: Sequence[PieceRow], *, shared: bool = False) -> KitSegmentAnswer:
    return KitSegmentAnswer(
        number=row.number,
        key=row.key,
        place=row.place,
        assembly=row.assembly_name,
        cut_file=row.cut_file,
        revision=row.revision,
        quantity=row.quantity,
        material=row.material,
        thickness_mm=row.thickness_mm,
        mass_kg=row.mass_kg,
        stock_colour=row.stock_colour,
        hand=row.hand,
        status="shared" if shared else "voided" if row.voided else "active",
        pieces=tuple(piece_answer(piece) for piece in made if piece.key is not None),
    )


def list_kits(workshop: Workshop, *, after: str | None, limit: int) -> KitListAnswer:
    """A page of kits, the newest first; raises BadRequest when ``after`` is no kit."""
    with workshop.database.read() as connection:
        rows = kits.kit_page(connection, after=after, limit=limit)
    return KitListAnswer(
        kits=tuple(
            KitSummaryAnswer(
                number=row.number,
                container=row.container_name,
                machine=row.machine_code,
                plant=row.plant,
                customer=row.customer,
                line_now=row.line.name if row.line else None,
                stock_colour=row.stock_colour,
                segments=row.segments,
                status=row.status,
                issued_at=row.issued_at,
            )
            for row in rows
        )
    )
