"""What plants and lines were called, and since when; today's name stands with the plant or line itself."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, insert, select, update

from service.store.database import next_id
from service.store.placements import BEGINNING
from service.store.tables import Line, PlaceName, Plant, table_of


@dataclass(frozen=True, slots=True)
class NameRow:
    """A name and its time; ``until_at`` is the moment at which the next one was taken."""

    name: str
    since_at: str
    until_at: str | None

    def borne_at(self, moment: str) -> bool:
        """Whether it was the name at a moment."""
        return self.since_at <= moment and (self.until_at is None or moment < self.until_at)


def plant_names(connection: Connection, plant_id: int) -> tuple[NameRow, ...]:
    """Every name of a plant, the first one first."""
    return _names(connection, PlaceName.plant_id == plant_id)


def line_names(connection: Connection, line_id: int) -> tuple[NameRow, ...]:
    """Every name of a line, the first one first."""
    return _names(connection, PlaceName.line_id == line_id)


def _names(connection: Connection, condition: ColumnElement[bool]) -> tuple[NameRow, ...]:
    rows = connection.execute(
        select(PlaceName.name, PlaceName.since_at).where(condition).order_by(PlaceName.since_at)
    ).all()
    ends = [since_at for _name, since_at in rows[1:]]
    return tuple(NameRow(row[0], row[1], end) for row, end in zip(rows, [*ends, None], strict=True))


def name_plant(connection: Connection, plant_id: int, name: str, *, since_at: str = BEGINNING) -> None:
    """A name that a plant takes at a moment; today's name is the one that was taken last."""
    _add(connection, {"plant_id": plant_id, "line_id": None, "name": name, "since_at": since_at})
    plant = table_of(Plant)
    today = plant_names(connection, plant_id)[-1].name
    connection.execute(update(plant).where(plant.c.id == plant_id).values(name=today))


def name_line(connection: Connection, line_id: int, name: str, *, since_at: str = BEGINNING) -> None:
    """A name that a line takes at a moment; today's name is the one that was taken last."""
    _add(connection, {"plant_id": None, "line_id": line_id, "name": name, "since_at": since_at})
    line = table_of(Line)
    today = line_names(connection, line_id)[-1].name
    connection.execute(update(line).where(line.c.id == line_id).values(name=today))


def _add(connection: Connection, row: dict[str, object]) -> None:
    connection.execute(insert(table_of(PlaceName)), {"id": next_id(connection, PlaceName), **row})


def plants_called(connection: Connection, text: str | None) -> tuple[int, ...]:
    """The row ids of the plants with this code, or that ever bore this name, in any letter case; of all for None."""
    rows = connection.execute(select(Plant.id, Plant.code).order_by(Plant.id)).all()
    if text is None:
        return tuple(row[0] for row in rows)
    asked = folded(text)
    by_code = {id_ for id_, code in rows if code == text.strip().upper()}
    named = connection.execute(select(PlaceName.plant_id, PlaceName.name).where(PlaceName.plant_id.is_not(None)))
    by_name = {id_ for id_, name in named if id_ is not None and folded(name) == asked}
    return tuple(sorted(by_code | by_name))


def lines_of(connection: Connection, plant_ids: Collection[int]) -> dict[int, int]:
    """The ordinal of every line of these plants, by row id."""
    rows = connection.execute(select(Line.id, Line.ordinal).where(Line.plant_id.in_(plant_ids)).order_by(Line.id))
    return {row[0]: row[1] for row in rows}


def folded(text: str) -> str:
    """A name as it is compared: letter case and width of blanks set aside."""
    return " ".join(text.split()).casefold()
