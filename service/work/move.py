"""Move a machine to another line, or off its line. Its kits keep their numbers; old and new place both find it."""

from __future__ import annotations

from sqlalchemy import Connection

from schemas.answers.machines import MachineRecordAnswer
from schemas.machines import MoveRequest
from service.errors import BadRequest, Contradiction, PlaceUnknown
from service.rules.placements import move
from service.store import events, placements, plants
from service.store.placements import MachineRecord
from service.store.values import PlantRow
from service.work.once import NO_RETRY, Retry, once
from service.work.where import lines_called, machine_answer, machine_on_record, stays_of
from service.work.workshop import SERVICE, Actor, Workshop


def move_machine(
    workshop: Workshop, designation: str, request: MoveRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> MachineRecordAnswer:
    """Record where a machine stands since when.

    A move may be recorded late: what comes after it on record stays. A move at the very moment of an earlier one puts
    that one right.

    Raises:
        MachineUnknown, PlaceUnknown: not on record.
        BadRequest: the moment lies in the future, or the request says too little of a new plant.
        Contradiction: the machine stands there already, or the plant is another customer's.
    """
    with workshop.database.write() as connection:

        def work() -> MachineRecordAnswer:
            record, now = machine_on_record(connection, designation), workshop.now()
            since = past(request.since, now, field="since")
            before = machine_answer(connection, record, now=now)
            line_id = _line(connection, record, request, since)
            rows = placements.placements_of(connection, [record.machine.id])[record.machine.id]
            change = move(stays_of(rows), line_id, since)
            if change is None:
                raise Contradiction(
                    "the machine stands there already at that moment",
                    field="line",
                    value=request.line,
                    todo="Look at its placements, and give the moment at which it came or left",
                )
            if change.ends is not None and change.ends.id is not None:
                placements.end_placement(connection, change.ends.id, since)
            placements.add_placement(
                connection,
                machine_id=record.machine.id,
                line_id=line_id,
                since_at=since,
                until_at=change.begins.until,
            )
            after = machine_answer(connection, record, now=now)
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="move",
                subject=record.designation,
                before={"placements": [stay.model_dump(mode="json") for stay in before.placements]},
                after={
                    "placements": [stay.model_dump(mode="json") for stay in after.placements],
                    "since": since,
                    "note": request.note,
                },
            )
            return after

        return once(connection, retry, MachineRecordAnswer, workshop.now(), work)


def past(moment: str | None, now: str, *, field: str) -> str:
    """A moment that has come, now where none is given; raises BadRequest for one in the future."""
    if moment is not None and moment > now:
        raise BadRequest(
            "this moment has not come yet",
            field=field,
            value=moment,
            todo="Record it once it has happened; records say what was, not what is planned",
        )
    return moment or now


def _line(connection: Connection, record: MachineRecord, request: MoveRequest, since: str) -> int | None:
    """The line's row id, registered if it is new; None for no line."""
    if request.line is None:
        return None
    plant = _plant(connection, record, request)
    text = str(request.line).strip()
    if text.isdecimal():
        ordinal = int(text)
        line = plants.find_line(connection, plant.id, ordinal) or plants.add_line(
            connection, plant_id=plant.id, ordinal=ordinal, name=request.line_name or f"line {ordinal}"
        )
        found: tuple[int, ...] = (line.id,)
    else:
        found = lines_called(connection, plant.code, text, since)
    if len(found) > 1:
        raise BadRequest(
            "several lines of this plant bore this name",
            field="line",
            value=request.line,
            todo="Give the line's ordinal",
        )
    place = placements.places_by_ids(connection, found)[found[0]]
    if request.line_name is not None and request.line_name.casefold() != place.line.name.casefold():
        raise Contradiction(
            f"{place.designation} is on record as {place.line.name}",
            field="line_name",
            value=request.line_name,
            todo="Leave 'line_name' out, or rename the line",
        )
    return place.line.id


def _plant(connection: Connection, record: MachineRecord, request: MoveRequest) -> PlantRow:
    """The plant that is meant, of the machine's own customer."""
    code = request.plant or record.born.plant.code
    plant = plants.find_plant(connection, code)
    if plant is None:
        if request.plant_name is None:
            raise PlaceUnknown(
                "no plant of this code is on record",
                field="plant",
                value=code,
                todo="Correct the code, or give 'plant_name' for a plant that is new",
            )
        return plants.add_plant(connection, code=code, name=request.plant_name, customer=record.born.plant.customer)
    if plant.customer_id != record.born.plant.customer_id:
        raise Contradiction(
            f"the machine is {record.born.plant.customer}'s, this plant is {plant.customer}'s",
            field="plant",
            value=code,
            todo="A machine that was sold gets a new designation and new kits at its new owner's",
        )
    if request.plant_name is not None and request.plant_name.casefold() != plant.name.casefold():
        raise Contradiction(
            f"{plant.code} is on record as {plant.name}",
            field="plant_name",
            value=request.plant_name,
            todo="Leave 'plant_name' out, or rename the plant",
        )
    return plant
