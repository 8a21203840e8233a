"""Where a machine stands and stood: asked by its designation, or by a place and a date."""

from __future__ import annotations

import re
from collections.abc import Collection

from sqlalchemy import Connection

from schemas.answers.machines import (
    MachineListAnswer,
    MachineRecordAnswer,
    MachineSummaryAnswer,
    PlaceAnswer,
    StayAnswer,
)
from service.errors import BadRequest, MachineUnknown, PlaceUnknown
from service.numbering.number import MachineName
from service.rules.placements import Stay, joined, stay_at
from service.rules.survey import in_order, known
from service.store import codes, interfaces, place_names, placements, surveys
from service.store.placements import MachineRecord, PlacementRow, PlaceRow
from service.work.machines_shown import (
    dimension_answer,
    disagreement_answers,
    interface_answers,
    place_answer,
    since_or_none,
    survey_answer,
)
from service.work.reuse import kits_to_check
from service.work.workshop import Workshop

_LINE_WORDS = re.compile(r"(?:line\s*)?0*([1-9][0-9]?)", re.IGNORECASE)


def machine_on_record(connection: Connection, text: str, *, field: str = "machine") -> MachineRecord:
    """A machine by its birth designation in any letter case, wherever it stands now.

    Raises:
        BadCharacter, BadNumber, UnknownCode: the text is no designation.
        MachineUnknown: no machine was ever born under it.
    """
    name = MachineName.parse(text.strip().upper(), codes.code_tables(connection))
    found = placements.machine_by_name(
        connection, plant=name.plant, line=name.line, machine_class=name.machine_class, ordinal=name.machine
    )
    if found is None:
        raise MachineUnknown(
            "no machine was ever born under this designation",
            field=field,
            value=text,
            todo="Write plant, line, class and ordinal as in its kits' numbers, such as OSV4-FC1",
        )
    return found


def stays_of(rows: Collection[PlacementRow]) -> tuple[Stay, ...]:
    """Placements as the rules look at them."""
    return tuple(Stay(row.place.line.id if row.place else None, row.since_at, row.until_at, row.id) for row in rows)


def show_machine(workshop: Workshop, designation: str, *, on: str | None = None) -> MachineRecordAnswer:
    """Everything on record about a machine; ``on`` asks where it stood at another moment than now.

    Raises:
        BadCharacter, BadNumber, UnknownCode, MachineUnknown: no designation, or not on record.
    """
    with workshop.database.read() as connection:
        record = machine_on_record(connection, designation)
        return machine_answer(connection, record, now=workshop.now(), on=on)


def machine_answer(
    connection: Connection, record: MachineRecord, *, now: str, on: str | None = None
) -> MachineRecordAnswer:
    """Everything on record about a machine, from one moment of the records."""
    (summary,) = _summaries(connection, (record,), now=now, on=on or now)
    rows = placements.placements_of(connection, [record.machine.id])[record.machine.id]
    found = surveys.surveys_of(connection, record.machine.id)
    dimensions = known(row.survey for row in found)
    return MachineRecordAnswer(
        **dict(summary),
        placements=_told(rows),
        surveys=tuple(survey_answer(row, record.machine.rotation) for row in found),
        known=tuple(dimension_answer(dimension) for dimension in in_order(dimensions.values())),
        findings=disagreement_answers(dimensions.values(), record.machine.rotation),
        same_interfaces=interface_answers(connection, interfaces.interfaces_of(connection, record.machine.id)),
        check_before_reuse=kits_to_check(connection, summary.kits) if found else (),
    )


def list_machines(
    workshop: Workshop,
    *,
    plant: str | None = None,
    line: str | None = None,
    on: str | None = None,
    after: str | None = None,
    limit: int = 50,
) -> MachineListAnswer:
    """The machines that stood in a place at a moment; without a place every machine on record.

    Args:
        workshop: where the records are.
        plant: a plant's code, or any name that it ever bore.
        line: a line's ordinal, or any name that it ever bore; the line that bore it at that moment comes first.
        on: the moment; now unless said.
        after: the designation of the last machine of the part before.
        limit: at most so many.

    Raises:
        PlaceUnknown: no plant or line of this code or name.
        BadRequest: ``after`` is no machine on record.
    """
    now = workshop.now()
    at = on or now
    with workshop.database.read() as connection:
        last = 0 if after is None else _after(connection, after)
        if plant is None and line is None:
            records = placements.machine_page(connection, after=last, limit=limit)
        else:
            lines = lines_called(connection, plant, line, at)
            ids = [id_ for id_ in placements.machines_standing(connection, lines, at) if id_ > last]
            records = placements.machines_by_ids(connection, ids[:limit])
        return MachineListAnswer(on=at, machines=_summaries(connection, records, now=now, on=at))


