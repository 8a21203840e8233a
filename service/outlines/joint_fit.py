"""How two pieces meet along their joint: the gap, the play it leaves, and where one would lie in the other.

Flat parts are put together square to their plane, the lobe of one let down into the recess of the other. So nothing has
to pass anything on the way in, and the gap along the joint decides whether two pieces go together; whether they then
hold is decided by how far one can be shifted in the plane before a flank stops it.

Both outlines are in the coordinates of one assembly. What the cutter leaves and what the temperature does is applied
before they are compared (``as_cut``); a piece grows about the middle of the joint, since it is there that the two are
brought together before anything is bolted down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from service.outlines.border import Array, Border, sampled

Point = tuple[float, float]

FACING_MM = 3.0
"""Farthest that two edges lie apart and still count as the two sides of a joint."""
STEP_MM = 0.5
"""Distance of the places at which the gap is measured."""
SPECK_MM = 0.02
"""Overlaps no deeper than this are the flattening of arcs: 0.01 mm on each side (``arcs.FLATTENING_MM``)."""
SHORTEST_MM = 5.0
"""Shorter stretches that face each other are corners that come near, as for ``contact.MIN_LENGTH_MM``."""
CUTTER_MM = 6.0
"""Diameter of the cutter that a shop routs with unless it says otherwise (common practice, no source)."""
_OPPOSED = -0.5  # cosine between the outward normals of two edges that face each other
_RESTRAINS = 0.1  # cosine between the way to the other edge and a shift that it stops
_QUARTER = 24  # chords in a quarter circle of 3 mm: 0.0016 mm off it
_WAYS = np.radians(np.arange(0.0, 360.0, 10.0))


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece at a joint.

    Attributes:
        material: the outline of its cut file, in mm.
        cutter_mm: diameter of the cutter; inner corners come out no sharper than its radius.
        oversize_mm: how far each edge comes out beyond the drawn line; below zero inside it.
        growth: its size over its size at 20 °C.
    """

    material: MultiPolygon
    cutter_mm: float = CUTTER_MM
    oversize_mm: float = 0.0
    growth: float = 1.0


@dataclass(frozen=True, slots=True)
class JointFit:
    """How two pieces meet.

    Attributes:
        length_mm: of the stretches that face each other, along the first piece.
        least_mm, median_mm, greatest_mm: of the gap; below zero as deep as the one lies in the other.
        least_at, greatest_at: where, in mm.
        play_mm: the farthest shift of one piece that no edge of the other stops, over all directions in the plane, to
            the first order in the gap; None where there is a direction in which nothing stops it.
        places: x, y and gap at each place that was measured, in the order of the first piece's outline.
        overlaps: where one would lie in the other.
        depth_mm: how deep, and ``depth_at`` where.
        middle: of the joint, about which the pieces grow.
    """

    length_mm: float
    least_mm: float
    median_mm: float
    greatest_mm: float
    least_at: Point
    greatest_at: Point
    play_mm: float | None
    places: tuple[tuple[float, float, float], ...]
    overlaps: tuple[Polygon, ...]
    depth_mm: float
    depth_at: Point | None
    middle: Point

    @property
    def overlap_mm2(self) -> float:
        """Area on which the pieces lie over each other."""
        return float(sum(polygon.area for polygon in self.overlaps))


def joint_fit(one: Piece, other: Piece) -> JointFit | None:
    """How two pieces meet; None where their outlines nowhere face each other and nowhere overlap."""
    window = _window(one.material, other.material, FACING_MM + max(one.cutter_mm, other.cutter_mm) + 1.0)
    if window is None:
        return None
    first, second = (as_cut(replace(piece, growth=1.0), window=window) for piece in (one, other))
    if first.is_empty or second.is_empty:
        return None
    gaps = _gaps(first, second)
    if gaps is None:
        return None
    middle = _point(gaps.border.points[gaps.faces].mean(axis=0))
    if one.growth == 1.0 and other.growth == 1.0:
        return _fit(gaps, first, second, middle)
    first, second = _grown(first, one.growth, middle), _grown(second, other.growth, middle)
    warm = _gaps(first, second)
    return None if warm is None else _fit(warm, first, second, middle)


