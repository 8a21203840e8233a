"""A kit's machine as its paper book tells it: where it stood, what its places were called, what was measured at it."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection

from service.marks.book import PastRow, SameMachine, SurveyedRow
from service.rules.placements import joined
from service.rules.survey import DECK_HEIGHT, WORDS
from service.store import interfaces, place_names, placements, surveys
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


def surveyed(connection: Connection, kit: KitRow) -> tuple[SurveyedRow, ...]:
    """Of each dimension of the machine what the newest survey says, of two on one day the later record."""
    found: dict[str, SurveyedRow] = {}
    for survey in sorted(
        surveys.surveys_of(connection, kit.machine.id), key=lambda one: (one.surveyed_at, one.ordinal)
    ):
        for dimension in survey.dimensions:
            found[dimension.name] = SurveyedRow(
                what=_dimension_words(dimension.name),
                value=dimension.shown,
                how=dimension.grade.replace("_", " "),
                surveyed_on=survey.surveyed_at.partition("T")[0],
                surveyed_by=survey.surveyed_by,
            )
    return tuple(found[name] for name in sorted(found, key=lambda name: (name.startswith(DECK_HEIGHT), name)))


def same_machines(connection: Connection, kit: KitRow) -> tuple[SameMachine, ...]:
    """Every word about this machine and another one, in the order in which they came on record."""
    rows = interfaces.interfaces_of(connection, kit.machine.id)
    others = {row.id: _other(kit.machine.id, row.first_machine_id, row.second_machine_id) for row in rows}
    names = {
        record.machine.id: record.designation for record in placements.machines_by_ids(connection, set(others.values()))
    }
    return tuple(
        SameMachine(
            machine=names[others[row.id]],
            assembly=row.assembly,
            interface=row.interface,
            word=f"{row.recorded_by}, {row.recorded_at.partition('T')[0]}"
            + (f"; WITHDRAWN {row.withdrawn_at.partition('T')[0]}: {row.withdrawn_reason}" if row.withdrawn_at else ""),
        )
        for row in rows
    )


def _other(machine: int, first: int, second: int) -> int:
    return second if machine == first else first


def _dimension_words(name: str) -> str:
    if name.startswith(DECK_HEIGHT):
        return f"height of deck {name.removeprefix(DECK_HEIGHT)} over the table"
    return WORDS.get(name, name)


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
