"""What became of the pieces of a plant's segments: how long each was in use, and what ended it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, func, select
from sqlalchemy.orm import aliased

from service.store.segments import MACHINE_ORDER
from service.store.tables import (
    Assembly,
    Kit,
    Line,
    Machine,
    Piece,
    PieceEnd,
    Placement,
    Plant,
    Reorder,
    Retirement,
    Segment,
)


@dataclass(frozen=True, slots=True)
class CountedSegment:
    """A segment that pieces are counted of."""

    id: int
    number: str
    kit: str
    kit_issued_at: str
    kit_retired_at: str | None
    machine_class: str
    assembly_code: str
    assembly_ordinal: int
    assembly_name: str
    deck: str
    ordinal: int
    quantity: int

    @property
    def place(self) -> str:
        """Assembly and place inside the kit, for example ``SW2-U3``."""
        return f"{self.assembly_code}{self.assembly_ordinal}-{self.deck}{self.ordinal}"


@dataclass(frozen=True, slots=True)
class PieceLife:
    """A piece, or ``count`` like ones.

    ``end`` is the kind of its end, None while it has none; ``ordered_for`` is the segment that the reorder was made for
    which took it out, its own or that of a neighbour.
    """

    segment_id: int
    set_number: int
    count: int
    condition: str
    made_at: str | None
    end: str | None
    ended_at: str | None
    ordered_for: int | None


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """Pieces on order for a segment."""

    segment_id: int
    quantity: int


_Now, _NowPlant = aliased(Line), aliased(Plant)


def _of_plant(query: Select[*tuple[Any, ...]], plant_code: str) -> Select[*tuple[Any, ...]]:
    """A question about segments, narrowed to machines that stand in a plant, or were born there and stand nowhere."""
    in_plant: ColumnElement[bool] = func.coalesce(_NowPlant.code, Plant.code) == plant_code
    return (
        query.join(Kit, Kit.id == Segment.kit_id)
        .join(Machine, Machine.id == Kit.machine_id)
        .join(Line, Line.id == Machine.born_line_id)
        .join(Plant, Plant.id == Line.plant_id)
        .outerjoin(Placement, and_(Placement.machine_id == Machine.id, Placement.until_at.is_(None)))
        .outerjoin(_Now, _Now.id == Placement.line_id)
        .outerjoin(_NowPlant, _NowPlant.id == _Now.plant_id)
        .where(in_plant, Segment.status == "active")
    )


def counted_segments(connection: Connection, plant_code: str) -> tuple[CountedSegment, ...]:
    """The segments of a plant, kit by kit in machine order; those of kits out of use too, voided ones not."""
    query = (
        select(
            Segment.id, Segment.number, Kit.number, Kit.issued_at, Retirement.retired_at, Machine.machine_class,
            Assembly.code, Assembly.ordinal, Assembly.name, Segment.deck, Segment.ordinal, Segment.quantity,
        )
        .join(Assembly, Assembly.id == Segment.assembly_id)
    )  # fmt: skip
    narrowed = _of_plant(query, plant_code).outerjoin(Retirement, Retirement.kit_id == Kit.id)
    rows: Iterable[Sequence[Any]] = connection.execute(narrowed.order_by(Kit.id, *MACHINE_ORDER))
    return tuple(CountedSegment(*row) for row in rows)


def piece_lives(connection: Connection, plant_code: str) -> tuple[PieceLife, ...]:
    """Every piece that was ever fitted or made for the segments of a plant; those on order are left out."""
    query = (
        select(
            Piece.segment_id, Piece.set_number, Piece.count, Piece.condition, Piece.made_at,
            PieceEnd.kind, PieceEnd.ended_at, Reorder.segment_id,
        )
        .join(Segment, Segment.id == Piece.segment_id)
        .outerjoin(PieceEnd, PieceEnd.piece_id == Piece.id)
        .outerjoin(Reorder, Reorder.id == PieceEnd.reorder_id)
        .where(Piece.condition != "ordered")
    )  # fmt: skip
    rows: Iterable[Sequence[Any]] = connection.execute(_of_plant(query, plant_code).order_by(Piece.id))
    return tuple(PieceLife(*row) for row in rows)


def open_orders(connection: Connection, plant_code: str) -> tuple[OpenOrder, ...]:
    """What is on order for the segments of a plant."""
    query = (
        select(Reorder.segment_id, Reorder.quantity)
        .join(Segment, Segment.id == Reorder.segment_id)
        .where(Reorder.state == "open")
    )
    rows: Iterable[Sequence[Any]] = connection.execute(_of_plant(query, plant_code).order_by(Reorder.id))
    return tuple(OpenOrder(*row) for row in rows)


def plant_of_kit(connection: Connection, kit_id: int) -> str:
    """The code of the plant in which a kit's machine stands; where it was born, if it stands nowhere."""
    query = (
        select(func.coalesce(_NowPlant.code, Plant.code))
        .select_from(Kit)
        .join(Machine, Machine.id == Kit.machine_id)
        .join(Line, Line.id == Machine.born_line_id)
        .join(Plant, Plant.id == Line.plant_id)
        .outerjoin(Placement, and_(Placement.machine_id == Machine.id, Placement.until_at.is_(None)))
        .outerjoin(_Now, _Now.id == Placement.line_id)
        .outerjoin(_NowPlant, _NowPlant.id == _Now.plant_id)
        .where(Kit.id == kit_id)
    )
    return str(connection.scalar(query))
