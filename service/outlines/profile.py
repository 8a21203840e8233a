"""Where the middle of a cutter runs so that its edge cuts the profile of a part, and what it cannot reach."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from service.outlines.drawing import Drawing

Ring = tuple[tuple[float, float], ...]

CHORD_MM = 0.002
"""Farthest that a corner rounded by the cutter lies from its arc."""
SPECK_MM2 = 0.01
"""Smaller places that the cutter does not reach count as reached."""


@dataclass(frozen=True, slots=True)
class Profile:
    """Paths of the cutter's middle in the coordinates of the part, in mm; the last point of a ring is its first.

    Climb milling with a spindle that turns clockwise: outside contours clockwise, holes anticlockwise.

    Attributes:
        holes: inside contours; they are cut while the part still hangs in the sheet.
        outsides: outside contours.
        unreached_mm2: what is left standing in corners that are sharper than the cutter.
        closed: holes, by their middle, that are narrower than the cutter.
        crowded: whether the cutter would run into another part of the same drawing.
    """

    holes: tuple[Ring, ...]
    outsides: tuple[Ring, ...]
    unreached_mm2: float
    closed: tuple[tuple[float, float], ...]
    crowded: bool


def profile_of(drawing: Drawing, diameter_mm: float) -> Profile:
    """The paths that cut a drawing out of its sheet.

    Args:
        drawing: the part.
        diameter_mm: of the cutter.
    """
    radius = diameter_mm / 2
    segments = _quarter_segments(radius)
    outsides: list[Ring] = []
    holes: list[Ring] = []
    closed: list[tuple[float, float]] = []
    unreached: list[BaseGeometry] = []
    swept: list[BaseGeometry] = []
    for part in drawing.material.geoms:
        solid = Polygon(part.exterior)
        grown = solid.buffer(radius, quad_segs=segments)
        unreached.append(grown.buffer(-radius, quad_segs=segments).difference(solid))
        for outline in _polygons(grown):
            outsides.append(_ring(outline, clockwise=True))
            # A loop of the offset that closed on itself is a narrow inlet: the cutter does not enter it.
            swept.append(LineString(outline.exterior.coords).buffer(radius, quad_segs=segments))
        for interior in part.interiors:
            hole = Polygon(interior)
            inner = hole.buffer(-radius, quad_segs=segments)
            if inner.is_empty:
                centre = hole.representative_point()
                closed.append((float(centre.x), float(centre.y)))
                continue
            unreached.append(hole.difference(inner.buffer(radius, quad_segs=segments)))
            holes.extend(_ring(outline, clockwise=False) for outline in _polygons(inner))
    left = [piece for geometry in unreached for piece in _polygons(geometry) if piece.area > SPECK_MM2]
    touched = shapely.union_all(swept).intersection(drawing.material) if swept else Polygon()
    return Profile(
        holes=tuple(holes),
        outsides=tuple(outsides),
        unreached_mm2=float(sum(piece.area for piece in left)),
        closed=tuple(closed),
        crowded=bool(touched.area > max(SPECK_MM2, drawing.area_mm2 * 1e-5)),
    )


def _quarter_segments(radius: float) -> int:
    """Chords in a quarter circle that keep within ``CHORD_MM`` of it."""
    if radius <= CHORD_MM:
        return 4
    return max(8, math.ceil((math.pi / 2) / (2 * math.acos(1 - CHORD_MM / radius))))


def _polygons(geometry: BaseGeometry) -> list[Polygon]:
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    if isinstance(geometry, MultiPolygon) or hasattr(geometry, "geoms"):
        return [part for part in geometry.geoms if isinstance(part, Polygon) and not part.is_empty]
    return []


def _ring(outline: Polygon, *, clockwise: bool) -> Ring:
    turned = orient(Polygon(outline.exterior), -1.0 if clockwise else 1.0)
    return tuple((float(x), float(y)) for x, y in turned.exterior.coords)
