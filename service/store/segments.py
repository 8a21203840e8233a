"""Segments: found by number, key and place; corrected and voided, never deleted."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, bindparam, case, func, or_, select, update
from sqlalchemy.orm import aliased

from service.store.chunks import chunks
from service.store.tables import Assembly, CutFile, IssuedKey, Joint, Kit, Revision, Segment, SharedSegment, table_of
from service.store.values import JointRow, KeyOwner, SegmentEnd, SegmentRow

SEGMENTS = (
    select(
        Segment.id,
        Segment.number,
        Segment.key,
        Segment.kit_id,
        Kit.number.label("kit_number"),
        Segment.assembly_id,
        Assembly.code,
        Assembly.ordinal,
        Assembly.name,
        Assembly.position,
        Segment.deck,
        Segment.ordinal,
        Segment.quantity,
        Segment.hand,
        Segment.material,
        Segment.stock_colour,
        Segment.thickness_mm,
        Segment.measured_thickness_mm,
        Segment.mass_kg,
        Segment.marked_face,
        Segment.cut_file_id,
        CutFile.name,
        Segment.revision_id,
        Revision.letter,
        Segment.status,
        Segment.void_reason,
    )
    .join(Kit, Kit.id == Segment.kit_id)
    .join(Assembly, Assembly.id == Segment.assembly_id)
    .join(CutFile, CutFile.id == Segment.cut_file_id)
    .join(Revision, Revision.id == Segment.revision_id)
)
"""Every segment, in the columns of a ``SegmentRow``; narrow it with ``where``."""

# Decks from the machine's table upward; a deck that the shop added comes before "none", by its letters.
_DECK = case({"L": 1, "M": 2, "U": 3, "K": 4, "X": 6}, value=Segment.deck, else_=5)
MACHINE_ORDER = (Assembly.position, Assembly.id, _DECK, Segment.deck, Segment.ordinal)
"""The order in which a kit is put in: assembly, deck, ordinal."""

_BY_NUMBER = SEGMENTS.where(Segment.number == bindparam("number"))
_BY_ID = SEGMENTS.where(Segment.id == bindparam("id"))
_BY_KEY = (
    select(IssuedKey.key, IssuedKey.segment_id, Segment.number, IssuedKey.piece_id)
    .join(Segment, Segment.id == IssuedKey.segment_id)
    .where(IssuedKey.key == bindparam("key"))
)

_CORRECTABLE = frozenset(
    {
        "quantity",
        "hand",
        "material",
        "stock_colour",
        "thickness_mm",
        "measured_thickness_mm",
        "mass_kg",
        "marked_face",
        "cut_file_id",
        "revision_id",
    }
)


def segment_rows(
    connection: Connection, query: Select[*tuple[Any, ...]], parameters: Mapping[str, object] | None = None
) -> tuple[SegmentRow, ...]:
    """The answer to a query made from ``SEGMENTS``."""
    return tuple(SegmentRow(*row) for row in connection.execute(query, parameters or {}))


def find_segment(connection: Connection, number: str) -> SegmentRow | None:
    """The segment with a number as it is printed, voided or not."""
    return next(iter(segment_rows(connection, _BY_NUMBER, {"number": number})), None)


def segment_by_id(connection: Connection, segment_id: int) -> SegmentRow | None:
    """The segment with a row id."""
    return next(iter(segment_rows(connection, _BY_ID, {"id": segment_id})), None)


def segments_by_ids(connection: Connection, segment_ids: Collection[int]) -> dict[int, SegmentRow]:
    """Segments by row id; ids that are not on record are left out."""
    return {
        row.id: row
        for some in chunks(segment_ids)
        for row in segment_rows(connection, SEGMENTS.where(Segment.id.in_(some)))
    }


def key_owner(connection: Connection, key: str) -> KeyOwner | None:
    """What a key of eight symbols stands for."""
    row = connection.execute(_BY_KEY, {"key": key}).one_or_none()
    return None if row is None else KeyOwner(*row)


def keys_taken(connection: Connection, keys: Collection[str]) -> frozenset[str]:
    """Which of these keys were ever given."""
    return frozenset(
        key for some in chunks(keys) for key in connection.scalars(select(IssuedKey.key).where(IssuedKey.key.in_(some)))
    )


def serves(connection: Connection, segment_id: int) -> tuple[str, ...]:
    """The numbers of the other kits that a segment serves besides the one that numbered it, retired ones left out."""
    return tuple(
        connection.scalars(
            select(Kit.number)
            .join(SharedSegment, SharedSegment.kit_id == Kit.id)
            .where(SharedSegment.segment_id == segment_id, Kit.status != "retired")
            .order_by(Kit.id)
        )
    )


def serves_by_segment(connection: Connection, segment_ids: Collection[int]) -> dict[int, tuple[str, ...]]:
    """The same for many segments at once, by row id; those that serve no other kit are left out."""
    found: dict[int, list[str]] = {}
    for some in chunks(segment_ids):
        for segment_id, number in connection.execute(
            select(SharedSegment.segment_id, Kit.number)
            .join(Kit, Kit.id == SharedSegment.kit_id)
            .where(SharedSegment.segment_id.in_(some))
            .order_by(Kit.id)
        ):
            found.setdefault(segment_id, []).append(number)
    return {segment_id: tuple(numbers) for segment_id, numbers in found.items()}


def joints_of(connection: Connection, segment_id: int) -> tuple[JointRow, ...]:
    """The joints of one segment, those to voided neighbours too."""
    return _joints(connection, or_(Joint.first_id == segment_id, Joint.second_id == segment_id))


def kit_joints(connection: Connection, kit_id: int) -> tuple[JointRow, ...]:
    """The joints of every segment that a kit numbered, those to shared segments of other kits too."""
    own = select(Segment.id).where(Segment.kit_id == kit_id).scalar_subquery()
    return _joints(connection, or_(Joint.first_id.in_(own), Joint.second_id.in_(own)))


def joined_to(connection: Connection, segment_ids: Collection[int]) -> dict[int, tuple[int, ...]]:
    """The row ids of all that lock into each of these segments; of none for those without a joint."""
    found: dict[int, list[int]] = {id_: [] for id_ in segment_ids}
    for some in chunks(segment_ids):
        pairs = connection.execute(
            select(Joint.first_id, Joint.second_id).where(or_(Joint.first_id.in_(some), Joint.second_id.in_(some)))
        ).all()
        here = set(some)
        for first, second in pairs:
            for one, other in ((first, second), (second, first)):
                if one in here:
                    found[one].append(other)
    return {id_: tuple(others) for id_, others in found.items()}


def _joints(connection: Connection, condition: ColumnElement[bool]) -> tuple[JointRow, ...]:
    first, second = aliased(Segment), aliased(Segment)
    first_assembly, second_assembly = aliased(Assembly), aliased(Assembly)
    query = (
        select(
            Joint.id, Joint.form, Joint.clearance_mm, Joint.inferred,
            first.id, first.number, first_assembly.code, first_assembly.ordinal, first.deck, first.ordinal,
            second.id, second.number, second_assembly.code, second_assembly.ordinal, second.deck, second.ordinal,
        )
        .join(first, first.id == Joint.first_id)
        .join(first_assembly, first_assembly.id == first.assembly_id)
        .join(second, second.id == Joint.second_id)
        .join(second_assembly, second_assembly.id == second.assembly_id)
        .where(condition)
        .order_by(Joint.id)
    )  # fmt: skip
    rows: Iterable[Sequence[Any]] = connection.execute(query)
    return tuple(JointRow(row[0], _end(*row[4:10]), _end(*row[10:16]), row[1], row[2], row[3]) for row in rows)


def _end(id_: int, number: str, code: str, assembly_ordinal: int, deck: str, ordinal: int) -> SegmentEnd:
    return SegmentEnd(id_, number, f"{code}{assembly_ordinal}-{deck}{ordinal}")


def correct_segment(connection: Connection, segment_id: int, changes: Mapping[str, object]) -> None:
    """Change facts that no number and no key depends on, and that stand on no mark yet.

    Raises:
        KeyError: a column that is never corrected (number, key, place, kit, status).
    """
    forbidden = set(changes) - _CORRECTABLE
    if forbidden:
        raise KeyError(*sorted(forbidden))
    if changes:
        segment = table_of(Segment)
        connection.execute(update(segment).where(segment.c.id == segment_id).values(dict(changes)))


def void_segment(connection: Connection, segment_id: int, reason: str) -> None:
    """Give a place up; its number stays spent for ever."""
    segment = table_of(Segment)
    connection.execute(update(segment).where(segment.c.id == segment_id).values(status="voided", void_reason=reason))


def highest_ordinal(connection: Connection, assembly_id: int, deck: str) -> int:
    """The highest ordinal that was ever given on a deck of an assembly, voided ones too; 0 when there is none."""
    query = select(func.max(Segment.ordinal)).where(Segment.assembly_id == assembly_id, Segment.deck == deck)
    return connection.scalar(query) or 0


def places(connection: Connection, kit_id: int) -> dict[str, int]:
    """Every place of a kit, for example ``SW2-U3``, with its segment's row id; voided ones too, in machine order."""
    rows = connection.execute(
        select(Assembly.code, Assembly.ordinal, Segment.deck, Segment.ordinal, Segment.id)
        .join(Assembly, Assembly.id == Segment.assembly_id)
        .where(Segment.kit_id == kit_id)
        .order_by(*MACHINE_ORDER)
    )
    return {f"{code}{assembly_ordinal}-{deck}{ordinal}": id_ for code, assembly_ordinal, deck, ordinal, id_ in rows}
