"""The reading of a cut file: DXF bytes in, the part's shape in millimetres out, or a refusal that names the entity.

Units: the file's ``$INSUNITS`` counts. A unit that was given with the file only fills in where the file has none; if
both are there and differ, the file is refused, since one of them is wrong and a part of the wrong size would come out.

Layers: closed outlines on any layer count and are filled even-odd, so an island in a hole is material. Layers whose
names begin with one of the words of ``LayerNames`` mean something else: where to engrave, where not to, and where a hub
sits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from shapely.geometry import MultiPolygon, Polygon

from service.errors import BadCutFile, NoOutline, NoUnits
from service.outlines.chains import CLOSE_IT, OpenChain, join
from service.outlines.curves import MAX_POINTS, Curve, curve_of
from service.outlines.dxf_bytes import load_dxf
from service.outlines.entities import shown_curves
from service.outlines.fill import fill_even_odd, normal, sound_polygons
from service.outlines.units import LENGTH_UNITS, LengthUnit, unit_named, unit_of_insunits

MAX_SIZE_MM = 10_000.0
"""Largest width or height of a part."""
MIN_SIZE_MM = 1.0
"""Smallest larger side of a part."""

ENGRAVED_TEXT = "ENGRAVE_TEXT"
"""The layer that carries the strokes of an engraved text; closed letters on it are no outlines and no zones."""

ENGRAVED_REVISION = "ENGRAVE_REV"
"""The layer of the revision's letter in its ring, apart from the text; no zone either."""

Meaning = Literal["cut", "engrave", "keepout", "hub", "text"]


@dataclass(frozen=True, slots=True)
class LayerNames:
    """Beginnings of layer names that mean something other than a line to cut; letter case makes no difference.

    Attributes:
        engrave: closed outlines are zones in which the engraving should go; strokes are left out.
        keepout: closed outlines are zones that engraving and marks must leave clear.
        hub: closed outlines are where a hub or flange covers the part.
    """

    engrave: tuple[str, ...] = ("ENGRAVE",)
    keepout: tuple[str, ...] = ("KEEPOUT",)
    hub: tuple[str, ...] = ("HUB",)

    def meaning(self, layer: str) -> Meaning:
        """What a layer of this name means."""
        name = layer.strip().casefold()
        if name in (ENGRAVED_TEXT.casefold(), ENGRAVED_REVISION.casefold()):
            return "text"
        table: tuple[tuple[Meaning, tuple[str, ...]], ...] = (
            ("engrave", self.engrave),
            ("keepout", self.keepout),
            ("hub", self.hub),
        )
        for meaning, words in table:
            if any(word and name.startswith(word.casefold()) for word in words):
                return meaning
        return "cut"


DEFAULT_LAYERS = LayerNames()


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a cut file shows, in millimetres and in the file's own (assembly) coordinates.

    Attributes:
        material: the part, with holes as holes; several polygons when the file holds several pieces.
        engraving_zones: where the engraving should go; empty when the file does not say.
        keepouts: what engraving and marks must leave clear.
        hubs: what a hub or flange covers.
        units: the unit of the source, for example ``mm`` or ``in``.
        mm_per_unit: millimetres in one unit of the source.
    """

    material: MultiPolygon
    engraving_zones: tuple[Polygon, ...]
    keepouts: tuple[Polygon, ...]
    hubs: tuple[Polygon, ...]
    units: str
    mm_per_unit: float

    @property
    def area_mm2(self) -> float:
        """Area of the material without its holes, in mm²."""
        return float(self.material.area)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y in mm."""
        left, bottom, right, top = self.material.bounds
        return left, bottom, right, top

    @property
    def width_mm(self) -> float:
        """Extent along x in mm."""
        return self.bounds_mm[2] - self.bounds_mm[0]

    @property
    def height_mm(self) -> float:
        """Extent along y in mm."""
        return self.bounds_mm[3] - self.bounds_mm[1]

    @property
    def hole_count(self) -> int:
        """Number of holes in the material."""
        return sum(len(polygon.interiors) for polygon in self.material.geoms)


