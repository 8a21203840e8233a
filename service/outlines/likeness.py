"""How alike two parts are once the one lies on the other: what no turning changes, and the area that both cover."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import Motion, whole_motions
from service.outlines.hole_pattern import HolePattern

SAME_MM = 0.2
"""Outlines that lie nowhere farther apart count as one: drawings of one part differ by their flattening only."""
NEAR = 0.0005
"""Largest share by which areas, reaches and spins of such parts differ; flattening keeps areas exact."""
FIRST = 16
"""So many points are looked at before all of them: most parts that are not one shape differ there already."""
THINNED_MM = 0.05
"""Outlines are thinned by as much before they are laid over each other."""


@dataclass(frozen=True, slots=True)
class Figures:
    """What neither turning nor turning over changes of a part.

    Attributes:
        area_mm2: its area.
        reach_mm: from the middle of its mounting holes to its farthest point.
        spin_mm: the root of the mean square of the distance from there, over its area.
    """

    area_mm2: float
    reach_mm: float
    spin_mm: float

    def near(self, other: Figures) -> bool:
        """Whether the two may be those of one shape."""
        pairs = ((self.area_mm2, other.area_mm2), (self.reach_mm, other.reach_mm), (self.spin_mm, other.spin_mm))
        return all(abs(a - b) <= NEAR * max(a, b) for a, b in pairs)


def figures_about(drawing: Drawing, middle: complex) -> Figures:
    """The figures of a part about a point, by Green's theorem over its rings."""
    area, square, reach = 0.0, 0.0, 0.0
    for part in drawing.material.geoms:
        for sense, ring in ((1.0, part.exterior), *((-1.0, hole) for hole in part.interiors)):
            points: npt.NDArray[np.float64] = shapely.get_coordinates(ring) - (middle.real, middle.imag)
            x, y = points[:-1, 0], points[:-1, 1]
            u, v = points[1:, 0], points[1:, 1]
            cross = x * v - u * y
            # Whichever way it runs, the exterior adds and a hole takes away.
            sign = sense * math.copysign(1.0, float(cross.sum()))
            area += sign * float(cross.sum()) / 2
            square += sign * float((cross * (x * x + x * u + u * u + y * y + y * v + v * v)).sum()) / 12
            reach = max(reach, float(np.hypot(x, y).max()))
    return Figures(area, reach, math.sqrt(max(0.0, square / area)) if area > 0 else 0.0)


def thinned(drawing: Drawing) -> MultiPolygon:
    """The material with fewer points, for comparing."""
    shape = drawing.material.simplify(THINNED_MM)
    return MultiPolygon([part for part in shapely.get_parts(shape) if isinstance(part, Polygon)])


def overlap(one: MultiPolygon, other: MultiPolygon, motion: Motion) -> float:
    """The area that both cover, of what either covers, once ``one`` is moved; 1 for the same outline."""
    moved = affinity.affine_transform(one, motion.matrix)
    both = float(moved.intersection(other).area)
    either = float(moved.area + other.area - both)
    return both / either if either > 0 else 1.0


def fits_over(one: MultiPolygon, other: MultiPolygon, motion: Motion) -> bool:
    """Whether the two outlines are one once ``one`` is moved: every corner of either lies on the edge of the other."""
    moved = affinity.affine_transform(one, motion.matrix)
    return _lies_on(moved, other) and _lies_on(other, moved)


def _lies_on(one: MultiPolygon, other: MultiPolygon) -> bool:
    corners = np.asarray(shapely.points(shapely.get_coordinates(one)))
    edge = other.boundary
    shapely.prepare(edge)
    few = corners[:: max(1, len(corners) // FIRST)]
    return all(bool(shapely.dwithin(edge, some, SAME_MM).all()) for some in (few, corners))


def farthest_mm(one: MultiPolygon, other: MultiPolygon, motion: Motion) -> float:
    """How far apart the outlines lie where they differ most, once ``one`` is moved (Hausdorff distance)."""
    moved = affinity.affine_transform(one, motion.matrix)
    return float(shapely.hausdorff_distance(moved.boundary, other.boundary, densify=0.1))


def best_motion(one: MultiPolygon, other: MultiPolygon, motions: Iterable[Motion]) -> tuple[Motion, float]:
    """Of the motions in which most holes agree the one with the greatest overlap; the earlier of two alike."""
    ways = tuple(motions)
    most = [motion for motion in ways if len(motion.pairs) == len(ways[0].pairs)]
    measured = [(motion, overlap(one, other, motion)) for motion in most]
    return max(measured, key=lambda pair: round(pair[1], 6))


def same_shape(one: Drawing, one_holes: HolePattern, other: Drawing, other_holes: HolePattern) -> tuple[bool, bool]:
    """Whether one part is the other turned about its holes, and whether it is so once it may be turned over."""
    over = False
    for motion in whole_motions(one_holes, other_holes):
        if (motion.over and over) or not fits_over(one.material, other.material, motion):
            continue
        if not motion.over:
            return True, True
        over = True
    return False, over
