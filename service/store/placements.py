"""Machines and the lines they stand on, from when to when."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, and_, bindparam, func, insert, or_, select, update

from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import Customer, Kit, Line, Machine, Placement, Plant, table_of
from service.store.values import LineRow, MachineRow, PlantRow

BEGINNING = "0001-01-01T00:00:00Z"
"""Since when something is so that was so before anybody wrote it down."""


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A line with its plant, both under the names they bear today."""

    plant: PlantRow
    line: LineRow

    @property
    def designation(self) -> str:
        """The plant and line group of a number, for example ``OSV4``."""
        return f"{self.plant.code}{self.line.ordinal}"


@dataclass(frozen=True, slots=True)
class MachineRecord:
    """A machine with the place that it was born in."""

    machine: MachineRow
    born: PlaceRow

    @property
    def designation(self) -> str:
        """The birth designation, for example ``OSV4-FC1``."""
        return f"{self.born.designation}-{self.machine.machine_class}{self.machine.ordinal}"


@dataclass(frozen=True, slots=True)
class PlacementRow:
    """A stay of a machine on a line, or on none; one that ends when it begins was recorded by mistake."""

    id: int
    machine_id: int
    place: PlaceRow | None
    since_at: str
    until_at: str | None


_PLACE = (
    Plant.id, Plant.code, Plant.name, Plant.customer_id, Customer.name,
    Line.id, Line.plant_id, Line.ordinal, Line.name,
)  # fmt: skip
_PLACES = select(*_PLACE).join(Plant, Plant.id == Line.plant_id).join(Customer, Customer.id == Plant.customer_id)
_RECORDS = (
    select(
        Machine.id, Machine.born_line_id, Machine.machine_class, Machine.ordinal, Machine.name, Machine.rotation,
        *_PLACE,
    )
    .join(Line, Line.id == Machine.born_line_id)
    .join(Plant, Plant.id == Line.plant_id)
    .join(Customer, Customer.id == Plant.customer_id)
)  # fmt: skip
_BY_NAME = _RECORDS.where(
    Plant.code == bindparam("plant"),
    Line.ordinal == bindparam("line"),
    Machine.machine_class == bindparam("machine_class"),
    Machine.ordinal == bindparam("ordinal"),
)


def _place(columns: Sequence[Any]) -> PlaceRow:
    return PlaceRow(PlantRow(*columns[:5]), LineRow(*columns[5:9]))


def _records(rows: Iterable[Sequence[Any]]) -> tuple[MachineRecord, ...]:
    return tuple(MachineRecord(MachineRow(*row[:6]), _place(row[6:])) for row in rows)


def machine_by_name(
    connection: Connection, *, plant: str, line: int, machine_class: str, ordinal: int
) -> MachineRecord | None:
    """The machine with a birth designation, wherever it stands now."""
    asked = {"plant": plant, "line": line, "machine_class": machine_class, "ordinal": ordinal}
    return next(iter(_records(connection.execute(_BY_NAME, asked))), None)


def machine_page(connection: Connection, *, after: int, limit: int) -> tuple[MachineRecord, ...]:
    """Machines in the order in which they came on record, those after a row id."""
    query = _RECORDS.where(Machine.id > after).order_by(Machine.id).limit(limit)
    return _records(connection.execute(query))


def machines_by_ids(connection: Connection, machine_ids: Collection[int]) -> tuple[MachineRecord, ...]:
    """Machines by row id, in the order in which they came on record."""
    found = [
        record
        for some in chunks(machine_ids)
        for record in _records(connection.execute(_RECORDS.where(Machine.id.in_(some))))
    ]
    return tuple(sorted(found, key=lambda record: record.machine.id))


def machines_standing(connection: Connection, line_ids: Collection[int], at: str) -> tuple[int, ...]:
    """The row ids of the machines that stand on some of these lines at a moment, in order of coming on record."""
    found = [
        machine_id
        for some in chunks(line_ids)
        for machine_id in connection.scalars(
            select(Placement.machine_id).where(
                Placement.line_id.in_(some),
                Placement.since_at <= at,
                or_(Placement.until_at.is_(None), Placement.until_at > at),
            )
        )
    ]
    return tuple(sorted(found))


def placements_of(connection: Connection, machine_ids: Collection[int]) -> dict[int, tuple[PlacementRow, ...]]:
    """Every placement of these machines, by machine, the earliest first; those recorded by mistake too."""
    found: dict[int, list[PlacementRow]] = {machine_id: [] for machine_id in machine_ids}
    for some in chunks(machine_ids):
        rows = connection.execute(
            select(Placement.id, Placement.machine_id, Placement.line_id, Placement.since_at, Placement.until_at)
            .where(Placement.machine_id.in_(some))
            .order_by(Placement.since_at, Placement.id)
        ).all()
        places = places_by_ids(connection, {row[2] for row in rows if row[2] is not None})
        for id_, machine_id, line_id, since_at, until_at in rows:
            place = None if line_id is None else places[line_id]
            found[machine_id].append(PlacementRow(id_, machine_id, place, since_at, until_at))
    return {machine_id: tuple(rows) for machine_id, rows in found.items()}


def places_by_ids(connection: Connection, line_ids: Collection[int]) -> dict[int, PlaceRow]:
    """Lines with their plants, by the line's row id."""
    return {
        place.line.id: place
        for some in chunks(line_ids)
        for place in map(_place, connection.execute(_PLACES.where(Line.id.in_(some))))
    }


def add_placement(
    connection: Connection, *, machine_id: int, line_id: int | None, since_at: str, until_at: str | None
) -> None:
    """Record that a machine stands on a line, or on none, from one moment to another or on."""
    connection.execute(
        insert(table_of(Placement)),
        {
            "id": next_id(connection, Placement),
            "machine_id": machine_id,
            "line_id": line_id,
            "since_at": since_at,
            "until_at": until_at,
        },
    )


def end_placement(connection: Connection, placement_id: int, until_at: str) -> None:
    """Record when a stay ended; ended when it began, it never was."""
    placement = table_of(Placement)
    connection.execute(update(placement).where(placement.c.id == placement_id).values(until_at=until_at))


def highest_ordinal(connection: Connection, line_id: int, machine_class: str) -> int:
    """The highest ordinal that a machine of a class was ever born with on a line; 0 when there is none."""
    query = select(func.max(Machine.ordinal)).where(
        Machine.born_line_id == line_id, Machine.machine_class == machine_class
    )
    return connection.scalar(query) or 0


def class_was_there(connection: Connection, line_id: int, machine_class: str) -> bool:
    """Whether a machine of a class was ever born on a line, or ever stood there."""
    query = (
        select(Machine.id)
        .outerjoin(Placement, and_(Placement.machine_id == Machine.id, Placement.line_id == line_id))
        .where(
            Machine.machine_class == machine_class,
            or_(Machine.born_line_id == line_id, Placement.id.is_not(None)),
        )
        .limit(1)
    )
    return connection.scalar(query) is not None


def kits_of_machines(connection: Connection, machine_ids: Collection[int]) -> dict[int, tuple[str, ...]]:
    """The numbers of the kits of each of these machines, in order of issue."""
    found: dict[int, list[str]] = {machine_id: [] for machine_id in machine_ids}
    for some in chunks(machine_ids):
        rows = connection.execute(select(Kit.machine_id, Kit.number).where(Kit.machine_id.in_(some)).order_by(Kit.id))
        for machine_id, number in rows:
            found[machine_id].append(number)
    return {machine_id: tuple(numbers) for machine_id, numbers in found.items()}
