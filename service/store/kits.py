"""Kits: found by number, listed newest first, written whole (see ``new_kit.py``)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, and_, bindparam, func, select, update
from sqlalchemy.orm import aliased

from service.errors import BadRequest
from service.store.containers import CONTAINER_COLUMNS
from service.store.new_kit import NewAssembly, NewJoint, NewKit, NewPiece, NewSegment, add_kit, add_segments
from service.store.segments import MACHINE_ORDER, SEGMENTS, segment_rows
from service.store.tables import (
    Assembly,
    Container,
    Customer,
    Kit,
    Line,
    Machine,
    Placement,
    Plant,
    Segment,
    SharedSegment,
    table_of,
)
from service.store.values import (
    AssemblyRow,
    ContainerRow,
    KitRow,
    KitSummary,
    LineRow,
    MachineRow,
    PlantRow,
    SegmentRow,
)

__all__ = [
    "NewAssembly",
    "NewJoint",
    "NewKit",
    "NewPiece",
    "NewSegment",
    "add_kit",
    "add_segments",
    "find_kit",
    "kit_assemblies",
    "kit_page",
    "kit_segments",
    "raise_version",
    "shared_into",
]

_Now = aliased(Line)
_NowPlant = aliased(Plant)
_OPEN_PLACEMENT = and_(Placement.machine_id == Machine.id, Placement.until_at.is_(None))

_KIT = (
    select(
        Kit.id, Kit.number, Kit.stock_colour, Kit.status, Kit.issued_at, Kit.version,
        Machine.id, Machine.born_line_id, Machine.machine_class, Machine.ordinal, Machine.name, Machine.rotation,
        Line.id, Line.plant_id, Line.ordinal, Line.name,
        _Now.id, _Now.plant_id, _Now.ordinal, _Now.name,
        Plant.id, Plant.code, Plant.name, Plant.customer_id, Customer.name,
        _NowPlant.name,
        *CONTAINER_COLUMNS,
    )
    .join(Machine, Machine.id == Kit.machine_id)
    .join(Line, Line.id == Machine.born_line_id)
    .join(Plant, Plant.id == Line.plant_id)
    .join(Customer, Customer.id == Plant.customer_id)
    .join(Container, Container.id == Kit.container_id)
    .outerjoin(Placement, _OPEN_PLACEMENT)
    .outerjoin(_Now, _Now.id == Placement.line_id)
    .outerjoin(_NowPlant, _NowPlant.id == _Now.plant_id)
    .where(Kit.number == bindparam("number"))
)  # fmt: skip

_SEGMENT_COUNT = (
    select(func.count()).where(Segment.kit_id == Kit.id, Segment.status == "active").correlate(Kit).scalar_subquery()
)
_SUMMARIES = (
    select(
        Kit.number, Container.name, Machine.machine_class, Machine.ordinal,
        func.coalesce(_NowPlant.name, Plant.name), Customer.name,
        _Now.id, _Now.plant_id, _Now.ordinal, _Now.name,
        Kit.stock_colour, _SEGMENT_COUNT, Kit.issued_at, Kit.status,
    )
    .join(Machine, Machine.id == Kit.machine_id)
    .join(Line, Line.id == Machine.born_line_id)
    .join(Plant, Plant.id == Line.plant_id)
    .join(Customer, Customer.id == Plant.customer_id)
    .join(Container, Container.id == Kit.container_id)
    .outerjoin(Placement, _OPEN_PLACEMENT)
    .outerjoin(_Now, _Now.id == Placement.line_id)
    .outerjoin(_NowPlant, _NowPlant.id == _Now.plant_id)
    .order_by(Kit.id.desc())
)  # fmt: skip

_SEGMENTS_OF_KIT = SEGMENTS.where(Segment.kit_id == bindparam("kit_id")).order_by(*MACHINE_ORDER)
_SHARED_INTO = (
    SEGMENTS.join(SharedSegment, SharedSegment.segment_id == Segment.id)
    .where(SharedSegment.kit_id == bindparam("kit_id"))
    .order_by(Segment.kit_id, *MACHINE_ORDER)
)


def find_kit(connection: Connection, number: str) -> KitRow | None:
    """The kit with a number as it is printed."""
    found = connection.execute(_KIT, {"number": number}).one_or_none()
    if found is None:
        return None
    row: Sequence[Any] = found
    return KitRow(
        id=row[0],
        number=row[1],
        machine=MachineRow(*row[6:12]),
        born_line=LineRow(*row[12:16]),
        now_line=_line_or_none(row[16:20]),
        plant=PlantRow(*row[20:25]),
        now_plant=row[25],
        container=ContainerRow(*row[26:]),
        stock_colour=row[2],
        status=row[3],
        issued_at=row[4],
        version=row[5],
    )


def _line_or_none(columns: Sequence[Any]) -> LineRow | None:
    return None if columns[0] is None else LineRow(*columns)


def kit_page(connection: Connection, *, after: str | None, limit: int) -> tuple[KitSummary, ...]:
    """Kits, the newest first. ``after`` is the number of the last kit of the page before.

    Kits that are issued meanwhile come before the first page and shift nothing.

    Raises:
        BadRequest: ``after`` is no kit on record.
    """
    query = _SUMMARIES.limit(limit)
    if after is not None:
        last = connection.scalar(select(Kit.id).where(Kit.number == after))
        if last is None:
            raise BadRequest(
                "no kit of this number is on record", field="after", value=after, todo="Begin at the first page"
            )
        query = query.where(Kit.id < last)
    return tuple(_summary(row) for row in connection.execute(query))


def _summary(row: Sequence[Any]) -> KitSummary:
    return KitSummary(
        number=row[0],
        container_name=row[1],
        machine_code=f"{row[2]}{row[3]}",
        plant=row[4],
        customer=row[5],
        line=_line_or_none(row[6:10]),
        stock_colour=row[10],
        segments=row[11],
        issued_at=row[12],
        status=row[13],
    )


def kit_assemblies(connection: Connection, kit_id: int) -> tuple[AssemblyRow, ...]:
    """The assemblies of a kit in the order of its manifest."""
    rows = connection.execute(
        select(Assembly.id, Assembly.kit_id, Assembly.code, Assembly.ordinal, Assembly.name, Assembly.position)
        .where(Assembly.kit_id == kit_id)
        .order_by(Assembly.position, Assembly.id)
    )
    return tuple(AssemblyRow(*row) for row in rows)


def kit_segments(connection: Connection, kit_id: int) -> tuple[SegmentRow, ...]:
    """The segments that a kit numbered, by assembly, deck (lower, middle, upper, neck, none) and ordinal.

    Voided places are among them and say so.
    """
    return segment_rows(connection, _SEGMENTS_OF_KIT, {"kit_id": kit_id})


def shared_into(connection: Connection, kit_id: int) -> tuple[SegmentRow, ...]:
    """The segments of other kits that this kit uses too."""
    return segment_rows(connection, _SHARED_INTO, {"kit_id": kit_id})


def raise_version(connection: Connection, kit_id: int, expected: int | None) -> bool:
    """Count a change of a kit. False, and nothing counted, when it no longer stands at the ``expected`` version."""
    kit = table_of(Kit)
    query = update(kit).where(kit.c.id == kit_id)
    if expected is not None:
        query = query.where(kit.c.version == expected)
    return connection.execute(query.values(version=kit.c.version + 1)).rowcount == 1
