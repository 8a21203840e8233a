"""Plants and lines take other names: today's is shown, every old one still finds them; codes and ordinals stay."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from sqlalchemy import Connection

from schemas.answers.machines import PlaceNamesAnswer
from schemas.machines import RenameRequest
from service.errors import Contradiction, PlaceUnknown
from service.store import events, place_names, plants
from service.store.place_names import NameRow
from service.store.values import LineRow, PlantRow
from service.work.machines_shown import name_answers
from service.work.move import past
from service.work.once import NO_RETRY, Retry, once
from service.work.seen import Seen, refuse_stale, tag_of
from service.work.workshop import SERVICE, Actor, Workshop


def rename_plant(
    workshop: Workshop,
    code: str,
    request: RenameRequest,
    *,
    seen: Seen | None = None,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> PlaceNamesAnswer:
    """Record a name that a plant took.

    Args:
        workshop: where the records are.
        code: the plant's code.
        request: the name, and since when.
        seen: the states of its names that whoever renames it looked at, None for any.
        actor: who renames it.
        retry: the request's Idempotency-Key.

    Raises:
        StaleEdit: somebody else renamed it since.
        PlaceUnknown: no plant of this code.
        BadRequest: the moment lies in the future.
        Contradiction: it bore the name then already, or took another one at that very moment.
    """
    with workshop.database.write() as connection:

        def work() -> PlaceNamesAnswer:
            plant = plant_on_record(connection, code)
            return _rename(
                connection,
                plant.code,
                request,
                seen=seen,
                names=partial(place_names.plant_names, connection, plant.id),
                take=partial(place_names.name_plant, connection, plant.id),
                now=workshop.now(),
                actor=actor,
            )

        return once(connection, retry, PlaceNamesAnswer, workshop.now(), work)


def rename_line(
    workshop: Workshop,
    code: str,
    ordinal: int,
    request: RenameRequest,
    *,
    seen: Seen | None = None,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> PlaceNamesAnswer:
    """Record a name that a line took; raises as for a plant."""
    with workshop.database.write() as connection:

        def work() -> PlaceNamesAnswer:
            plant, line = _line(connection, code, ordinal)
            return _rename(
                connection,
                f"{plant.code}{line.ordinal}",
                request,
                seen=seen,
                names=partial(place_names.line_names, connection, line.id),
                take=partial(place_names.name_line, connection, line.id),
                now=workshop.now(),
                actor=actor,
            )

        return once(connection, retry, PlaceNamesAnswer, workshop.now(), work)


def plant_names(workshop: Workshop, code: str) -> PlaceNamesAnswer:
    """A plant with every name that it ever bore; raises PlaceUnknown."""
    with workshop.database.read() as connection:
        plant = plant_on_record(connection, code)
        return _answer(plant.code, place_names.plant_names(connection, plant.id))


def line_names(workshop: Workshop, code: str, ordinal: int) -> PlaceNamesAnswer:
    """A line with every name that it ever bore; raises PlaceUnknown."""
    with workshop.database.read() as connection:
        plant, line = _line(connection, code, ordinal)
        return _answer(f"{plant.code}{line.ordinal}", place_names.line_names(connection, line.id))


def place_names_of(workshop: Workshop, code: str) -> tuple[PlaceNamesAnswer, ...]:
    """A plant and then each of its lines by ordinal, with every name that they ever bore; raises PlaceUnknown."""
    with workshop.database.read() as connection:
        plant = plant_on_record(connection, code)
        lines = place_names.lines_of(connection, (plant.id,))
        return (
            _answer(plant.code, place_names.plant_names(connection, plant.id)),
            *(
                _answer(f"{plant.code}{ordinal}", place_names.line_names(connection, line_id))
                for line_id, ordinal in sorted(lines.items(), key=lambda line: line[1])
            ),
        )


def plant_on_record(connection: Connection, code: str) -> PlantRow:
    """A plant by its code in any letter case; raises PlaceUnknown."""
    plant = plants.find_plant(connection, code.strip().upper())
    if plant is None:
        raise PlaceUnknown(
            "no plant of this code is on record",
            field="plant",
            value=code,
            todo="Give the code that its numbers begin with, such as OSV",
        )
    return plant


def _line(connection: Connection, code: str, ordinal: int) -> tuple[PlantRow, LineRow]:
    plant = plant_on_record(connection, code)
    line = plants.find_line(connection, plant.id, ordinal)
    if line is None:
        raise PlaceUnknown(
            f"{plant.name} has no line of this ordinal on record",
            field="line",
            value=ordinal,
            todo="Give the ordinal that follows the plant's code in its numbers",
        )
    return plant, line


def _rename(
    connection: Connection,
    designation: str,
    request: RenameRequest,
    *,
    seen: Seen | None,
    names: Callable[[], tuple[NameRow, ...]],
    take: Callable[..., None],
    now: str,
    actor: Actor,
) -> PlaceNamesAnswer:
    since = past(request.since, now, field="since")
    before = names()
    refuse_stale(seen, tag_of(_answer(designation, before)), what="its names")
    borne = next(row for row in before if row.borne_at(since))
    if borne.name == request.name:
        raise Contradiction(
            "it bore this name already at that moment",
            field="name",
            value=request.name,
            todo="Give another name, or the moment at which it took this one",
        )
    if borne.since_at == since:
        raise Contradiction(
            f"at that very moment it took the name {borne.name}",
            field="since",
            value=since,
            todo="Give the moment to the minute",
        )
    take(request.name, since_at=since)
    answer = _answer(designation, names())
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb="rename",
        subject=designation,
        before={"name": before[-1].name, "names": [row.model_dump(mode="json") for row in name_answers(before)]},
        after=answer.model_dump(mode="json", include={"name", "names"}),
    )
    return answer


def _answer(designation: str, rows: tuple[NameRow, ...]) -> PlaceNamesAnswer:
    return PlaceNamesAnswer(designation=designation, name=rows[-1].name, names=name_answers(rows))