def _after(connection: Connection, designation: str) -> int:
    try:
        return machine_on_record(connection, designation, field="after").machine.id
    except MachineUnknown as error:
        raise BadRequest(error.what, field="after", value=designation, todo="Begin at the first page") from error


def lines_called(connection: Connection, plant: str | None, line: str | None, at: str) -> tuple[int, ...]:
    """The row ids of the lines that are meant.

    A name counts for the lines that bore it at the moment; if none did, for all that ever did. An ordinal counts
    always, with the word "line" before it unless a line is called so.

    Raises:
        PlaceUnknown: no plant or line of this code or name.
    """
    plants = place_names.plants_called(connection, plant)
    if not plants:
        raise PlaceUnknown(
            "no plant has this code or ever bore this name",
            field="plant",
            value=plant,
            todo="Give the plant's code, such as OSV, or one of its names whole",
        )
    lines = place_names.lines_of(connection, plants)
    if line is None:
        return tuple(lines)
    asked = place_names.folded(line)
    named = {
        line_id: [row for row in place_names.line_names(connection, line_id) if place_names.folded(row.name) == asked]
        for line_id in lines
    }
    bore_it_then = tuple(line_id for line_id, rows in named.items() if any(row.borne_at(at) for row in rows))
    ever_bore_it = tuple(line_id for line_id, rows in named.items() if rows)
    ordinal = _LINE_WORDS.fullmatch(line.strip())
    by_ordinal = tuple(line_id for line_id, number in lines.items() if ordinal and number == int(ordinal[1]))
    by_name = bore_it_then or ever_bore_it
    bare = ordinal is not None and line.strip().isdecimal()
    found = tuple(dict.fromkeys(by_ordinal + by_name)) if bare else by_name or by_ordinal
    if not found:
        raise PlaceUnknown(
            "no line has this ordinal or ever bore this name",
            field="line",
            value=line,
            todo="Give the line's ordinal, or one of its names whole",
        )
    return found


def _summaries(
    connection: Connection, records: Collection[MachineRecord], *, now: str, on: str
) -> tuple[MachineSummaryAnswer, ...]:
    ids = [record.machine.id for record in records]
    placed = placements.placements_of(connection, ids)
    kits = placements.kits_of_machines(connection, ids)
    answers = []
    for record in records:
        rows = placed[record.machine.id]
        here = _standing(rows, now)
        stood = stay_at(joined(stays_of(rows)), on)
        answers.append(
            MachineSummaryAnswer(
                designation=record.designation,
                machine_class=record.machine.machine_class,
                name=record.machine.name,
                rotation=record.machine.rotation,
                customer=record.born.plant.customer,
                born_on=place_answer(record.born),
                stands_on=place_answer(here) if here else None,
                stood=_stay_answer(rows, stood) if stood else None,
                kits=kits[record.machine.id],
            )
        )
    return tuple(answers)


def _standing(rows: Collection[PlacementRow], moment: str) -> PlaceRow | None:
    stay = stay_at(stays_of(rows), moment)
    return next((row.place for row in rows if stay and row.id == stay.id), None)


def _told(rows: Collection[PlacementRow]) -> tuple[StayAnswer, ...]:
    """The stays as a person tells them, the earliest first."""
    return tuple(_stay_answer(rows, stay) for stay in joined(stays_of(rows)))


def _stay_answer(rows: Collection[PlacementRow], stay: Stay) -> StayAnswer:
    place: PlaceAnswer | None = next((place_answer(row.place) for row in rows if row.place and row.id == stay.id), None)
    return StayAnswer(place=place, since=since_or_none(stay.since), until=stay.until)
