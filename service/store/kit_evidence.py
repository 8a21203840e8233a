"""What a caller can be asked about a kit: plant, line, machine and containers by every name, and when it was in use.

A machine is known at every place where it stood: the one where it stands today counts as now, all others as then. So do
names: that of today as now, those before as then.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from sqlalchemy import Connection, select

from schemas.search import Question
from service.rules.evidence_figures import InUse
from service.rules.evidence_names import Called, called
from service.rules.segment_space import Codes, Column, Floats, status_weight
from service.store import codes
from service.store.tables import (
    Alias,
    AliasWrong,
    Container,
    Kit,
    KitContainer,
    Line,
    Machine,
    Placement,
    PlaceName,
    Plant,
    Retirement,
)

Names = Mapping[int, tuple[str, ...]]


@dataclass(frozen=True)
class KitEvidence:
    """All kits, in the order of their row ids.

    Attributes:
        ids: their row ids.
        numbers: their numbers.
        versions: the version that each stood at, by row id.
        columns: by question what is on record.
        weights: how likely a part of it is meant, against one of a kit in use.
    """

    ids: Codes
    numbers: tuple[str, ...]
    versions: Mapping[int, int]
    columns: Mapping[Question, Column]
    weights: Floats


@dataclass(frozen=True, slots=True)
class _Place:
    """A line with its plant, each by its names of today and before."""

    plant: Called
    line: Called
    plant_now: tuple[str, ...]
    plant_then: tuple[str, ...]
    line_now: tuple[str, ...]
    line_then: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Standing:
    """A machine by its names, with the plants and lines of all its places."""

    plant: Called
    line: Called
    machine: Called


def kit_evidence(connection: Connection) -> KitEvidence:
    """What is on record of all kits in this transaction."""
    standings = _standings(connection)
    containers = _containers(connection)
    further: dict[int, list[int]] = defaultdict(list)
    for kit_id, container_id in connection.execute(select(KitContainer.kit_id, KitContainer.container_id)).all():
        further[kit_id].append(container_id)
    ended = {row[0]: row[1] for row in connection.execute(select(Retirement.kit_id, Retirement.retired_at)).all()}
    rows = connection.execute(
        select(Kit.id, Kit.machine_id, Kit.container_id, Kit.status, Kit.issued_at, Kit.version, Kit.number).order_by(
            Kit.id
        )
    ).all()  # fmt: skip
    this_year = datetime.now(UTC).year
    runs: dict[tuple[int, ...], Called] = {}
    facts: dict[Question, list[Called | InUse]] = {"plant": [], "line": [], "machine": [], "running": [], "date": []}
    for id_, machine_id, container_id, _, issued_at, *_ in rows:
        standing = standings[machine_id]
        facts["plant"].append(standing.plant)
        facts["line"].append(standing.line)
        facts["machine"].append(standing.machine)
        served = (container_id, *sorted(further.get(id_, ())))
        if served not in runs:
            runs[served] = _served([containers[one] for one in served])
        facts["running"].append(runs[served])
        made = int(issued_at[:4])
        facts["date"].append(InUse(made, max(made, int(ended[id_][:4]) if id_ in ended else this_year)))
    return KitEvidence(
        ids=np.asarray([row[0] for row in rows], dtype=np.int32),
        numbers=tuple(row[6] for row in rows),
        versions={row[0]: row[5] for row in rows},
        columns={question: _column(some) for question, some in facts.items()},
        weights=np.asarray([status_weight("retired" if row[3] == "retired" else "active") for row in rows]),
    )


def _column(facts: Iterable[Called | InUse]) -> Column:
    # The same object stands for the same thing; two things of the same name stay two until they are weighed.
    seen: dict[Called | InUse, int] = {}
    rows = [seen.setdefault(fact, len(seen)) for fact in facts]
    return Column(tuple(seen), np.asarray(rows, dtype=np.int32))


def _standings(connection: Connection) -> dict[int, _Standing]:
    """Every machine by row id."""
    places = _places(connection)
    stays: dict[int, list[tuple[int | None, bool]]] = defaultdict(list)
    for machine_id, line_id, since_at, until_at in connection.execute(
        select(Placement.machine_id, Placement.line_id, Placement.since_at, Placement.until_at).order_by(
            Placement.since_at, Placement.id
        )
    ).all():
        # A stay that ends when it begins was recorded by mistake.
        if until_at is None or until_at > since_at:
            stays[machine_id].append((line_id, until_at is None))
    classes = codes.code_tables(connection).machine_classes
    aliases = _aliases(connection, "machine")
    made: dict[int, _Standing] = {}
    merged: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[Called, Called]] = {}
    for id_, born, machine_class, ordinal, name in connection.execute(
        select(Machine.id, Machine.born_line_id, Machine.machine_class, Machine.ordinal, Machine.name)
    ).all():
        now = tuple(line for line, open_ in stays[id_] if open_ and line is not None) or (born,)
        then = tuple(dict.fromkeys(line for line, _ in stays[id_] if line is not None and line not in now))
        then = then if born in (*now, *then) else (*then, born)
        if (now, then) not in merged:
            merged[now, then] = _merged([places[one] for one in now], [places[one] for one in then])
        plant, line = merged[now, then]
        short = f"{machine_class}{ordinal}"
        designation = f"{places[born].plant_now[0]}{places[born].line_now[1]}-{short}"
        kind = classes.get(machine_class, "")
        names = (name, designation, short, f"{kind} {ordinal}", *aliases.get(id_, ()))
        made[id_] = _Standing(plant, line, called(name, names))
    return made


def _merged(now: list[_Place], then: list[_Place]) -> tuple[Called, Called]:
    """The plant and the line of a machine that stands at one place and stood at others."""
    plant = called(
        now[0].plant.says,
        (name for place in now for name in place.plant_now),
        (*(name for place in now for name in place.plant_then), *_all(then, "plant")),
    )
    line = called(
        now[0].line.says,
        (name for place in now for name in place.line_now),
        (*(name for place in now for name in place.line_then), *_all(then, "line")),
    )
    return plant, line


def _all(places: list[_Place], what: str) -> tuple[str, ...]:
    if what == "plant":
        return tuple(name for place in places for name in (*place.plant_now, *place.plant_then))
    return tuple(name for place in places for name in (*place.line_now, *place.line_then))


def _places(connection: Connection) -> dict[int, _Place]:
    """Every line with its plant, by the line's row id."""
    plant_names, line_names = _place_names(connection)
    plant_aliases, line_aliases = _aliases(connection, "plant"), _aliases(connection, "line")
    found: dict[int, _Place] = {}
    for line_id, ordinal, line_name, plant_id, code, plant_name in connection.execute(
        select(Line.id, Line.ordinal, Line.name, Plant.id, Plant.code, Plant.name).join(
            Plant, Plant.id == Line.plant_id
        )
    ).all():
        plant_now = (code, plant_name, *plant_aliases.get(plant_id, ()))
        plant_then = tuple(name for name in plant_names.get(plant_id, ()) if name != plant_name)
        line_now = (f"{code}{ordinal}", str(ordinal), line_name, *line_aliases.get(line_id, ()))
        line_then = tuple(name for name in line_names.get(line_id, ()) if name != line_name)
        found[line_id] = _Place(
            plant=called(plant_name, plant_now, plant_then),
            line=called(line_name, line_now, line_then),
            plant_now=plant_now,
            plant_then=plant_then,
            line_now=line_now,
            line_then=line_then,
        )
    return found


