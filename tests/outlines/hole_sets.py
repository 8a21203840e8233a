"""Hole patterns and plates for tests, made by hand or moved by complex numbers."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Sequence

import shapely
from shapely.geometry import LineString, Point, box

from service.outlines.drawing import Drawing
from service.outlines.hole_pattern import Hole, HolePattern, pattern_of
from tests.part_factory import make_drawing

SCALENE: tuple[complex, ...] = (0j, 80 + 0j, 30 + 55j)
"""Three holes that are their own mirror image in no way."""
RECTANGLE: tuple[complex, ...] = (0j, 90 + 0j, 90 + 40j, 40j)


def hole(at: complex, width: float = 9.0, length: float | None = None, along: float = 0.0) -> Hole:
    """A hole; round unless a length is said."""
    return Hole(at, width, length or width, along)


def pattern(points: Iterable[complex], width: float = 9.0) -> HolePattern:
    """Round holes of one width at these points."""
    return pattern_of([hole(at, width) for at in points])


def moved(
    points: Sequence[complex], *, turn_deg: float = 0.0, shift: complex = 0j, over: bool = False
) -> list[complex]:
    """Points turned over first if so, then turned about the origin, then moved."""
    turn = cmath.rect(1.0, math.radians(turn_deg))
    return [turn * (point.conjugate() if over else point) + shift for point in points]


def plate(
    holes: Iterable[Hole], *, bounds: tuple[float, float, float, float] = (-60.0, -60.0, 160.0, 120.0)
) -> Drawing:
    """A rectangular plate with these holes, drawn finely."""
    cut = []
    for one in holes:
        arm = cmath.rect((one.length_mm - one.width_mm) / 2, math.radians(one.along_deg))
        a, b = one.at - arm, one.at + arm
        line = LineString([(a.real, a.imag), (b.real, b.imag)]) if abs(arm) > 1e-9 else Point(a.real, a.imag)
        cut.append(line.buffer(one.width_mm / 2, quad_segs=64))
    return make_drawing(box(*bounds).difference(shapely.union_all(cut)))