def as_cut(
    piece: Piece, *, about: Point = (0.0, 0.0), window: tuple[float, float, float, float] | None = None
) -> BaseGeometry:
    """What the cutter makes of an outline: inner corners as round as it is, every edge as far out as it leaves it.

    Args:
        piece: the piece.
        about: the point about which it grows.
        window: least x, least y, greatest x, greatest y of what is looked at, in mm; all of it unless given.
    """
    shape: BaseGeometry = piece.material
    if window is not None:
        shape = shape.intersection(shapely.box(*window))
    radius = piece.cutter_mm / 2
    if radius > 0 and not shape.is_empty:
        closed = shape.buffer(radius, quad_segs=_QUARTER).buffer(-radius, quad_segs=_QUARTER)
        # Only corners that really keep the cutter out are filled: elsewhere the drawn line stays exactly as it is.
        left = [part for part in shapely.get_parts(closed.difference(shape)) if _thickness(part) > SPECK_MM]
        if left:
            shape = shapely.union_all([shape, *(part.buffer(1e-6) for part in left)])
    if piece.oversize_mm:
        shape = shape.buffer(piece.oversize_mm, join_style="mitre")
    return _grown(shape, piece.growth, about)


def _grown(shape: BaseGeometry, growth: float, about: Point) -> BaseGeometry:
    return shape if growth == 1.0 else affinity.scale(shape, growth, growth, origin=about)


@dataclass(frozen=True, slots=True)
class _Gaps:
    """Places along the outline of the first piece, which of them face the second, how far it is, and which way."""

    border: Border
    faces: npt.NDArray[np.bool_]
    gap: Array
    towards: Array


def _window(one: BaseGeometry, other: BaseGeometry, margin: float) -> tuple[float, float, float, float] | None:
    """Where both can be."""
    a, b = one.bounds, other.bounds
    left, bottom = max(a[0], b[0]) - margin, max(a[1], b[1]) - margin
    right, top = min(a[2], b[2]) + margin, min(a[3], b[3]) + margin
    return None if left >= right or bottom >= top else (left, bottom, right, top)


def _gaps(first: BaseGeometry, second: BaseGeometry) -> _Gaps | None:
    """The gap at places of the first outline that face the second or lie in it; None where there are none."""
    border, across = sampled(first, STEP_MM), second.boundary
    shapely.prepare([second, across])
    spots = np.asarray(shapely.points(border.points))
    near = np.asarray(shapely.dwithin(spots, second, FACING_MM))
    if not near.any():
        return None
    within = np.zeros(len(near), dtype=bool)
    within[near] = shapely.contains_properly(second, spots[near])
    faces = within.copy()
    outside = np.flatnonzero(near & ~within)
    faces[outside] = _opposed(border.points[outside], border.normals[outside], sampled(second, STEP_MM))
    if border.lengths[faces].sum() < SHORTEST_MM and not within.any():
        return None
    gap = np.full(len(near), np.inf)
    gap[faces] = shapely.distance(spots[faces], across)
    towards = border.normals.copy()
    apart = np.flatnonzero(faces & (gap > SPECK_MM))
    if len(apart):
        # A flat edge beside a round one is closed in on square to the flat one: the way to the nearest point tells.
        ways = np.diff(shapely.get_coordinates(shapely.shortest_line(spots[apart], across)).reshape(-1, 2, 2), axis=1)
        towards[apart] = ways[:, 0] / gap[apart][:, None]
    gap[within] *= -1.0
    return _Gaps(border, faces, gap, towards)


