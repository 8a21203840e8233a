"""What is on record of everything that a mark may show: each different text, of very many the longest, and maxima."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, func, select
from sqlalchemy.orm import InstrumentedAttribute

from service.store.tables import (
    Assembly,
    Container,
    Customer,
    Event,
    Kit,
    Line,
    Machine,
    PlaceName,
    Plant,
    Revision,
    Segment,
    SharedSegment,
)

#: Of texts that differ on every mark so many are looked at, those with most signs first.
MOST_NUMBERS = 500

_NAMES: Mapping[str, tuple[InstrumentedAttribute[str], ...]] = {
    "assembly_name": (Assembly.name,),
    "customer": (Customer.name,),
    "plant": (Plant.name,),
    "line": (Line.name,),
    "machine": (Machine.name,),
    "kit": (Kit.number,),
    "revision": (Revision.letter,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRecord:
    """What the records hold of what a mark may show.

    Attributes:
        texts: by the name of the fact: names, numbers of kits and of segments, letters of revisions.
        containers: design and digits, name, nominal content, unit.
        rotations: of machines.
        sheets: material, stock colour, thickness in mm and hand of segments, each combination once.
        most_pieces: of one segment.
        heaviest_kg: one piece.
        highest_ordinal: of a segment on a deck.
        most_of_kit: pieces of the fullest kit.
        heaviest_kit_kg: the heaviest kit.
        most_shared: the number of the segment that serves most other kits, and those kits.
        fullest: code, ordinal and pieces of each assembly of the kit with most assemblies.
    """

    texts: Mapping[str, tuple[str, ...]]
    containers: tuple[tuple[str, str, str, str], ...]
    rotations: tuple[str, ...]
    sheets: tuple[tuple[str, str, float, str | None], ...]
    most_pieces: int
    heaviest_kg: float
    highest_ordinal: int
    most_of_kit: int
    heaviest_kit_kg: float
    most_shared: tuple[str, tuple[str, ...]]
    fullest: tuple[tuple[str, int, int], ...]


def last_change(connection: Connection) -> int:
    """The number of the last event: while it stays, so does everything on record."""
    return connection.scalar(select(func.coalesce(func.max(Event.id), 0))) or 0


def on_record(connection: Connection) -> OnRecord:
    """What the records hold of what a mark may show, in a few passes over the tables."""
    texts = {name: _distinct(connection, columns) for name, columns in _NAMES.items()}
    old_names = select(PlaceName.plant_id.is_not(None), PlaceName.name).distinct()
    for is_plant, name in connection.execute(old_names):
        place = "plant" if is_plant else "line"
        texts[place] = (*texts[place], name)
    length = func.length(Segment.number)
    texts["number"] = tuple(connection.scalars(select(Segment.number).order_by(length.desc()).limit(MOST_NUMBERS)))
    most = select(func.max(Segment.quantity), func.max(Segment.mass_kg), func.max(Segment.ordinal))
    pieces, mass, ordinal = connection.execute(most).one()
    kits = (
        select(func.sum(Segment.quantity).label("pieces"), func.sum(Segment.quantity * Segment.mass_kg).label("mass"))
        .where(Segment.status == "active")
        .group_by(Segment.kit_id)
        .subquery()
    )
    kit_pieces, kit_mass = connection.execute(select(func.max(kits.c.pieces), func.max(kits.c.mass))).one()
    sheets = select(Segment.material, Segment.stock_colour, Segment.thickness_mm, Segment.hand).distinct()
    bottles = select(Container.design, Container.nominal_digits, Container.name, Container.nominal, Container.unit)
    return OnRecord(
        texts=texts,
        containers=tuple(
            (f"{design}{digits}", name, nominal, unit)
            for design, digits, name, nominal, unit in connection.execute(bottles.distinct())
        ),
        rotations=tuple(connection.scalars(select(Machine.rotation).where(Machine.rotation.is_not(None)).distinct())),
        sheets=tuple((str(row[0]), str(row[1]), float(row[2]), row[3]) for row in connection.execute(sheets)),
        most_pieces=pieces or 0,
        heaviest_kg=mass or 0.0,
        highest_ordinal=ordinal or 0,
        most_of_kit=int(kit_pieces or 0),
        heaviest_kit_kg=float(kit_mass or 0.0),
        most_shared=_most_shared(connection),
        fullest=_fullest(connection),
    )


def _distinct(connection: Connection, columns: tuple[InstrumentedAttribute[str], ...]) -> tuple[str, ...]:
    return tuple(text for column in columns for text in connection.scalars(select(column).distinct()))


def _most_shared(connection: Connection) -> tuple[str, tuple[str, ...]]:
    count = func.count()
    first = connection.execute(
        select(SharedSegment.segment_id).group_by(SharedSegment.segment_id).order_by(count.desc()).limit(1)
    ).scalar()
    if first is None:
        return "", ()
    number = connection.scalar(select(Segment.number).where(Segment.id == first)) or ""
    kits = (
        select(Kit.number).join(SharedSegment, SharedSegment.kit_id == Kit.id).where(SharedSegment.segment_id == first)
    )
    return number, tuple(connection.scalars(kits.order_by(Kit.id)))


def _fullest(connection: Connection) -> tuple[tuple[str, int, int], ...]:
    count = func.count()
    kit = connection.execute(select(Assembly.kit_id).group_by(Assembly.kit_id).order_by(count.desc()).limit(1)).scalar()
    if kit is None:
        return ()
    rows = connection.execute(
        select(Assembly.code, Assembly.ordinal, func.sum(Segment.quantity))
        .join(Segment, Segment.assembly_id == Assembly.id)
        .where(Assembly.kit_id == kit, Segment.status == "active")
        .group_by(Assembly.id, Assembly.code, Assembly.ordinal, Assembly.position)
        .order_by(Assembly.position)
    )
    return tuple((code, ordinal, int(pieces)) for code, ordinal, pieces in rows)
