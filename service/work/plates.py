"""The facts of the marks of a kit or a segment, as they stand on record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import KitUnknown, SetUnknown
from service.marks.content import MarkFacts
from service.store import codes, kits, pieces, segments, shop
from service.store.values import KitRow, PieceRow, SegmentRow
from service.work.mark_facts import kit_facts, mark_facts, segment_positions
from service.work.read import Found
from service.work.resolve import kit_of, position_of
from service.work.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Plate:
    """What one mark is for, and what it says.

    A ``piece`` without a key stands for all that were cut alike and are only counted.
    """

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


def kit_plates(
    workshop: Workshop, connection: Connection, number: str, *, set_number: int | None = None
) -> tuple[Plate, ...]:
    """The marks of a kit in assembly order, one for each tracked piece, else one for each segment.

    Segments of other kits that serve here bear their own marks already and get none. With a set named, only what is
    fitted of that set is marked.

    Raises:
        KitUnknown: no such kit.
        SetUnknown: no such set.
    """
    kit = kit_on_record(connection, number)
    if set_number is not None:
        sets = pieces.sets_of_kit(connection, kit.id)
        if set_number not in sets:
            raise SetUnknown(
                f"no such set of {kit.number} was made",
                field="set",
                value=set_number,
                todo=f"Name one of {', '.join(map(str, sets))}",
            )
    rows = [row for row in kits.kit_segments(connection, kit.id) if not row.voided]
    common = kit_facts(
        kit, shop.shop_facts(connection), codes.code_tables(connection), workshop.public_url, segments=rows
    )
    positions = segment_positions((row.assembly_id, row.deck, row.ordinal) for row in rows)
    made = pieces.pieces_of_kit(connection, kit.id)
    others = segments.serves_by_segment(connection, [row.id for row in rows])
    plates = []
    for row in rows:
        serves = _without_own(others.get(row.id, ()), row)
        for piece in marked_pieces(made[row.id], set_number=set_number):
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
        kit_of(connection, row),
        shop.shop_facts(connection),
        codes.code_tables(connection),
        workshop.public_url,
        segments=kits.kit_segments(connection, row.kit_id),
    )
    facts = mark_facts(
        common, row, piece=piece, position=position_of(connection, row), serves=other_kits(connection, row)
    )
    return Plate(row, piece, facts)


def marked_pieces(made: Sequence[PieceRow], *, set_number: int | None = None) -> list[PieceRow | None]:
    """The pieces that bear a mark of their own, before them one of each revision of those that are only counted.

    A piece that is not in the machine, because it is only ordered or already scrapped, bears none of these. Where
    nothing is fitted the segment has one mark all the same, unless a set is named: nothing of that set is to be marked.
    """
    fitted = [piece for piece in made if piece.condition == "fitted" and set_number in (None, piece.set_number)]
    counted = {piece.revision_id: piece for piece in reversed(fitted) if piece.key is None}
    chosen: list[PieceRow | None] = [*sorted(counted.values(), key=lambda piece: (piece.set_number, piece.id))]
    chosen += [piece for piece in fitted if piece.key is not None]
    return chosen or ([None] if set_number is None else [])


def other_kits(connection: Connection, row: SegmentRow) -> tuple[str, ...]:
    """The other kits that a segment serves."""
    return _without_own(segments.serves(connection, row.id), row)


def _without_own(numbers: tuple[str, ...], row: SegmentRow) -> tuple[str, ...]:
    return tuple(number for number in numbers if number != row.kit_number)
