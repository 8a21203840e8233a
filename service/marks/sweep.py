"""What the cutter leaves: centre lines swept to grooves, and the material that stands between them.

A groove is the band along a centre line with round ends (a stadium for a straight stroke), as wide as the cutter opens
at the surface. Straight and ball cutters keep that width down to where the ball begins to round; a V narrows all the
way. Letters are swept once a ratio of groove to cap height and then only put into place.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from service.marks.cutters import Cutter
from service.marks.engraved import Engraving
from service.marks.strokes import STROKE_WIDTH, Stroke, glyph

QUARTER_SEGMENTS = 4
"""Straight pieces of a quarter of a round end: they lie within 2 % of half the groove inside the true circle."""
SMOOTH = 0.001
"""How far a point of a groove may lie beside it to be left out, in cap heights: 4 µm of letters of 3.5 mm."""
_HAIR = 1e-4
"""A line so thin, in cap heights, that what it encloses is what the centre lines enclose."""


@dataclass(frozen=True, slots=True)
class Counter:
    """A part of the surface that a letter encloses and that stands.

    Attributes:
        island: its outline at the surface, in cap heights from the letter's lower left corner.
        share: its area over that of the same counter drawn with the line of ISO 3098 (a tenth of the height).
        width: diameter of the largest circle in it, in cap heights.
    """

    island: Polygon
    share: float
    width: float


@dataclass(frozen=True, slots=True)
class SweptGlyph:
    """A letter as the cutter leaves it, in cap heights from its lower left corner.

    Attributes:
        char: the letter.
        groove: what is cut, at the surface.
        counters: what stands inside.
        lost: counters that are drawn and no longer stand.
        gained: holes where the letter is open as it is drawn.
    """

    char: str
    groove: Polygon | MultiPolygon
    counters: tuple[Counter, ...]
    lost: int
    gained: int


@dataclass(frozen=True, slots=True)
class Sweep:
    """An engraving as the cutter leaves it, in mm on the part.

    Attributes:
        grooves: letter by letter in reading order, the base line last; one polygon a dot where dots are drilled.
    """

    grooves: tuple[BaseGeometry, ...]

    @property
    def islands(self) -> tuple[Polygon, ...]:
        """What stands inside letters, in the same order."""
        return tuple(hole for groove in self.grooves for hole in _holes(groove))


def swept(strokes: Iterable[Stroke], width_mm: float, *, quarter_segments: int = 16) -> MultiPolygon:
    """The grooves of any strokes, joined where they touch; widths and coordinates in mm."""
    lines = shapely.multilinestrings([shapely.linestrings(stroke) for stroke in strokes])
    return _many(shapely.buffer(lines, width_mm / 2, quad_segs=quarter_segments))


def width_at_mm(cutter: Cutter, below_mm: float) -> float:
    """Width of the groove so far below the surface; 0 at its bottom's point and beneath it.

    The section of a cone narrows by 2 tan(a/2) a millimetre down to its flat; that of a ball of radius r at height t
    over its lowest point is 2 sqrt(2 r t - t²); that of a straight cutter does not narrow.
    """
    over_tip = cutter.depth_mm - below_mm
    if below_mm < 0 or over_tip < 0:
        return 0.0
    radius = cutter.diameter_mm / 2
    if cutter.kind == "vee":
        return min(cutter.tip_mm + 2 * over_tip * math.tan(math.radians(cutter.angle_deg) / 2), cutter.diameter_mm)
    if cutter.kind == "ball" and over_tip < radius:
        return 2 * math.sqrt(max(0.0, 2 * radius * over_tip - over_tip**2))
    return cutter.diameter_mm


def depth_at_mm(cutter: Cutter, aside_mm: float) -> float:
    """How deep the groove is at a distance from its centre line; 0 beside it."""
    aside = abs(aside_mm)
    if aside > cutter.groove_mm / 2:
        return 0.0
    radius = cutter.diameter_mm / 2
    if cutter.kind == "vee":
        return cutter.depth_mm - max(0.0, aside - cutter.tip_mm / 2) / math.tan(math.radians(cutter.angle_deg) / 2)
    if cutter.kind == "ball":
        return cutter.depth_mm - (radius - math.sqrt(max(0.0, radius**2 - aside**2)))
    return cutter.depth_mm


def section_area_mm2(cutter: Cutter) -> float:
    """Area of the cross section of a groove: what comes out as chips a millimetre of its length."""
    radius, depth = cutter.diameter_mm / 2, cutter.depth_mm
    if cutter.kind == "vee":
        cone = min(depth, (cutter.diameter_mm - cutter.tip_mm) / 2 / math.tan(math.radians(cutter.angle_deg) / 2))
        return (cutter.tip_mm + width_at_mm(cutter, depth - cone)) / 2 * cone + cutter.diameter_mm * (depth - cone)
    if cutter.kind == "ball":
        cap = min(depth, radius)
        half = math.acos((radius - cap) / radius)
        return radius**2 * (half - math.sin(half) * math.cos(half)) + cutter.diameter_mm * (depth - cap)
    return cutter.diameter_mm * depth


@lru_cache(maxsize=4096)
def swept_glyph(char: str, ratio: float) -> SweptGlyph:
    """A letter under a groove of ``ratio`` cap heights.

    Raises:
        MissingGlyph: the font has no such letter.
    """
    groove = _glyph_groove(char, ratio)
    drawn = _holes(_glyph_groove(char, STROKE_WIDTH))
    holes = _holes(groove)
    enclosed = shapely.union_all([_filled(hole) for hole in _holes(_glyph_groove(char, _HAIR))])
    standing: list[Counter] = []
    for counter in drawn:
        # A counter that a wide groove cuts in two stands as far as its largest part does.
        parts = [hole for hole in holes if hole.intersects(counter)]
        if parts:
            largest = max(parts, key=lambda part: part.area)
            standing.append(Counter(island=largest, share=largest.area / counter.area, width=_width(largest)))
    return SweptGlyph(
        char=char,
        groove=groove,
        counters=tuple(standing),
        lost=len(drawn) - len(standing),
        gained=sum(not hole.intersects(enclosed) for hole in holes),
    )


@lru_cache(maxsize=16384)
def apart(left: str, right: str, gap: float) -> float:
    """Least distance between the centre lines of two letters, in cap heights, with a gap between their extents."""
    return distance(left, right, glyph(left).width + gap, 0.0)


def distance(first: str, second: str, dx: float, dy: float) -> float:
    """Least distance between the centre lines of two letters, in cap heights, the second moved by (dx, dy)."""
    moved = shapely.transform(_lines(second), lambda points: points + np.array([dx, dy]))
    return float(shapely.distance(_lines(first), moved))


def sweep(engraving: Engraving) -> Sweep:
    """The grooves and islands of a planned engraving."""
    if engraving.dots:
        discs = shapely.buffer(shapely.points(engraving.dots), engraving.dot_diameter_mm / 2, quad_segs=8)
        return Sweep(grooves=tuple(discs))
    height = engraving.cap_height_mm
    ratio = engraving.cutter.groove_mm / height
    parts = [_part(letter.char, ratio) for letter in engraving.letters]
    places = [complex(letter.x, letter.y) for letter in engraving.letters]
    inside = height * np.concatenate([part.points for part in parts])
    inside += np.repeat(places, [len(part.points) for part in parts])
    on_part = inside * cmath.rect(1.0, math.radians(engraving.angle_deg)) + complex(*engraving.origin)
    grooves = shapely.set_coordinates(
        np.array([part.groove for part in parts]), _as_pairs(np.asarray(on_part, dtype=np.complex128))
    ).tolist()
    if engraving.base_line:
        rule = shapely.linestrings(engraving.strokes[-1])
        grooves.append(shapely.buffer(rule, engraving.cutter.groove_mm / 2, quad_segs=QUARTER_SEGMENTS))
    return Sweep(grooves=tuple(grooves))


def _as_pairs(points: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Points x + iy as rows of x and y."""
    return points.view(np.float64).reshape(-1, 2)


