"""What a person with a tape finds on a part: how long it is, how wide, how many pockets and holes it has.

The length is that between the farthest two points, since that is where a tape is held whatever way the part lies; the
breadth is measured square to it.

A pocket is a hollow of the outside between two lands. All pockets of a star wheel are alike, their mouths open outwards
between the tips of its lands, which lie on one circle, and they follow each other closely (common practice, no source).
That tells them from the edge of a guide, the ends of a segment and its joints. One or two hollows may lie beside a
dovetail just as well: they are pockets only where they are wide, or where an arc as wide as a container makes them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LinearRing, Polygon
from shapely.geometry.base import BaseGeometry

from service.outlines.drawing import Drawing
from service.outlines.wheel_arcs import WIDEST_POCKET_MM, Arc, outline_arcs

SHALLOWEST_MM = 4.0
"""A hollow that is less deep guides no container."""
NARROWEST_MM = 12.0
"""A hollow with a narrower mouth is a joint, a relief or a keyway."""
LEAST_FILL = 0.14
"""Area of a pocket over the square of its mouth, at least; half a circle has 0.39, a long flat hollow next to none."""
SAME_AREA = 0.06
"""Most that the areas of two pockets of one part differ, as a share; a site's rework is more."""
SAME_MOUTH_MM = 2.0
ON_CIRCLE_MM = 1.0
"""Farthest that the tip of a land lies from the circle through all of them."""
WIDEST_LAND = 1.5
"""Most that a land between two pockets is wide, in mouths."""
PAIR_MOUTH_MM = 40.0
LONE_RADIUS_MM = 20.0
LONE_SWEEP_DEG = 75.0
"""Two pockets alone on their part are at least so wide, and one is such an arc; what a joint makes is smaller."""


@dataclass(frozen=True, slots=True)
class OutlineFigures:
    """The figures of one outline.

    Attributes:
        length_mm: between the farthest two points.
        breadth_mm: square to the length.
        pockets: whole pockets; half ones at the ends of a segment are left out.
        pocket_radius_mm: of the pockets, half the mouth of those that are not round; None where there are none.
        holes: holes in the material.
    """

    length_mm: float
    breadth_mm: float
    pockets: int
    pocket_radius_mm: float | None
    holes: int


@dataclass(frozen=True, slots=True)
class _Hollow:
    """A hollow of the outside: what the convex hull covers and the material does not; ``middle`` is inside it."""

    area_mm2: float
    mouth_mm: float
    mouth: npt.NDArray[np.float64]
    middle: npt.NDArray[np.float64]
    edge: LinearRing


def outline_figures(drawing: Drawing) -> OutlineFigures:
    """The figures of a drawing; of several pieces in one drawing the pockets of all are counted."""
    length_mm, breadth_mm = _extents(drawing.material.convex_hull)
    counted = [_pockets(Polygon(part.exterior)) for part in drawing.material.geoms]
    radii = [radius for count, radius in counted if count and radius is not None]
    return OutlineFigures(
        length_mm=round(length_mm, 3),
        breadth_mm=round(min(breadth_mm, length_mm), 3),
        pockets=sum(count for count, _ in counted),
        pocket_radius_mm=round(max(radii), 3) if radii else None,
        holes=drawing.hole_count,
    )


def _extents(hull: BaseGeometry) -> tuple[float, float]:
    """The distance of the farthest two corners, and the extent square to the line between them."""
    corners = shapely.get_coordinates(hull)
    apart = np.hypot(*(corners[:, None, :] - corners[None, :, :]).transpose(2, 0, 1))
    first, second = np.unravel_index(int(np.argmax(apart)), apart.shape)
    along = (corners[second] - corners[first]) / apart[first, second]
    across = corners @ np.array([-along[1], along[0]])
    return float(apart[first, second]), float(np.ptp(across))


def _pockets(solid: Polygon) -> tuple[int, float | None]:
    """How many pockets the outside of one piece has, and their radius."""
    hollows = list(_hollows(solid))
    alike = _most_alike(hollows)
    if len(alike) == 2 and alike[0].mouth_mm < PAIR_MOUTH_MM:
        return 0, None
    if not alike:
        alike = [hollow for hollow in hollows if _is_lone_pocket(solid, hollow)]
        alike = alike if len(alike) == 1 else []
    return len(alike), _radius(solid, alike[0]) if alike else None


