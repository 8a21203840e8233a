"""Every segment of a plant that a machine may meet, with its machine and its container."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, and_, bindparam, func, select
from sqlalchemy.orm import aliased

from service.store.segments import MACHINE_ORDER
from service.store.tables import (
    Assembly,
    Container,
    CutFile,
    Kit,
    Line,
    Machine,
    Placement,
    Plant,
    Revision,
    Segment,
)


@dataclass(frozen=True, slots=True)
class PlantPart:
    """A segment as it is compared with others of its plant; ``machine`` is the birth designation."""

    segment_id: int
    number: str
    assembly_code: str
    assembly_ordinal: int
    assembly_name: str
    deck: str
    ordinal: int
    kit: str
    plant_code: str
    line_ordinal: int
    machine_class: str
    machine_ordinal: int
    design: str
    nominal_digits: int
    max_body_mm: float | None
    diameter_mm: float | None
    width_mm: float | None
    height_mm: float | None
    hand: str | None
    stock_colour: str
    thickness_mm: float
    cut_file: str
    revision: str
    revision_id: int

    @property
    def place(self) -> str:
        """Assembly and place inside the kit, for example ``SW2-U3``."""
        return f"{self.assembly_code}{self.assembly_ordinal}-{self.deck}{self.ordinal}"

    @property
    def machine(self) -> str:
        """The machine's birth designation, for example ``OSV4-FC1``."""
        return f"{self.plant_code}{self.line_ordinal}-{self.machine_class}{self.machine_ordinal}"

    @property
    def container(self) -> str:
        """The container's code, for example ``A500``."""
        return f"{self.design}{self.nominal_digits}"

    @property
    def body_mm(self) -> float | None:
        """The greatest width of the container's body that is on record."""
        return next((one for one in (self.max_body_mm, self.diameter_mm, self.width_mm) if one is not None), None)


_Now, _NowPlant = aliased(Line), aliased(Plant)
_PARTS = (
    select(
        Segment.id, Segment.number, Assembly.code, Assembly.ordinal, Assembly.name, Segment.deck, Segment.ordinal,
        Kit.number, Plant.code, Line.ordinal, Machine.machine_class, Machine.ordinal,
        Container.design, Container.nominal_digits, Container.max_body_mm, Container.diameter_mm,
        Container.width_mm, Container.height_mm,
        Segment.hand, Segment.stock_colour, Segment.thickness_mm, CutFile.name, Revision.letter, Segment.revision_id,
    )
    .join(Kit, Kit.id == Segment.kit_id)
    .join(Assembly, Assembly.id == Segment.assembly_id)
    .join(Machine, Machine.id == Kit.machine_id)
    .join(Line, Line.id == Machine.born_line_id)
    .join(Plant, Plant.id == Line.plant_id)
    .join(Container, Container.id == Kit.container_id)
    .join(Revision, Revision.id == Segment.revision_id)
    .join(CutFile, CutFile.id == Segment.cut_file_id)
    .outerjoin(Placement, and_(Placement.machine_id == Machine.id, Placement.until_at.is_(None)))
    .outerjoin(_Now, _Now.id == Placement.line_id)
    .outerjoin(_NowPlant, _NowPlant.id == _Now.plant_id)
    .where(
        Segment.status == "active",
        Kit.status == "issued",
        func.coalesce(_NowPlant.code, Plant.code) == bindparam("plant"),
    )
    .order_by(Kit.id, *MACHINE_ORDER)
)  # fmt: skip


def parts_of_plant(connection: Connection, plant_code: str) -> tuple[PlantPart, ...]:
    """The segments of kits in use whose machine stands in a plant, or was born there and stands on no line."""
    rows: Iterable[Sequence[Any]] = connection.execute(_PARTS, {"plant": plant_code})
    return tuple(PlantPart(*row) for row in rows)