def read_drawing(data: bytes, *, name: str, units: str | None = None, layers: LayerNames = DEFAULT_LAYERS) -> Drawing:
    """The shape in a cut file.

    Args:
        data: the bytes of a DXF file; what they are, their content decides.
        name: the file's name, for messages.
        units: the unit that was given with the file, for a file that names none.
        layers: what layers mean.

    Raises:
        BadCutFile: no readable DXF, an entity that cannot be used, units that contradict each other, or a size that no
            part has.
        BadRequest: ``units`` names no unit.
        NoUnits: the file names no unit and none was given.
        NoOutline: no closed outline, or one that is open.
        SelfCrossing: an outline that crosses itself or another one.
    """
    dxf = load_dxf(data, name=name)
    unit = _unit(dxf.insunits, units, name)
    curves: dict[Meaning, list[Curve]] = {"cut": [], "engrave": [], "keepout": [], "hub": [], "text": []}
    points = 0
    for shown in shown_curves(dxf.document, name=name):
        curve = curve_of(shown, mm_per_unit=unit.mm, name=name)
        points += len(curve.points)
        if points > MAX_POINTS:
            raise BadCutFile(
                f"more than {MAX_POINTS:,} points once its curves are flattened",
                field="file",
                value=name,
                todo="Save the outline of one part alone, and check the units",
            )
        curves[layers.meaning(shown.layer)].append(curve)
    _refuse_sizes(curves["cut"], unit, name)
    rings, chains = join(curves["cut"], name=name)
    if not rings:
        raise _no_outline(chains, name)
    return Drawing(
        material=fill_even_odd(rings, name=name),
        engraving_zones=_zones(curves["engrave"], name, strict=False),
        keepouts=_zones(curves["keepout"], name),
        hubs=_zones(curves["hub"], name),
        units=unit.symbol,
        mm_per_unit=unit.mm,
    )


def _zones(curves: Sequence[Curve], name: str, *, strict: bool = True) -> tuple[Polygon, ...]:
    """Each closed outline as a zone of its own; zones may overlap. Engraving strokes among them are no fault."""
    rings, _ = join(curves, name=name, strict=strict)
    polygons = normal(MultiPolygon(sound_polygons(rings, name=name))).geoms
    return tuple(sorted(polygons, key=lambda polygon: polygon.bounds))


def _unit(insunits: int, given: str | None, name: str) -> LengthUnit:
    own = unit_of_insunits(insunits)
    stated = unit_named(given) if given and given.strip() else None
    if own is not None and stated is not None and own != stated:
        raise BadCutFile(
            f"the file says that it is drawn in {own.name}, but {stated.name} were given with it",
            field="units",
            value=given,
            todo=f"Leave the units out if {own.name} are right, or correct them in the drawing ($INSUNITS)",
            place=f"$INSUNITS {insunits}",
        )
    unit = own or stated
    if unit is None:
        raise NoUnits(
            "the file does not say in which units it is drawn ($INSUNITS is missing or 0)"
            if insunits == 0
            else f"$INSUNITS {insunits} names no unit",
            field="units",
            value=given,
            todo=f"Give the units with the file, for example {LENGTH_UNITS[3].symbol} or {LENGTH_UNITS[0].symbol}",
            place=f"file {name}",
        )
    return unit


def _no_outline(chains: Sequence[OpenChain], name: str) -> NoOutline:
    if not chains:
        return NoOutline(
            "no closed outline was found, and no line that could be part of one",
            field="file",
            value=name,
            todo="Draw the outline as closed polylines, circles or joined lines and arcs in model space",
        )
    longest = max(chains, key=lambda chain: chain.gap_mm)
    return NoOutline(
        f"no closed outline was found; {longest.sentence()}",
        field="file",
        value=name,
        todo=CLOSE_IT,
        place=longest.place,
    )


def _refuse_sizes(curves: Sequence[Curve], unit: LengthUnit, name: str) -> None:
    if not curves:
        return
    points = np.concatenate([curve.points for curve in curves])
    width, height = (float(extent) for extent in points.max(axis=0) - points.min(axis=0))
    if MIN_SIZE_MM <= max(width, height) <= MAX_SIZE_MM:
        return
    raise BadCutFile(
        f"the part would be {width:,.3f} × {height:,.3f} mm",
        field="file",
        value=name,
        todo=f"Check the units: the drawing is read in {unit.name}",
    )
