"""Customers, plants, lines and machines."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, insert, select

from service.store.database import next_id
from service.store.place_names import name_line, name_plant
from service.store.tables import Customer, Line, Machine, Placement, Plant, table_of
from service.store.values import LineRow, MachineRow, PlantRow

_PLANT = (
    select(Plant.id, Plant.code, Plant.name, Plant.customer_id, Customer.name)
    .join(Customer, Customer.id == Plant.customer_id)
    .where(Plant.code == bindparam("code"))
)
_LINE = select(Line.id, Line.plant_id, Line.ordinal, Line.name).where(
    Line.plant_id == bindparam("plant_id"), Line.ordinal == bindparam("ordinal")
)
_MACHINE = select(
    Machine.id, Machine.born_line_id, Machine.machine_class, Machine.ordinal, Machine.name, Machine.rotation
).where(
    Machine.born_line_id == bindparam("line_id"),
    Machine.machine_class == bindparam("machine_class"),
    Machine.ordinal == bindparam("ordinal"),
)


def customer_id(connection: Connection, name: str) -> int | None:
    """The id of a customer, None when nobody of that name is on record."""
    return connection.scalar(select(Customer.id).where(Customer.name == name))


def find_plant(connection: Connection, code: str) -> PlantRow | None:
    """The plant with a code."""
    row = connection.execute(_PLANT, {"code": code}).one_or_none()
    return None if row is None else PlantRow(*row)


def add_plant(connection: Connection, *, code: str, name: str, customer: str) -> PlantRow:
    """Register a plant, and its customer if that one is new."""
    owner = customer_id(connection, customer)
    if owner is None:
        owner = next_id(connection, Customer)
        connection.execute(insert(table_of(Customer)), {"id": owner, "name": customer})
    made = PlantRow(next_id(connection, Plant), code, name, owner, customer)
    connection.execute(insert(table_of(Plant)), {"id": made.id, "code": code, "name": name, "customer_id": owner})
    name_plant(connection, made.id, name)
    return made


def plant_codes(connection: Connection) -> tuple[str, ...]:
    """Every plant code that was ever given, in alphabetical order."""
    return tuple(sorted(connection.scalars(select(Plant.code))))


def find_line(connection: Connection, plant_id: int, ordinal: int) -> LineRow | None:
    """The line of a plant with an ordinal."""
    row = connection.execute(_LINE, {"plant_id": plant_id, "ordinal": ordinal}).one_or_none()
    return None if row is None else LineRow(*row)


def add_line(connection: Connection, *, plant_id: int, ordinal: int, name: str) -> LineRow:
    """Register a line of a plant."""
    made = LineRow(next_id(connection, Line), plant_id, ordinal, name)
    connection.execute(insert(table_of(Line)), {"id": made.id, "plant_id": plant_id, "ordinal": ordinal, "name": name})
    name_line(connection, made.id, name)
    return made


def find_machine(connection: Connection, line_id: int, machine_class: str, ordinal: int) -> MachineRow | None:
    """The machine that was born on a line under a class and an ordinal, wherever it stands now."""
    row = connection.execute(
        _MACHINE, {"line_id": line_id, "machine_class": machine_class, "ordinal": ordinal}
    ).one_or_none()
    return None if row is None else MachineRow(*row)


def add_machine(
    connection: Connection,
    *,
    line_id: int,
    machine_class: str,
    ordinal: int,
    name: str,
    rotation: str | None,
    at: str,
) -> MachineRow:
    """Register a machine under its birth designation; it stands on that line from ``at`` on."""
    made = MachineRow(next_id(connection, Machine), line_id, machine_class, ordinal, name, rotation)
    connection.execute(
        insert(table_of(Machine)),
        {
            "id": made.id,
            "born_line_id": line_id,
            "machine_class": machine_class,
            "ordinal": ordinal,
            "name": name,
            "rotation": rotation,
        },
    )
    connection.execute(
        insert(table_of(Placement)),
        {
            "id": next_id(connection, Placement),
            "machine_id": made.id,
            "line_id": line_id,
            "since_at": at,
            "until_at": None,
        },
    )
    return made
