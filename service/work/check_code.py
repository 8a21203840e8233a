"""How a new code would stand beside those in use, asked before it is given. Reads, writes nothing."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection

from schemas.answers import CodeCheckAnswer, RivalAnswer
from service.errors import BadCode, BadRequest, PlaceUnknown
from service.numbering.confusable import THRESHOLD, farther, farther_by_a_letter, nearest
from service.numbering.weights import CLEAR
from service.store import codes, containers, living_codes, plants
from service.store.values import PlantRow
from service.work.near_codes import comparable, fitting, free_containers, free_plants
from service.work.workshop import Workshop

CodeKind = Literal["container", "assembly", "plant"]

_FORMS: dict[CodeKind, tuple[re.Pattern[str], str]] = {
    "container": (
        re.compile(r"[A-Z]{1,2}[1-9][0-9]{0,5}"),
        "a container's code is one or two letters, then the nominal content, such as N500",
    ),
    "assembly": (re.compile(r"[A-Z]{2}"), "an assembly's code is two letters, such as SW"),
    "plant": (re.compile(r"[A-Z]{3,4}"), "a plant's code is three letters, later four, such as OSV"),
}
_MOST_RIVALS = 10
_MOST_BETTER = 5


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a code is compared with, whether it is taken, and what could be given in its place."""

    living: Collection[str]
    in_use: bool
    choices: Iterable[str]


def check_code(workshop: Workshop, *, kind: CodeKind, code: str, plant: str | None) -> CodeCheckAnswer:
    """Compare a code with those in use: a container or assembly with its plant, a plant with the shop.

    Args:
        workshop: where the records are.
        kind: what the code would name.
        code: the code, in any letter case.
        plant: the plant's code; a container needs it, an assembly is compared with the whole table without it.

    Raises:
        BadCode: the code has not the form of its kind.
        BadRequest: a container without its plant.
        PlaceUnknown: no plant of this code.
        UnknownCode: no container has this design letter.
    """
    plain = code.strip().upper()
    form, words = _FORMS[kind]
    if not form.fullmatch(plain):
        raise BadCode(words, field="code", value=code, todo="Give a code of that form")
    with workshop.database.read() as connection:
        found = None if plant is None or kind == "plant" else _plant(connection, plant)
        if kind == "container":
            asked = _container(connection, plain, found)
        elif kind == "assembly":
            asked = _assembly(connection, plain, found)
        else:
            known = plants.find_plant(connection, plain) is not None
            asked = _Asked(living_codes.living_plants(connection), known, free_plants(connection, plain))
    rivals = nearest(plain, asked.living)
    ranked = farther if kind == "container" else farther_by_a_letter
    return CodeCheckAnswer(
        kind=kind,
        code=plain,
        plant=found.code if found else None,
        in_use=asked.in_use,
        clear=not asked.in_use and not any(rival.near for rival in rivals),
        threshold=THRESHOLD / CLEAR,
        rivals=tuple(
            RivalAnswer(code=rival.code, distance=rival.distance / CLEAR, near=rival.near, words=rival.words)
            for rival in rivals[:_MOST_RIVALS]
        ),
        better=ranked(plain, asked.choices, {*asked.living, *([plain] if asked.in_use else [])})[:_MOST_BETTER],
    )


def _container(connection: Connection, code: str, plant: PlantRow | None) -> _Asked:
    if plant is None:
        raise BadRequest(
            "a container is compared with those of its plant",
            field="plant",
            value=None,
            todo="Add the plant's code, such as plant=OSV",
        )
    tables = codes.code_tables(connection)
    design = code.rstrip("0123456789")
    digits = int(code[len(design) :])
    tables.require_design(design, field="code", value=code)
    taken = {row.design for row in containers.containers_of(connection, plant.customer_id, digits)}
    return _Asked(
        living_codes.living_containers(connection, plant.id),
        design in taken,
        free_containers(digits, taken, tables),
    )


def _assembly(connection: Connection, code: str, plant: PlantRow | None) -> _Asked:
    tables = codes.code_tables(connection)
    living = living_codes.living_assemblies(connection, plant.id) if plant else tuple(tables.assemblies)
    choices = (made for made in fitting(code, tables) if made not in tables.assemblies)
    return _Asked(comparable(code, living), code in tables.assemblies, choices)


def _plant(connection: Connection, code: str) -> PlantRow:
    plant = plants.find_plant(connection, code.strip().upper())
    if plant is None:
        raise PlaceUnknown(
            "no plant of this code is on record",
            field="plant",
            value=code,
            todo="Give the code that its numbers begin with, such as OSV; in a new plant every code is free",
        )
    return plant
