"""How the sets of a kit stand: what is fitted, on order, scrapped, and what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from schemas.pieces import SetListAnswer, SetSummaryAnswer
from service.store import kits, pieces
from service.store.values import PieceRow, SegmentRow
from service.work.plates import kit_on_record
from service.work.workshop import Workshop


def list_sets(workshop: Workshop, number: str) -> SetListAnswer:
    """The sets of a kit and how they stand; raises KitUnknown."""
    with workshop.database.read() as connection:
        kit = kit_on_record(connection, number)
        own = [row for row in kits.kit_segments(connection, kit.id) if not row.voided]
        made = pieces.pieces_of_kit(connection, kit.id)
        return SetListAnswer(
            kit=kit.number,
            sets=tuple(_summary(set_number, own, made) for set_number in pieces.sets_of_kit(connection, kit.id)),
        )


def _summary(set_number: int, own: Sequence[SegmentRow], made: Mapping[int, tuple[PieceRow, ...]]) -> SetSummaryAnswer:
    of_set = [piece for rows in made.values() for piece in rows if piece.set_number == set_number]
    counts = {
        state: sum(piece.count for piece in of_set if piece.condition == state)
        for state in ("fitted", "damaged", "ordered", "scrapped")
    }
    first = min(of_set, key=lambda piece: piece.id)
    return SetSummaryAnswer(
        set=set_number,
        missing=sum(short_by(row, made[row.id], set_number) for row in own),
        made_at=first.made_at,
        material_batch=first.material_batch,
        **counts,
    )


def short_by(segment: SegmentRow, made: Iterable[PieceRow], set_number: int) -> int:
    """How many pieces a set lacks of a segment: neither fitted, nor lying damaged, nor on order."""
    there = sum(piece.count for piece in made if piece.set_number == set_number and piece.condition != "scrapped")
    return max(0, segment.quantity - there)
