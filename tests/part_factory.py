"""Parts for tests of engraving and pictures: real shapes in mm, without a cut file behind them."""

from __future__ import annotations

import math
from collections.abc import Callable

from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.engraving import Engraving, plan_engraving
from service.marks.placed import PlacedEngraving
from service.marks.plan import PlanPart
from service.outlines.drawing import Drawing
from service.outlines.face import FULL, face_of
from service.outlines.room import Rectangle

NUMBER = "OSV4-FC1-A500-SW2-U3-42"
KEY = "K7M4XRAW"
GREEN = (0, 122, 72)


def make_drawing(
    shape: BaseGeometry | None = None,
    *,
    keepouts: tuple[Polygon, ...] = (),
    hubs: tuple[Polygon, ...] = (),
    engraving_zones: tuple[Polygon, ...] = (),
) -> Drawing:
    """A drawing of a shape; a plate of 200 by 90 mm with one hole unless given."""
    shape = box(0, 0, 200, 90).difference(Point(30, 45).buffer(12)) if shape is None else shape
    parts = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    material = MultiPolygon([part for part in parts if isinstance(part, Polygon)])
    return Drawing(
        material=material,
        engraving_zones=engraving_zones,
        keepouts=keepouts,
        hubs=hubs,
        units="mm",
        mm_per_unit=1.0,
    )


def star_segment(*, pockets: int, pitch_radius_mm: float, pocket_mm: float, segments: int, ordinal: int) -> Polygon:
    """One segment of a star wheel in assembly coordinates, with a tenth of a millimetre of clearance a side."""
    star: BaseGeometry = Point(0, 0).buffer(pitch_radius_mm, 96).difference(Point(0, 0).buffer(60, 48))
    for pocket in range(pockets):
        turn = 2 * math.pi * pocket / pockets
        centre = Point(pitch_radius_mm * math.cos(turn), pitch_radius_mm * math.sin(turn))
        star = star.difference(centre.buffer(pocket_mm / 2, 24))
    start, end = (2 * math.pi * (ordinal - 1 + side) / segments + 0.11 for side in (0, 1))
    far = 2 * pitch_radius_mm
    steps = [start + (end - start) * step / 24 for step in range(25)]
    wedge = Polygon([(0, 0), *((far * math.cos(turn), far * math.sin(turn)) for turn in steps)])
    segment = star.intersection(wedge).buffer(-0.1)
    assert isinstance(segment, Polygon)
    return segment


def room_of(width_mm: float, height_mm: float, *, angle_deg: float = 0.0) -> Callable[[float], Rectangle | None]:
    """A part whose free area is one rectangle round (100, 50)."""

    def largest(aspect: float) -> Rectangle | None:
        width = min(width_mm, height_mm * aspect)
        return Rectangle(centre=(100.0, 50.0), width_mm=width, height_mm=width / aspect, angle_deg=angle_deg)

    return largest


def make_engraving(
    *,
    number: str = NUMBER,
    key: str = KEY,
    width_mm: float = 90.0,
    height_mm: float = 30.0,
    angle_deg: float = 0.0,
    cutter: Cutter = USUAL_CUTTER,
) -> Engraving:
    """An engraving planned into one rectangle."""
    room = room_of(width_mm, height_mm, angle_deg=angle_deg)
    return plan_engraving(number=number, key=key, room=room, cutter=cutter)


def make_placed(engraving: Engraving | None = None, drawing: Drawing | None = None) -> PlacedEngraving:
    """An engraving as one that was placed on a part with full margins; a plate unless given."""
    return PlacedEngraving(
        engraving=engraving or make_engraving(),
        face=face_of(drawing or make_drawing()),
        margins=FULL,
        seen=True,
        off_deg=0.0,
    )


def make_plan_part(
    *,
    place: str = "SW2-U3",
    deck: str = "upper",
    assembly: str = "discharge star wheel 2",
    shape: BaseGeometry | None = None,
    href: str | None = None,
    title: str = "",
    quantity: int = 1,
    rotation: str = "",
) -> PlanPart:
    """A part of a plan."""
    return PlanPart(
        id=f"OSV4-FC1-A500-{place}-42",
        place=place,
        deck=deck,
        assembly=assembly,
        drawing=make_drawing(shape),
        colour=GREEN,
        label=place.rpartition("-")[2],
        href=href,
        title=title,
        quantity=quantity,
        rotation=rotation,
    )


def make_kit() -> list[PlanPart]:
    """A kit of 62 segments: three stars on two decks, guides, rails and forty bottle plates under one number."""
    parts: list[PlanPart] = []
    wheels = (("SW1", "infeed star wheel 1", 12, 180.0), ("SW2", "discharge star wheel 2", 24, 400.0))
    for code, name, pockets, radius in (*wheels, ("SW3", "transfer star wheel 3", 12, 180.0)):
        for deck, letter in (("lower", "L"), ("upper", "U")):
            for ordinal in range(1, 9):
                segment = star_segment(
                    pockets=pockets, pitch_radius_mm=radius, pocket_mm=68, segments=8, ordinal=ordinal
                )
                parts.append(
                    make_plan_part(
                        place=f"{code}-{letter}{ordinal}",
                        deck=deck,
                        assembly=name,
                        shape=segment,
                        rotation="clockwise",
                        href=f"/kits/OSV4-FC1-A500/{code}-{letter}{ordinal}",
                    )
                )
    parts += [
        make_plan_part(place=f"RL1-X{ordinal}", deck="", assembly="rail 1", shape=box(0, 0, 620, 24))
        for ordinal in range(1, 13)
    ]
    plate = Point(0, 0).buffer(38).difference(Point(0, 0).buffer(5))
    parts.append(make_plan_part(place="BP1-X1", deck="", assembly="bottle plate 1", shape=plate, quantity=40))
    parts.append(make_plan_part(place="TS1-X1", deck="", assembly="timing screw 1", shape=box(0, 0, 540, 90)))
    return parts
