"""The one thing on record that a designation names, whatever sort of thing it is."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import BadRequest, ContainerUnknown, PlaceUnknown
from service.numbering.number import ContainerCode, LineName
from service.store import codes, plants
from service.store.alias_subjects import containers_called
from service.store.aliases import SubjectKind
from service.work.plates import kit_on_record
from service.work.read import find_mark
from service.work.where import machine_on_record

_SHAPES: tuple[tuple[SubjectKind, re.Pattern[str]], ...] = (
    ("plant", re.compile(r"[A-Z]{3,4}")),
    ("line", re.compile(r"[A-Z]{3,4}[0-9]+")),
    ("container", re.compile(r"(?:[A-Z]{3,4}-)?[A-Z]{1,2}[0-9]+")),
    ("machine", re.compile(r"[A-Z]{3,4}[0-9]+-[A-Z]{2}[0-9]+")),
    ("kit", re.compile(r"[A-Z]{3,4}[0-9]+-[A-Z]{2}[0-9]+-[A-Z]{1,2}[0-9]+")),
)


@dataclass(frozen=True, slots=True)
class Subject:
    """Something that may have aliases: its sort, its row id, and how it is designated."""

    kind: SubjectKind
    id: int
    designation: str


def kind_of(text: str) -> SubjectKind:
    """The sort of thing that a designation is written for; anything else is taken for the mark of a segment."""
    written = text.strip().upper()
    return next((kind for kind, shape in _SHAPES if shape.fullmatch(written)), "segment")


def subject_of(connection: Connection, kind: SubjectKind, text: str) -> Subject:
    """The thing of a sort that a text designates.

    Raises:
        BadCharacter, BadNumber, UnknownCode: the text is no designation of this sort.
        MarkUnknown, AmbiguousMark: no segment, or several.
        KitUnknown, MachineUnknown, PlaceUnknown, ContainerUnknown: not on record.
        BadRequest: two customers have a container of this code.
    """
    return Subject(kind, *_FIND[kind](connection, text.strip()))


def _segment(connection: Connection, text: str) -> tuple[int, str]:
    segment = find_mark(connection, text, field="of").segment
    return segment.id, segment.number


def _kit(connection: Connection, text: str) -> tuple[int, str]:
    kit = kit_on_record(connection, text)
    return kit.id, kit.number


def _machine(connection: Connection, text: str) -> tuple[int, str]:
    record = machine_on_record(connection, text, field="of")
    return record.machine.id, record.designation


def _line(connection: Connection, text: str) -> tuple[int, str]:
    name = LineName.parse(text.upper())
    plant = plants.find_plant(connection, name.plant)
    line = plants.find_line(connection, plant.id, name.line) if plant else None
    if line is None:
        raise PlaceUnknown(
            "no line of this designation is on record",
            field="of",
            value=text,
            todo="Write the plant's code and the line's ordinal, such as OSV4",
        )
    return line.id, str(name)


def _plant(connection: Connection, text: str) -> tuple[int, str]:
    plant = plants.find_plant(connection, text.upper())
    if plant is None:
        raise PlaceUnknown(
            "no plant of this code is on record",
            field="of",
            value=text,
            todo="Give the code that its numbers begin with, such as OSV",
        )
    return plant.id, plant.code


def _container(connection: Connection, text: str) -> tuple[int, str]:
    owner, _, code = text.upper().replace(" ", "-").rpartition("-")
    name = ContainerCode.parse(code, codes.code_tables(connection))
    found = containers_called(connection, name.design, name.nominal, plant=owner or None)
    if not found:
        raise ContainerUnknown(
            "no container of this code is on record",
            field="of",
            value=text,
            todo="Write it as in the kits' numbers, such as A500, or with a plant of its customer, OSV-A500",
        )
    if len(found) > 1:
        raise BadRequest(
            "several customers have a container of this code",
            field="of",
            value=text,
            todo=f"Write {' or '.join(one.designation for one in found)}",
        )
    return found[0].id, found[0].designation


_FIND: Mapping[SubjectKind, Callable[[Connection, str], tuple[int, str]]] = {
    "segment": _segment,
    "kit": _kit,
    "machine": _machine,
    "line": _line,
    "plant": _plant,
    "container": _container,
}
