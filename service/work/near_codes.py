"""The gate for new codes: a container, assembly or plant code is compared with those alive before it is given.

A code that is on record already is not compared again: it is engraved, and stays.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from sqlalchemy import Connection

from service.errors import DesignLettersSpent
from service.findings import Finding
from service.numbering.alike import alike
from service.numbering.confusable import Rival, farther, farther_by_a_letter, first_clear, rivals
from service.numbering.tables import DEFAULT_TABLES, CodeTables
from service.store import living_codes, plants
from service.store.values import PlantRow

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_SOURCE = "the table of weights in service/numbering/weights.py, which names its sources"


def near_container(
    connection: Connection, plant: PlantRow | None, code: str, taken: Collection[str], tables: CodeTables
) -> list[Finding]:
    """A finding for each container alive in the plant that a new container may be taken for.

    Args:
        connection: the records.
        plant: the plant, None when it is new and nothing lives there.
        code: the new code, such as ``N500``.
        taken: the design letters that the customer has used up for this nominal size.
        tables: the shop's code tables.
    """
    living = living_codes.living_containers(connection, plant.id) if plant else ()
    near = rivals(code, living)
    better = farther(code, free_containers(int(code.lstrip(LETTERS)), taken, tables), living) if near else ()
    return [_finding("container_code_near", rival, code, "container.code", "in this plant", better) for rival in near]


def free_containers(digits: int, taken: Collection[str], tables: CodeTables) -> list[str]:
    """The codes that a container of this nominal size may still get, in the order in which letters are given out."""
    return [f"{letter}{digits}" for letter in tables.design_letters_in_order() if letter not in taken]


def free_letter(
    connection: Connection, plant: PlantRow | None, digits: int, taken: Collection[str], tables: CodeTables
) -> str:
    """The design letter that a container gets when nobody names one: the first free one that is near no living code.

    When every free letter is near some code, the farthest.

    Raises:
        DesignLettersSpent: no letter is left for this nominal size.
    """
    free = free_containers(digits, taken, tables)
    living = living_codes.living_containers(connection, plant.id) if plant and free else ()
    found = first_clear(free, living)
    if found is None:
        raise DesignLettersSpent(
            "every design letter of this nominal size is taken",
            field="container.nominal",
            value=digits,
            todo="Register the container under a finer nominal content",
        )
    return found.removesuffix(str(digits))


def near_plant(connection: Connection, code: str) -> list[Finding]:
    """A finding for each living plant of the shop that a new plant's code may be taken for."""
    living = living_codes.living_plants(connection)
    near = rivals(code, living)
    better = farther_by_a_letter(code, free_plants(connection, code), living) if near else ()
    return [_finding("plant_code_near", rival, code, "plant.code", "in this shop", better) for rival in near]


def free_plants(connection: Connection, code: str) -> list[str]:
    """The codes that differ from a plant's in one letter and were never given."""
    taken = set(plants.plant_codes(connection))
    return [made for made in one_letter_changed(code) if made not in taken]


def near_assemblies(
    connection: Connection, plant: PlantRow | None, codes: Iterable[str], tables: CodeTables
) -> list[Finding]:
    """A finding for each code of the shop's own that may be taken for another assembly of the kit or the plant.

    Codes that every shop begins with are not compared with one another: nobody can choose otherwise. Ordinals are not
    compared: they count along the flow (SW1, SW11), nobody chooses them either.
    """
    if tables.assemblies.keys() <= DEFAULT_TABLES.assemblies.keys():
        return []
    kit = list(dict.fromkeys(codes))
    alive = set(living_codes.living_assemblies(connection, plant.id)) if plant else set()
    found = []
    for n, code in enumerate(kit):
        if code in alive:
            continue
        near = rivals(code, comparable(code, (*alive, *kit[:n])))
        better = farther(code, fitting(code, tables), tables.assemblies.keys() - {code}) if near else ()
        found += [_finding("assembly_code_near", rival, code, "assembly", "in this plant", better) for rival in near]
    return found


def comparable(code: str, others: Iterable[str]) -> set[str]:
    """The assembly codes that one is compared with."""
    first = DEFAULT_TABLES.assemblies
    return {other for other in others if not (code in first and other in first)}


def fitting(code: str, tables: CodeTables) -> list[str]:
    """The codes that differ from an assembly's in one letter and that the shop's table would take."""
    others = tables.assemblies.keys() - {code}
    return [made for made in one_letter_changed(code) if not any(alike(made, other) for other in others)]


def one_letter_changed(code: str) -> Iterator[str]:
    """Every code that differs from this one in one letter."""
    for at, sign in enumerate(code):
        for letter in LETTERS:
            if letter != sign:
                yield f"{code[:at]}{letter}{code[at + 1 :]}"


def _finding(rule: str, rival: Rival, code: str, field: str, where: str, better: tuple[str, ...]) -> Finding:
    advice = f"Take {better[0]} instead" if better else "Take a code with more letters that are clearly different"
    return Finding(
        rule=rule,
        level="warning",
        message=f"it differs from {rival.code}, which is in use {where}, only in {rival.words}",
        field=field,
        value=code,
        todo=f"{advice}; once a mark is made the code is frozen for ever",
        place=field if "." in field else "",
        source=_SOURCE,
    )
