"""The mounting holes of a part: round holes and straight slots that a bolt or a pin goes through.

A hole that is neither, or wider than any bolt of the trade, holds no part down: lightening holes, bores and windows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import shapely
from shapely.geometry import Polygon

from service.outlines.drawing import Drawing

WIDEST_MM = 26.0
"""Widest hole that counts as one for a bolt: that of an M24 bolt (ISO 273:1979, medium series, from memory)."""
ROUND = 0.995
"""Least share that the area of a round hole has of that of the circle with its circumference."""
SLOT = 0.01
"""Largest share by which the area and the circumference of a slot differ from those of a slot with its two sides."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole for a bolt, in the coordinates of its drawing.

    Attributes:
        at: its middle in mm, x as the real part and y as the imaginary one.
        width_mm: its diameter, or the width of a slot.
        length_mm: the same for a round hole, the overall length of a slot.
        along_deg: the direction of a slot, 0 to 180; 0 for a round hole.
    """

    at: complex
    width_mm: float
    length_mm: float
    along_deg: float

    @property
    def is_slot(self) -> bool:
        """Whether it is longer than wide."""
        return self.length_mm > self.width_mm


@dataclass(frozen=True, slots=True)
class HolePattern:
    """The mounting holes of one part.

    Attributes:
        holes: from the lowest left one on.
        distances: every distance between two of them in mm, the least first: turning, moving and turning over keep it.
        widths: their widths in mm, the least first.
    """

    holes: tuple[Hole, ...]
    distances: tuple[float, ...]
    widths: tuple[float, ...]

    @property
    def centre(self) -> complex:
        """The mean of the middles, 0 without holes."""
        return sum((hole.at for hole in self.holes), 0j) / (len(self.holes) or 1)

    @property
    def hashed(self) -> tuple[int, ...]:
        """The same for patterns that differ by drawing errors at most (0.01 mm), with few exceptions at the limits."""
        figures = (*self.distances, *self.widths, *(hole.length_mm for hole in sorted(self.holes, key=_size)))
        return (len(self.holes), *(round(figure * 50) for figure in figures))


def pattern_of(holes: tuple[Hole, ...] | list[Hole]) -> HolePattern:
    """The pattern of holes, whatever their order."""
    ordered = tuple(sorted(holes, key=lambda hole: (round(hole.at.imag, 6), hole.at.real)))
    between = sorted(abs(one.at - other.at) for one, other in combinations(ordered, 2))
    return HolePattern(ordered, tuple(between), tuple(sorted(hole.width_mm for hole in ordered)))


def hole_pattern(drawing: Drawing) -> HolePattern:
    """The mounting holes of a part.

    Args:
        drawing: the part; a drawing of several pieces gives the holes of all of them.
    """
    rings = [Polygon(ring) for part in drawing.material.geoms for ring in part.interiors]
    return pattern_of([hole for hole in map(hole_of, rings) if hole is not None])


def hole_of(opening: Polygon) -> Hole | None:
    """The hole that an opening in the material is for a bolt; None for any other opening."""
    area, around = opening.area, opening.length
    if area <= 0:
        return None
    at = complex(opening.centroid.x, opening.centroid.y)
    if 4 * math.pi * area / around**2 >= ROUND:
        diameter = 2 * math.sqrt(area / math.pi)
        return Hole(at, diameter, diameter, 0.0) if diameter <= WIDEST_MM else None
    box = shapely.minimum_rotated_rectangle(opening)
    if not isinstance(box, Polygon):
        return None
    (x0, y0), (x1, y1), (x2, y2) = list(box.exterior.coords)[:3]
    sides = sorted(((math.hypot(x1 - x0, y1 - y0), x1 - x0, y1 - y0), (math.hypot(x2 - x1, y2 - y1), x2 - x1, y2 - y1)))
    (width, _, _), (length, dx, dy) = sides
    slot_area = width * (length - width) + math.pi * width**2 / 4
    slot_around = 2 * (length - width) + math.pi * width
    if width > WIDEST_MM or abs(area / slot_area - 1) > SLOT or abs(around / slot_around - 1) > SLOT:
        return None
    return Hole(at, width, length, math.degrees(math.atan2(dy, dx)) % 180.0)


def _size(hole: Hole) -> tuple[float, float]:
    return hole.width_mm, hole.length_mm


def slot_words(width_mm: float, length_mm: float) -> str:
    """What a drawing calls a hole: ``hole of 9.0 mm`` or ``slot of 6.6 × 18.0 mm``."""
    if length_mm - width_mm < 0.05:
        return f"hole of {width_mm:.1f} mm"
    return f"slot of {width_mm:.1f} × {length_mm:.1f} mm"
