"""What may be corrected in a kit's registers while no mark says otherwise, and whether one does."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import ColumnElement, Connection, select, update

from service.store.tables import Assembly, Container, Kit, Machine, Mark, Numbered, Segment, table_of

_CORRECTABLE: Mapping[type[Numbered], frozenset[str]] = {
    Kit: frozenset({"stock_colour"}),
    Assembly: frozenset({"name"}),
    Machine: frozenset({"name", "rotation"}),
    Container: frozenset(
        {
            "name",
            "shape",
            "diameter_mm",
            "width_mm",
            "depth_mm",
            "min_body_mm",
            "max_body_mm",
            "height_mm",
            "neck_finish",
            "drawing_issue",
        }
    ),
}


def correct_kit(connection: Connection, kit_id: int, changes: Mapping[str, object]) -> None:
    """Change facts of a kit; KeyError for a column that is never corrected."""
    _correct(connection, Kit, kit_id, changes)


def correct_assembly(connection: Connection, assembly_id: int, changes: Mapping[str, object]) -> None:
    """Change facts of an assembly; KeyError for a column that is never corrected."""
    _correct(connection, Assembly, assembly_id, changes)


def correct_machine(connection: Connection, machine_id: int, changes: Mapping[str, object]) -> None:
    """Change facts of a machine; KeyError for a column that is never corrected."""
    _correct(connection, Machine, machine_id, changes)


def correct_container(connection: Connection, container_id: int, changes: Mapping[str, object]) -> None:
    """Change facts of a container; KeyError for a column that is never corrected."""
    _correct(connection, Container, container_id, changes)


def _correct(connection: Connection, model: type[Numbered], row_id: int, changes: Mapping[str, object]) -> None:
    forbidden = set(changes) - _CORRECTABLE[model]
    if forbidden:
        raise KeyError(", ".join(sorted(forbidden)))
    if changes:
        table = table_of(model)
        connection.execute(update(table).where(table.c.id == row_id).values(**changes))


def marked_kits_of_container(connection: Connection, container_id: int) -> tuple[str, ...]:
    """The kits for a container of which a mark was made or begun, by number."""
    return _marked(connection, Kit.container_id == container_id)


def marked_kits_of_machine(connection: Connection, machine_id: int) -> tuple[str, ...]:
    """The kits for a machine of which a mark was made or begun, by number."""
    return _marked(connection, Kit.machine_id == machine_id)


def _marked(connection: Connection, condition: ColumnElement[bool]) -> tuple[str, ...]:
    return tuple(
        connection.scalars(
            select(Kit.number)
            .join(Segment, Segment.kit_id == Kit.id)
            .join(Mark, Mark.segment_id == Segment.id)
            .where(condition, Mark.state != "failed")
            .distinct()
            .order_by(Kit.number)
        )
    )
