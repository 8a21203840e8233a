"""The past of a kit's machine as its paper book tells it: where it stood, and what its plant and line were called."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection

from service.marks.book import PastRow
from service.rules.placements import joined
from service.store import place_names, placements
from service.store.place_names import NameRow
from service.store.values import KitRow
from service.work.machines_shown import since_or_none
from service.work.where import stays_of


def machine_past(connection: Connection, kit: KitRow) -> tuple[PastRow, ...]:
    """Every stay of the machine, and the names of the plant and line of its birth where they had several."""
    rows = placements.placements_of(connection, [kit.machine.id])[kit.machine.id]
    places = {row.id: row.place for row in rows}
    stood = []
    for stay in joined(stays_of(rows)):
        place = places[stay.id] if stay.id is not None else None
        words = f"{place.line.name}, {place.plant.name} ({place.designation})" if place else "on no line"
        stood.append(_past(stay.since, stay.until, f"machine on {words}" if place else f"machine {words}"))
    return (
        *stood,
        *_names(f"plant {kit.plant.code} called", place_names.plant_names(connection, kit.plant.id)),
        *_names(
            f"line {kit.born_line.ordinal} of {kit.plant.code} called",
            place_names.line_names(connection, kit.born_line.id),
        ),
    )


def _names(words: str, names: tuple[NameRow, ...]) -> Iterable[PastRow]:
    """The names in their times; one that never changed needs no word."""
    return (_past(row.since_at, row.until_at, f"{words} {row.name}") for row in names if len(names) > 1)


def _past(since: str, until: str | None, words: str) -> PastRow:
    told = since_or_none(since)
    return PastRow(
        since=told.partition("T")[0] if told else "the beginning",
        until=until.partition("T")[0] if until else "now",
        words=words,
    )
