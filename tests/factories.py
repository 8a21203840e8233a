"""Rows of the demo scenario for tests, keyword-only; what a test does not say gets a plain value."""

from __future__ import annotations

import hashlib
import itertools
import multiprocessing
import random
from collections.abc import Sequence
from typing import Literal

from sqlalchemy import Connection

from service.numbering.key import Key
from service.numbering.number import KitNumber, Number, Place
from service.store import containers, cutfiles, kits, plants
from service.store.kits import NewAssembly, NewJoint, NewKit, NewPiece, NewSegment
from service.store.values import ContainerRow, KitRow, MachineRow, PlantRow, RevisionRow

NOW = "2026-03-09T08:15:00Z"
# Two processes that write to one database must not draw the same keys; a process draws the same ones in every run.
_KEYS = random.Random(multiprocessing.current_process().name)


def make_key() -> str:
    """A key that no earlier call gave; the same sequence in every run."""
    return str(Key.random(_KEYS))


def make_plant(
    connection: Connection, *, code: str = "OSV", name: str = "Ostrey Vale", customer: str = "Tarnquill Waters"
) -> PlantRow:
    """The plant with a code, registered if it is new."""
    return plants.find_plant(connection, code) or plants.add_plant(connection, code=code, name=name, customer=customer)


def make_machine(
    connection: Connection, *, plant_code: str = "OSV", line: int = 4, machine_class: str = "FC", ordinal: int = 1
) -> MachineRow:
    """A machine with its plant and line, registered if they are new."""
    plant = make_plant(connection, code=plant_code)
    on = plants.find_line(connection, plant.id, line) or plants.add_line(
        connection, plant_id=plant.id, ordinal=line, name=f"line {line}"
    )
    return plants.find_machine(connection, on.id, machine_class, ordinal) or plants.add_machine(
        connection,
        line_id=on.id,
        machine_class=machine_class,
        ordinal=ordinal,
        name="filler-capper",
        rotation="clockwise",
        at=NOW,
    )


def make_container(
    connection: Connection, *, customer_id: int, design: str = "A", nominal: int = 500, name: str = "tall round 500 mL"
) -> ContainerRow:
    """A container in millilitres, registered if it is new."""
    return containers.find_container(connection, customer_id, design, nominal) or containers.add_container(
        connection,
        customer_id=customer_id,
        design=design,
        nominal_digits=nominal,
        name=name,
        nominal=str(nominal),
        unit="mL",
        shape="round",
        diameter_mm=65.3,
        min_body_mm=64.9,
        max_body_mm=65.7,
        height_mm=212.0,
    )


def make_revision(
    connection: Connection,
    *,
    name: str = "osv4-fc1-a500-sw2-u3.dxf",
    letter: str = "-",
    ordinal: int = 0,
    joints_changed: Sequence[str] = (),
    interfaces_changed: Sequence[str] = (),
    data: bytes | None = None,
) -> RevisionRow:
    """A released revision. Its bytes are in no vault unless the test puts them there."""
    bytes_ = f"{name} {letter}".encode() if data is None else data
    return cutfiles.add_revision(
        connection,
        name=name,
        letter=letter,
        ordinal=ordinal,
        sha256=hashlib.sha256(bytes_).hexdigest(),
        size_bytes=len(bytes_),
        note=f"release {letter}",
        units="mm",
        area_mm2=45_500.0,
        width_mm=310.0,
        height_mm=180.0,
        drawing=b"drawing of " + bytes_,
        released_at=NOW,
        joints_changed=joints_changed,
        interfaces_changed=interfaces_changed,
    )


def make_segments(
    kit: KitNumber,
    *,
    revision: RevisionRow,
    count: int,
    assembly: str = "SW",
    assembly_ordinal: int = 2,
    deck: str = "U",
    first: int = 1,
    condition: Literal["ordered", "fitted"] = "fitted",
) -> tuple[NewSegment, ...]:
    """New segments of one deck, numbered on from ``first``, each with one piece cut from the revision."""
    return tuple(
        NewSegment(
            number=str(Number(kit, Place(assembly, assembly_ordinal, deck, ordinal))),
            key=make_key(),
            deck=deck,
            ordinal=ordinal,
            quantity=1,
            material="UHMW-PE",
            stock_colour="green",
            thickness_mm=25.0,
            mass_kg=1.07,
            cut_file_id=revision.cut_file_id,
            revision_id=revision.id,
            pieces=(NewPiece(key=make_key(), set_number=1, revision_id=revision.id, condition=condition),),
        )
        for ordinal in range(first, first + count)
    )


def make_kit(
    connection: Connection,
    *,
    segments: int = 4,
    plant_code: str = "OSV",
    line: int = 4,
    design: str = "A",
    nominal: int = 500,
    revision: RevisionRow | None = None,
    shared_segment_ids: Sequence[int] = (),
    further_container_ids: Sequence[int] = (),
) -> KitRow:
    """An issued kit of one star wheel whose segments interlock in a row."""
    machine = make_machine(connection, plant_code=plant_code, line=line)
    plant = make_plant(connection, code=plant_code)
    container = make_container(connection, customer_id=plant.customer_id, design=design, nominal=nominal)
    number = KitNumber(plant_code, line, "FC", 1, design, nominal)
    file_name = f"{number}-sw2.dxf".lower()
    cut = revision or cutfiles.find_revision(connection, file_name, "-") or make_revision(connection, name=file_name)
    new = make_segments(number, revision=cut, count=segments)
    kits.add_kit(
        connection,
        NewKit(
            number=str(number),
            machine_id=machine.id,
            container_id=container.id,
            stock_colour="green",
            issued_at=NOW,
            assemblies=(NewAssembly(code="SW", ordinal=2, name="discharge star wheel", position=1, segments=new),),
            joints=tuple(
                NewJoint(first=one.number, second=other.number, form="dovetail", clearance_mm=0.15)
                for one, other in itertools.pairwise(new)
            ),
            shared_segment_ids=shared_segment_ids,
            further_container_ids=further_container_ids,
        ),
    )
    made = kits.find_kit(connection, str(number))
    assert made is not None
    return made