def _place_names(connection: Connection) -> tuple[dict[int, list[str]], dict[int, list[str]]]:
    plants: dict[int, list[str]] = defaultdict(list)
    lines: dict[int, list[str]] = defaultdict(list)
    for plant_id, line_id, name in connection.execute(
        select(PlaceName.plant_id, PlaceName.line_id, PlaceName.name).order_by(PlaceName.since_at)
    ).all():
        if plant_id is not None:
            plants[plant_id].append(name)
        elif line_id is not None:
            lines[line_id].append(name)
    return plants, lines


def _containers(connection: Connection) -> dict[int, tuple[str, tuple[str, ...]]]:
    """Every container by row id: what people say, and all its names."""
    aliases = _aliases(connection, "container")
    return {
        id_: (f"{name}", (f"{design}{digits}", name, f"{name} {nominal} {unit}", *aliases.get(id_, ())))
        for id_, design, digits, name, nominal, unit in connection.execute(
            select(
                Container.id, Container.design, Container.nominal_digits, Container.name, Container.nominal,
                Container.unit,
            )
        ).all()
    }  # fmt: skip


def _served(containers: list[tuple[str, tuple[str, ...]]]) -> Called:
    """The containers of one kit: a caller names the one that runs."""
    return called(containers[0][0], (name for _, names in containers for name in names))


def _aliases(connection: Connection, kind: str) -> Names:
    """What else things of a kind are called, by row id; what was marked wrong left out."""
    subject = getattr(Alias, f"{kind}_id")
    found: dict[int, tuple[str, ...]] = {}
    for id_, text in connection.execute(
        select(subject, Alias.text)
        .outerjoin(AliasWrong, AliasWrong.alias_id == Alias.id)
        .where(subject.is_not(None), AliasWrong.alias_id.is_(None))
        .order_by(Alias.id)
    ).all():
        found[id_] = (*found.get(id_, ()), text)
    return found
