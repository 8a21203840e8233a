"""A kit that is written, whole. Its numbers and keys are chosen before; here they only become rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter

from sqlalchemy import Connection, insert, select

from service.errors import NumberUnknown
from service.store.batches import insert_batch
from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import (
    Assembly,
    IssuedKey,
    Joint,
    Kit,
    KitContainer,
    Piece,
    Segment,
    SharedSegment,
    table_of,
)

_ASSEMBLY = ("id", "kit_id", "code", "ordinal", "name", "position")
# What a new segment says of itself, and what its kit and its being new say.
_OF_SEGMENT = (
    "number",
    "key",
    "deck",
    "ordinal",
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
)
_SEGMENT = ("id", "kit_id", "assembly_id", "status", *_OF_SEGMENT)
_OF_PIECE = (
    "key",
    "set_number",
    "count",
    "revision_id",
    "made_at",
    "material_batch",
    "deviations",
    "condition",
)
_PIECE = ("id", "segment_id", *_OF_PIECE)
_KEY = ("key", "segment_id", "piece_id")
_JOINT = ("id", "first_id", "second_id", "form", "clearance_mm", "inferred")


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPiece:
    """A piece of a new segment: one with a key, or ``count`` like ones without."""

    key: str | None
    set_number: int
    count: int = 1
    revision_id: int | None
    condition: str
    made_at: str | None = None
    material_batch: str | None = None
    deviations: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSegment:
    """A segment with its number and key as they will be printed for ever."""

    number: str
    key: str
    deck: str
    ordinal: int
    quantity: int
    hand: str | None = None
    material: str
    stock_colour: str
    thickness_mm: float
    measured_thickness_mm: float | None = None
    mass_kg: float
    marked_face: str | None = None
    cut_file_id: int
    revision_id: int
    pieces: Sequence[NewPiece] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewAssembly:
    """An assembly with its segments; ``position`` is its place in the order of the manifest."""

    code: str
    ordinal: int
    name: str
    position: int
    segments: Sequence[NewSegment]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewJoint:
    """A joint between two segments by number, of the new kit or on record; the order of the two says nothing."""

    first: str
    second: str
    form: str | None = None
    clearance_mm: float | None = None
    inferred: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NewKit:
    """A kit as it is issued.

    Attributes:
        number: kit number, for example ``OSV4-FC1-A500``.
        machine_id: the machine that it is for.
        container_id: its primary container.
        stock_colour: the colour of its plates.
        issued_at: when, ISO 8601 in UTC.
        assemblies: everything that is cut for it.
        joints: the interlocking edges.
        shared_segment_ids: segments of other kits that this kit uses too.
        further_container_ids: containers that it runs besides the primary one.
    """

    number: str
    machine_id: int
    container_id: int
    stock_colour: str
    issued_at: str
    assemblies: Sequence[NewAssembly]
    joints: Sequence[NewJoint] = ()
    shared_segment_ids: Sequence[int] = ()
    further_container_ids: Sequence[int] = ()


def add_kit(connection: Connection, new: NewKit) -> int:
    """Write a kit whole, a handful of batches whatever its size; its row id.

    Raises:
        NumberUnknown: a joint names a number that is neither in the kit nor on record.
        sqlalchemy.exc.IntegrityError: a number, place or key is taken. Nothing of the transaction may be kept then.
    """
    kit_id = next_id(connection, Kit)
    connection.execute(
        insert(table_of(Kit)),
        {
            "id": kit_id,
            "number": new.number,
            "machine_id": new.machine_id,
            "container_id": new.container_id,
            "stock_colour": new.stock_colour,
            "status": "issued",
            "issued_at": new.issued_at,
            "version": 1,
        },
    )
    insert_batch(connection, KitContainer, ("kit_id", "container_id"), [(kit_id, x) for x in new.further_container_ids])
    insert_batch(connection, SharedSegment, ("kit_id", "segment_id"), [(kit_id, x) for x in new.shared_segment_ids])
    add_segments(connection, kit_id, new.assemblies, new.joints)
    return kit_id


def add_segments(
    connection: Connection, kit_id: int, assemblies: Sequence[NewAssembly], joints: Sequence[NewJoint] = ()
) -> None:
    """Write further segments of a kit. An assembly that the kit has already (same code and ordinal) is kept as it is.

    Raises:
        NumberUnknown: a joint names a number that is neither among these segments nor on record.
        sqlalchemy.exc.IntegrityError: a number, place or key is taken. Nothing of the transaction may be kept then.
    """
    known = select(Assembly.code, Assembly.ordinal, Assembly.id).where(Assembly.kit_id == kit_id)
    assembly_ids = {(code, ordinal): id_ for code, ordinal, id_ in connection.execute(known)}
    fresh = [assembly for assembly in assemblies if (assembly.code, assembly.ordinal) not in assembly_ids]
    rows: list[tuple[object, ...]] = []
    for id_, assembly in enumerate(fresh, next_id(connection, Assembly)):
        assembly_ids[assembly.code, assembly.ordinal] = id_
        rows.append((id_, kit_id, assembly.code, assembly.ordinal, assembly.name, assembly.position))
    insert_batch(connection, Assembly, _ASSEMBLY, rows)

    placed = [
        (assembly_ids[assembly.code, assembly.ordinal], segment)
        for assembly in assemblies
        for segment in assembly.segments
    ]
    segment_ids = _add_placed(connection, kit_id, placed)
    _add_joints(connection, joints, segment_ids)


def _add_placed(connection: Connection, kit_id: int, placed: Sequence[tuple[int, NewSegment]]) -> dict[str, int]:
    """Segments with their pieces and the keys of both; row ids by number."""
    of_segment, of_piece = attrgetter(*_OF_SEGMENT), attrgetter(*_OF_PIECE)
    segment_ids: dict[str, int] = {}
    segments: list[tuple[object, ...]] = []
    pieces: list[tuple[object, ...]] = []
    keys: list[tuple[object, ...]] = []
    next_piece = next_id(connection, Piece)
    for id_, (assembly_id, segment) in enumerate(placed, next_id(connection, Segment)):
        segment_ids[segment.number] = id_
        segments.append((id_, kit_id, assembly_id, "active", *of_segment(segment)))
        keys.append((segment.key, id_, None))
        for piece_id, piece in enumerate(segment.pieces, next_piece):
            pieces.append((piece_id, id_, *of_piece(piece)))
            if piece.key is not None:
                keys.append((piece.key, id_, piece_id))
        next_piece += len(segment.pieces)
    insert_batch(connection, Segment, _SEGMENT, segments)
    insert_batch(connection, Piece, _PIECE, pieces)
    insert_batch(connection, IssuedKey, _KEY, keys)
    return segment_ids


def _add_joints(connection: Connection, joints: Sequence[NewJoint], segment_ids: Mapping[str, int]) -> None:
    named = {number for joint in joints for number in (joint.first, joint.second)}
    ids = {
        number: id_
        for some in chunks(named - segment_ids.keys())
        for number, id_ in connection.execute(select(Segment.number, Segment.id).where(Segment.number.in_(some)))
    } | dict(segment_ids)
    missing = sorted(named - ids.keys())
    if missing:
        raise NumberUnknown(
            "a joint names a segment that is not on record",
            field="joints",
            value=missing[0],
            todo="Name two segments of this kit, or one that it shares",
        )
    rows: list[tuple[object, ...]] = []
    for id_, joint in enumerate(joints, next_id(connection, Joint)):
        first, second = sorted((ids[joint.first], ids[joint.second]))
        rows.append((id_, first, second, joint.form, joint.clearance_mm, joint.inferred))
    insert_batch(connection, Joint, _JOINT, rows)