def _opposed(points: Array, normals: Array, across: Border) -> npt.NDArray[np.bool_]:
    """Whether a line square to the edge at each point meets an edge that looks back at it, within ``FACING_MM``."""
    found = np.zeros(len(points), dtype=bool)
    if not len(points):
        return found
    rays = shapely.linestrings(np.stack([points, points + normals * FACING_MM], axis=1))
    ends = np.stack([across.starts, across.ends], axis=1)
    tree = shapely.STRtree(np.asarray(shapely.linestrings(ends)))
    ray, edge = tree.query(rays, predicate="intersects")
    looks_back = (normals[ray] * across.normals[edge]).sum(axis=1) < _OPPOSED
    found[ray[looks_back]] = True
    return found


def _fit(gaps: _Gaps, first: BaseGeometry, second: BaseGeometry, middle: Point) -> JointFit:
    faces = np.flatnonzero(gaps.faces)
    gap, points = gaps.gap[faces], gaps.border.points[faces]
    least, greatest = int(np.argmin(gap)), int(np.argmax(gap))
    overlaps = _overlaps(first, second)
    depth, depth_at = _depth(first, second, overlaps)
    if depth <= SPECK_MM:
        overlaps, depth, depth_at = (), 0.0, None
    return JointFit(
        length_mm=float(gaps.border.lengths[faces].sum()),
        least_mm=float(gap[least]),
        median_mm=_weighted_median(gap, gaps.border.lengths[faces]),
        greatest_mm=float(gap[greatest]),
        least_at=_point(points[least]),
        greatest_at=_point(points[greatest]),
        play_mm=_play(gap, gaps.towards[faces]),
        places=tuple((float(x), float(y), float(mm)) for (x, y), mm in zip(points, gap, strict=True)),
        overlaps=overlaps,
        depth_mm=depth,
        depth_at=depth_at,
        middle=middle,
    )


def _overlaps(first: BaseGeometry, second: BaseGeometry) -> tuple[Polygon, ...]:
    shared = [part for part in shapely.get_parts(first.intersection(second)) if isinstance(part, Polygon)]
    return tuple(part for part in shared if part.area > SPECK_MM**2)


def _depth(first: BaseGeometry, second: BaseGeometry, overlaps: tuple[Polygon, ...]) -> tuple[float, Point | None]:
    """The farthest that a point on the edge of one piece lies inside the other."""
    deepest: tuple[float, Point | None] = (0.0, None)
    if not overlaps:
        return deepest
    borders = (first.boundary, second.boundary)
    shapely.prepare(borders)
    for overlap in overlaps:
        border = sampled(overlap, STEP_MM / 2)
        points = np.vstack([border.starts, border.points])
        # On the edge of one, so at no distance from it; how far from the edge of the other is the depth.
        from_one, from_other = (np.asarray(shapely.distance(shapely.points(points), edge)) for edge in borders)
        depths = np.maximum(from_one, from_other)
        index = int(np.argmax(depths))
        if depths[index] > deepest[0]:
            deepest = (float(depths[index]), _point(points[index]))
    return deepest


def _play(gap: Array, towards: Array) -> float | None:
    """How far one piece can be shifted in the direction in which it can be shifted farthest; None for any distance."""
    ways = np.stack([np.cos(_WAYS), np.sin(_WAYS)])
    along = towards @ ways
    with np.errstate(divide="ignore", invalid="ignore"):
        free = np.where(along > _RESTRAINS, np.maximum(gap, 0.0)[:, None] / along, np.inf)
    farthest = float(free.min(axis=0).max())
    return farthest if math.isfinite(farthest) else None


def _weighted_median(values: Array, weights: Array) -> float:
    order = np.argsort(values)
    heaped = np.cumsum(weights[order])
    return float(values[order][int(np.searchsorted(heaped, heaped[-1] / 2))])


def _thickness(part: BaseGeometry) -> float:
    """About how wide a sliver is."""
    return float(2 * part.area / part.length) if part.length else 0.0


def _point(xy: Array) -> Point:
    return float(xy[0]), float(xy[1])
