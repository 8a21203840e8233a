"""The facts of the marks of a kit or a segment, as they stand on record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import KitUnknown
from service.marks.content import MarkFacts
from service.store import codes, kits, pieces, segments, shop
from service.store.values import KitRow, PieceRow, SegmentRow
from service.work.mark_facts import kit_facts, mark_facts, segment_positions
from service.work.read import Found
from service.work.resolve import kit_of, position_of
from service.work.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Plate:
    """What one mark is for, and what it says."""

    segment: SegmentRow
    piece: PieceRow | None
    facts: MarkFacts


def kit_on_record(connection: Connection, number: str) -> KitRow:
    """A kit by its number in any letter case; raises KitUnknown."""
    kit = kits.find_kit(connection, number.strip().upper())
    if kit is None:
        raise KitUnknown(
            "no kit of this number was ever issued",
            field="kit",
            value=number,
            todo="Write it like OSV4-FC1-A500: plant and line, machine, container",
        )
    return kit


def kit_plates(workshop: Workshop, connection: Connection, number: str) -> tuple[Plate, ...]:
    """The marks of a kit in assembly order, one for each tracked piece, else one for each segment.

    Segments of other kits that serve here bear their own marks already and get none.
    """
    kit = kit_on_record(connection, number)
    common = kit_facts(kit, shop.shop_facts(connection), codes.code_tables(connection), workshop.public_url)
    rows = [row for row in kits.kit_segments(connection, kit.id) if not row.voided]
    positions = segment_positions((row.assembly_id, row.deck, row.ordinal) for row in rows)
    made = pieces.pieces_of_kit(connection, kit.id)
    others = segments.serves_by_segment(connection, [row.id for row in rows])
    plates = []
    for row in rows:
        serves = _without_own(others.get(row.id, ()), row)
        for piece in marked_pieces(made[row.id]):
            facts = mark_facts(
                common,
                row,
                piece=piece,
                position=positions[row.assembly_id, row.deck, row.ordinal],
                serves=serves,
            )
            plates.append(Plate(row, piece, facts))
    return tuple(plates)


def segment_plates(workshop: Workshop, connection: Connection, found: Found) -> tuple[Plate, ...]:
    """The marks of one segment: of the piece whose key was given, else of its fitted pieces."""
    chosen = [found.piece] if found.piece is not None else None
    row = found.segment
    return tuple(
        plate_of(workshop, connection, row, piece)
        for piece in (chosen or marked_pieces(pieces.pieces_of(connection, row.id)))
    )


def plate_of(workshop: Workshop, connection: Connection, row: SegmentRow, piece: PieceRow | None) -> Plate:
    """The mark of one piece, or of all pieces of a segment."""
    common = kit_facts(
        kit_of(connection, row), shop.shop_facts(connection), codes.code_tables(connection), workshop.public_url
    )
    facts = mark_facts(
        common, row, piece=piece, position=position_of(connection, row), serves=other_kits(connection, row)
    )
    return Plate(row, piece, facts)


def marked_pieces(made: Sequence[PieceRow]) -> list[PieceRow | None]:
    """The pieces that bear a mark of their own; one None for a mark that stands for all pieces.

    A piece that is not in the machine, because it is only ordered or already scrapped, bears none of these.
    """
    tracked: list[PieceRow | None] = [piece for piece in made if piece.key is not None and piece.condition == "fitted"]
    if any(piece.key is None and piece.condition == "fitted" for piece in made):
        tracked.insert(0, None)
    return tracked or [None]


def other_kits(connection: Connection, row: SegmentRow) -> tuple[str, ...]:
    """The other kits that a segment serves."""
    return _without_own(segments.serves(connection, row.id), row)


def _without_own(numbers: tuple[str, ...], row: SegmentRow) -> tuple[str, ...]:
    return tuple(number for number in numbers if number != row.kit_number)