@dataclass(frozen=True, slots=True)
class _Part:
    """The groove of a letter, and its points x + iy in cap heights."""

    groove: BaseGeometry
    points: NDArray[np.complex128]


@lru_cache(maxsize=4096)
def _part(char: str, ratio: float) -> _Part:
    groove = shapely.simplify(_glyph_groove(char, ratio), SMOOTH)
    return _Part(groove=groove, points=shapely.get_coordinates(groove).view(np.complex128)[:, 0])


@lru_cache(maxsize=4096)
def _glyph_groove(char: str, ratio: float) -> Polygon | MultiPolygon:
    shape = shapely.buffer(_lines(char), ratio / 2, quad_segs=QUARTER_SEGMENTS)
    assert isinstance(shape, Polygon | MultiPolygon)
    return shape


@lru_cache(maxsize=256)
def _lines(char: str) -> BaseGeometry:
    return shapely.multilinestrings([shapely.linestrings(stroke) for stroke in glyph(char).strokes])


def _holes(shape: BaseGeometry) -> list[Polygon]:
    return [Polygon(ring) for part in _many(shape).geoms for ring in part.interiors]


def _filled(hole: Polygon) -> Polygon:
    """A hole as large as its centre lines: the hair that drew it is given back."""
    return hole.buffer(_HAIR)


def _width(shape: Polygon) -> float:
    return 2 * float(shapely.length(shapely.maximum_inscribed_circle(shape, tolerance=0.002)))


def _many(shape: BaseGeometry) -> MultiPolygon:
    return MultiPolygon([part for part in shapely.get_parts(shape) if isinstance(part, Polygon)])
