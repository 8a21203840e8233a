"""Which machines are the same where an assembly meets them, by whose word."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, or_, select, update

from service.store.database import next_id
from service.store.tables import SameInterface, table_of


@dataclass(frozen=True, slots=True)
class SameInterfaceRow:
    """A word that two machines are the same where an assembly meets them."""

    id: int
    first_machine_id: int
    second_machine_id: int
    assembly: str
    interface: str
    note: str
    recorded_by: str
    recorded_at: str
    withdrawn_at: str | None
    withdrawn_reason: str | None


_ROWS = select(
    SameInterface.id,
    SameInterface.first_machine_id,
    SameInterface.second_machine_id,
    SameInterface.assembly,
    SameInterface.interface,
    SameInterface.note,
    SameInterface.recorded_by,
    SameInterface.recorded_at,
    SameInterface.withdrawn_at,
    SameInterface.withdrawn_reason,
).order_by(SameInterface.id)


def interfaces_of(connection: Connection, machine_id: int) -> tuple[SameInterfaceRow, ...]:
    """Everything that was ever said about a machine, withdrawn words too."""
    rows: Iterable[Sequence[Any]] = connection.execute(
        _ROWS.where(or_(SameInterface.first_machine_id == machine_id, SameInterface.second_machine_id == machine_id))
    )
    return tuple(SameInterfaceRow(*row) for row in rows)


def standing(connection: Connection, one: int, other: int) -> tuple[SameInterfaceRow, ...]:
    """What holds between two machines today."""
    first, second = sorted((one, other))
    rows: Iterable[Sequence[Any]] = connection.execute(
        _ROWS.where(
            SameInterface.first_machine_id == first,
            SameInterface.second_machine_id == second,
            SameInterface.withdrawn_at.is_(None),
        )
    )
    return tuple(SameInterfaceRow(*row) for row in rows)


def same_where(connection: Connection, one: int, other: int, assemblies: Iterable[str]) -> bool:
    """Whether somebody's word holds that two machines are the same where all of these assemblies meet them.

    A word about ``SW`` covers every star wheel, one about ``SW2`` that one alone. It does not pass on: of three
    machines each pair needs its own.

    Args:
        connection: one moment of the records.
        one: the row id of a machine.
        other: the row id of another.
        assemblies: with their ordinals, such as ``SW2``.
    """
    said = {row.assembly for row in standing(connection, one, other)}
    return all(assembly in said or assembly.rstrip("0123456789") in said for assembly in assemblies)


def interface_by_id(connection: Connection, id_: int) -> SameInterfaceRow | None:
    """One word by its row id."""
    row: Sequence[Any] | None = connection.execute(_ROWS.where(SameInterface.id == id_)).one_or_none()
    return None if row is None else SameInterfaceRow(*row)


def add_interface(
    connection: Connection,
    *,
    machine_ids: tuple[int, int],
    assembly: str,
    interface: str,
    note: str,
    recorded_by: str,
    recorded_at: str,
) -> SameInterfaceRow:
    """Record a word about two machines."""
    first, second = sorted(machine_ids)
    made = SameInterfaceRow(
        id=next_id(connection, SameInterface),
        first_machine_id=first,
        second_machine_id=second,
        assembly=assembly,
        interface=interface,
        note=note,
        recorded_by=recorded_by,
        recorded_at=recorded_at,
        withdrawn_at=None,
        withdrawn_reason=None,
    )
    connection.execute(
        insert(table_of(SameInterface)),
        {
            "id": made.id,
            "first_machine_id": first,
            "second_machine_id": second,
            "assembly": assembly,
            "interface": interface,
            "note": note,
            "recorded_by": recorded_by,
            "recorded_at": recorded_at,
        },
    )
    return made


def withdraw_interface(connection: Connection, id_: int, *, at: str, reason: str) -> None:
    """A word that does not hold any more."""
    table = table_of(SameInterface)
    connection.execute(update(table).where(table.c.id == id_).values(withdrawn_at=at, withdrawn_reason=reason))
