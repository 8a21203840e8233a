"""A shop after many kits: enough rows that an index has levels to climb, in the shape in which kits are issued."""

from __future__ import annotations

import random
from collections.abc import Iterator

from service.numbering.key import Key
from service.numbering.number import KitNumber, Number, Place
from service.store import containers, kits
from service.store.database import Database
from service.store.kits import NewAssembly, NewKit, NewPiece, NewSegment
from tests.factories import NOW, make_machine, make_plant, make_revision

SEGMENTS_A_KIT = 100
_DECKS = "LMUK"
_PER_DECK = 5
_KITS_A_TRANSACTION = 100


def fill(database: Database, *, segments: int) -> list[str]:
    """Put kits of one machine on record, ``SEGMENTS_A_KIT`` segments each; every number, in the order of issue."""
    with database.write() as connection:
        plant = make_plant(connection)
        machine = make_machine(connection)
        cut = make_revision(connection)
    numbers: list[str] = []
    keys = _keys()
    count = -(-segments // SEGMENTS_A_KIT)
    for start in range(1, count + 1, _KITS_A_TRANSACTION):
        with database.write() as connection:
            for nominal in range(start, min(count + 1, start + _KITS_A_TRANSACTION)):
                container = containers.add_container(
                    connection,
                    customer_id=plant.customer_id,
                    design="A",
                    nominal_digits=nominal,
                    name=f"tall round {nominal} mL",
                    nominal=str(nominal),
                    unit="mL",
                )
                kit = KitNumber("OSV", 4, "FC", 1, "A", nominal)
                assemblies = _assemblies(kit, cut.cut_file_id, cut.id, keys)
                kits.add_kit(
                    connection,
                    NewKit(
                        number=str(kit),
                        machine_id=machine.id,
                        container_id=container.id,
                        stock_colour="green",
                        issued_at=NOW,
                        assemblies=assemblies,
                    ),
                )
                numbers += [segment.number for assembly in assemblies for segment in assembly.segments]
    return numbers


def _keys() -> Iterator[str]:
    """Keys, none twice: of 200,000 random ones a few would be."""
    source, drawn = random.Random(1), set[str]()
    while True:
        key = str(Key.random(source))
        if key not in drawn:
            drawn.add(key)
            yield key


def _assemblies(kit: KitNumber, cut_file_id: int, revision_id: int, keys: Iterator[str]) -> tuple[NewAssembly, ...]:
    """Star wheels with segments on four decks."""
    stars = SEGMENTS_A_KIT // (len(_DECKS) * _PER_DECK)
    return tuple(
        NewAssembly(
            code="SW",
            ordinal=star,
            name=f"star wheel {star}",
            position=star,
            segments=tuple(
                NewSegment(
                    number=str(Number(kit, Place("SW", star, deck, ordinal))),
                    key=next(keys),
                    deck=deck,
                    ordinal=ordinal,
                    quantity=1,
                    material="UHMW-PE",
                    stock_colour="green",
                    thickness_mm=25.0,
                    mass_kg=1.07,
                    cut_file_id=cut_file_id,
                    revision_id=revision_id,
                    pieces=(NewPiece(key=next(keys), set_number=1, revision_id=revision_id, condition="fitted"),),
                )
                for deck in _DECKS
                for ordinal in range(1, _PER_DECK + 1)
            ),
        )
        for star in range(1, stars + 1)
    )