def _hollows(solid: Polygon) -> Iterable[_Hollow]:
    hull = solid.convex_hull
    if not isinstance(hull, Polygon):
        return
    for gap in shapely.get_parts(hull.difference(solid)):
        if not isinstance(gap, Polygon):
            continue
        mouth = _mouth(gap, hull.exterior)
        if mouth is None:
            continue
        mouth_mm = math.dist(*mouth)
        if not NARROWEST_MM <= mouth_mm <= 2.5 * WIDEST_POCKET_MM or gap.area < LEAST_FILL * mouth_mm**2:
            continue
        corners = shapely.get_coordinates(gap.exterior)
        across = np.array([mouth[0, 1] - mouth[1, 1], mouth[1, 0] - mouth[0, 0]]) / mouth_mm
        if np.abs((corners - mouth[0]) @ across).max() < SHALLOWEST_MM:
            continue
        middle = np.array([gap.centroid.x, gap.centroid.y])
        yield _Hollow(float(gap.area), float(mouth_mm), mouth, middle, LinearRing(gap.exterior.coords))


def _mouth(gap: Polygon, rim: BaseGeometry) -> npt.NDArray[np.float64] | None:
    """The ends of the side of a hollow that lies on the hull, one straight line between two corners of the hull."""
    points = shapely.get_coordinates(gap.exterior)
    middles = shapely.points((points[:-1] + points[1:]) / 2)
    on_rim = np.flatnonzero(shapely.distance(middles, rim) < 1e-6)
    if len(on_rim) == 0:
        return None
    lengths = np.hypot(*(points[on_rim + 1] - points[on_rim]).T)
    longest = int(on_rim[int(np.argmax(lengths))])
    return points[longest : longest + 2]


def _most_alike(hollows: Sequence[_Hollow]) -> list[_Hollow]:
    """The largest set of hollows that are pockets of one wheel; of two equal sets the one of larger pockets."""
    best: list[_Hollow] = []
    for model in sorted(hollows, key=lambda hollow: -hollow.area_mm2):
        alike = [
            other
            for other in hollows
            if abs(other.area_mm2 - model.area_mm2) <= SAME_AREA * model.area_mm2
            and abs(other.mouth_mm - model.mouth_mm) <= SAME_MOUTH_MM
        ]
        if len(alike) > max(len(best), 1) and _on_one_wheel(alike):
            best = alike
    return best


def _on_one_wheel(alike: Sequence[_Hollow]) -> bool:
    """Whether the tips of the lands lie on one circle, the hollows inside it, and the lands are no wider than usual."""
    tips = np.concatenate([hollow.mouth for hollow in alike])
    centre, radius = _circle(tips)
    if np.abs(np.hypot(*(tips - centre).T) - radius).max() > ON_CIRCLE_MM:
        return False
    mouths = np.array([hollow.mouth.mean(axis=0) for hollow in alike])
    depths = np.hypot(*(mouths - centre).T) - np.hypot(*(np.array([hollow.middle for hollow in alike]) - centre).T)
    if depths.min() <= 0:
        return False
    turns = np.sort(np.arctan2(*(mouths - centre).T[::-1]))
    between = np.sort(np.diff([*turns, turns[0] + 2 * math.pi]))[:-1]  # the widest is round the back of the segment
    widest = (1 + WIDEST_LAND) * max(hollow.mouth_mm for hollow in alike)
    return bool((2 * radius * np.sin(np.minimum(between, math.pi) / 2)).max() <= widest)


def _circle(points: npt.NDArray[np.float64]) -> tuple[npt.NDArray[np.float64], float]:
    """The circle through points by least squares (Kåsa: linear in the centre and in r² - c²)."""
    middle = points.mean(axis=0)
    moved = points - middle
    matrix = np.column_stack([2 * moved, np.ones(len(moved))])
    (x, y, rest), *_ = np.linalg.lstsq(matrix, (moved**2).sum(axis=1), rcond=None)
    return middle + np.array([x, y]), math.sqrt(max(rest + x * x + y * y, 0.0))


def _arcs_of(solid: Polygon, hollow: _Hollow) -> list[Arc]:
    """The arcs of the outside that make a hollow, those alone that make much of it."""
    return [
        arc
        for arc in outline_arcs(LinearRing(solid.exterior.coords))
        if not arc.convex
        and arc.radius_mm <= WIDEST_POCKET_MM
        and arc.line.length >= 0.4 * (hollow.edge.length - hollow.mouth_mm)
        and hollow.edge.distance(arc.line.interpolate(0.5, normalized=True)) < 0.1
    ]


def _is_lone_pocket(solid: Polygon, hollow: _Hollow) -> bool:
    """Whether one arc, as wide as a container, makes the most of a hollow."""
    return any(arc.radius_mm >= LONE_RADIUS_MM and arc.sweep_deg >= LONE_SWEEP_DEG for arc in _arcs_of(solid, hollow))


def _radius(solid: Polygon, hollow: _Hollow) -> float:
    """The radius of the arc that most of a pocket is; half its mouth where it is not round."""
    return max((arc.radius_mm for arc in _arcs_of(solid, hollow)), default=hollow.mouth_mm / 2)
