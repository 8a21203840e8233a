"""Which feature each stretch of a part's border belongs to: a joint, the bore, a pocket, the outside, a hole.

Holes are told apart by form: a round one about the axis is the hub's bore, other round ones and short slots take bolts,
and what is larger is an opening, for one a slot to lift the part by. On the outside, a joint is where a neighbour runs
beside the border; the bore is what the hub covers; a pocket is a hollow about as deep as half a container and about as
wide as a whole one; the rest is the outside contour, the edges of guides among it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LinearRing, Polygon
from shapely.geometry.polygon import orient

from service.outlines.border import Border, sampled_rings
from service.outlines.contact import GAP_MM
from service.outlines.drawing import Drawing
from service.outlines.wheel_arcs import axis_of, outline_arcs

Interface = Literal["joint", "hub bore", "bolt pattern", "pocket", "outside contour", "opening"]
Feature = tuple[Interface, str]
"""What a stretch belongs to; for a joint the neighbour's name, else an empty text."""

STEP_MM = 0.5
SAME_CENTRE_MM = 0.5
"""A round hole whose middle lies nearer to the axis than this is a bore."""
LARGEST_BOLT_MM = 45.0
"""Longest hole that takes a bolt; what is longer is an opening (common practice, no source)."""
WIDEST_POCKET_MM = 160.0
"""Widest mouth of a pocket, its rounded lands included."""
DEEPEST_SHARE, LEAST_SHARE = 1.2, 0.3
"""A pocket is between these shares of the width of its mouth deep: half a container and its lands is about 0.4."""
LAND_MM = 4.0
"""The rounding from a pocket to its land belongs to the pocket as far as this (common practice, no source)."""
END_MM = 5.0
"""The last stretch of a joint belongs to the edge that it runs out into: a wider bore or pocket shortens the joint."""
_ONE_JOINT_MM = 20.0  # shorter breaks in a joint are places where the neighbour was drawn otherwise
BORE_SHARE = 0.6
"""Where no hub is drawn, a hollow arc about the axis is the bore if it lies this much nearer to it than the farthest
point of the part; the hollow edge of a guide lies close to its back."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole.

    Attributes:
        interface: what it is for.
        ring: its edge.
        centre: its middle, in mm.
        diameter_mm: of a round hole; None for others.
    """

    interface: Interface
    ring: LinearRing
    centre: tuple[float, float]
    diameter_mm: float | None


def holes_of(drawing: Drawing) -> tuple[Hole, ...]:
    """The holes of a part, in the order of the drawing."""
    axis = axis_of(drawing)
    centre = axis.at if axis is not None else (0.0, 0.0)
    return tuple(_hole(ring, centre) for part in drawing.material.geoms for ring in part.interiors)


def outside_border(drawing: Drawing) -> Border:
    """The outside of a part, in short stretches."""
    return sampled_rings([orient(Polygon(part.exterior)).exterior for part in drawing.material.geoms], STEP_MM)


@dataclass(frozen=True, slots=True)
class Labels:
    """What each stretch of the outside belongs to.

    Attributes:
        features: one for each stretch; the ends of a joint count to the edges that it runs out into.
        beside: by the name of a neighbour, which stretches run beside it, the ends of the joint included.
    """

    features: list[Feature]
    beside: Mapping[str, npt.NDArray[np.bool_]]


def labelled(drawing: Drawing, border: Border, neighbours: Mapping[str, Drawing]) -> Labels:
    """What each stretch of the outside belongs to.

    Args:
        drawing: the part.
        border: its outside.
        neighbours: the parts that a joint ties it to, by name, in the same coordinates.
    """
    spots = np.asarray(shapely.points(border.points))
    label: npt.NDArray[np.int64] = np.zeros(len(spots), dtype=np.int64)
    features: list[Feature] = [("outside contour", ""), ("pocket", ""), ("hub bore", "")]
    for pocket in _pockets(drawing):
        mouth = pocket.buffer(LAND_MM)
        shapely.prepare(mouth)
        label[shapely.covers(mouth, spots)] = 1
    for bore in _bores(drawing):
        shapely.prepare(bore)
        label[shapely.covers(bore, spots)] = 2
    beside = {}
    for name, neighbour in neighbours.items():
        features.append(("joint", name))
        shapely.prepare(neighbour.material)
        beside[name] = np.asarray(shapely.dwithin(spots, neighbour.material, GAP_MM))
        label[_within(border, beside[name])] = len(features) - 1
    return Labels([features[index] for index in label.tolist()], beside)


def _within(border: Border, near: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """The near places that lie no less than ``END_MM`` from where their stretch begins or ends."""
    kept = np.zeros(len(near), dtype=bool)
    for ring in np.unique(border.rings):
        places = np.flatnonzero(border.rings == ring)
        if near[places].all() or not near[places].any():
            kept[places] = near[places]
            continue
        # Begun where nothing is near, so that no stretch is parted.
        places = np.roll(places, -int(np.argmin(near[places])))
        at = np.cumsum(border.lengths[places])
        close = np.flatnonzero(near[places])
        breaks = np.flatnonzero(np.diff(at[close]) > _ONE_JOINT_MM)
        firsts, lasts = np.r_[0, breaks + 1], np.r_[breaks, len(close) - 1]
        for first, last in zip(firsts, lasts, strict=True):
            run = close[first : last + 1]
            inner = (at[run] - at[run[0]] >= END_MM) & (at[run[-1]] - at[run] >= END_MM)
            kept[places[run[inner]]] = True
    return kept


def _hole(ring: LinearRing, axis: tuple[float, float]) -> Hole:
    polygon = Polygon(ring)
    centre = (float(polygon.centroid.x), float(polygon.centroid.y))
    left, bottom, right, top = ring.bounds
    round_one = 4 * math.pi * polygon.area / ring.length**2 > 0.99 and abs((right - left) - (top - bottom)) < 0.1
    if round_one:
        diameter = math.sqrt(4 * polygon.area / math.pi)
        about_axis = math.dist(centre, axis) < SAME_CENTRE_MM
        small = diameter <= LARGEST_BOLT_MM
        return Hole("hub bore" if about_axis else "bolt pattern" if small else "opening", ring, centre, diameter)
    corners = shapely.get_coordinates(polygon.minimum_rotated_rectangle)
    longest = float(np.hypot(*np.diff(corners, axis=0).T).max())
    return Hole("bolt pattern" if longest <= LARGEST_BOLT_MM else "opening", ring, centre, None)


def _pockets(drawing: Drawing) -> Iterator[Polygon]:
    """Hollows of the outside between it and a string round it, as deep as pockets are."""
    for part in drawing.material.geoms:
        solid = Polygon(part.exterior)
        for hollow in shapely.get_parts(solid.convex_hull.difference(solid)):
            if not isinstance(hollow, Polygon) or hollow.area < 1.0:
                continue
            string = hollow.intersection(solid.convex_hull.boundary).length
            deepest = _depth(hollow, solid)
            if string <= WIDEST_POCKET_MM and LEAST_SHARE * string <= deepest <= DEEPEST_SHARE * string:
                yield hollow


def _depth(hollow: Polygon, solid: Polygon) -> float:
    """How far the bottom of a hollow lies from the string round the part."""
    string = solid.convex_hull.boundary
    shapely.prepare(string)
    return float(shapely.distance(shapely.points(shapely.get_coordinates(hollow)), string).max())


def _bores(drawing: Drawing) -> Iterator[Polygon]:
    """What the hub covers, else the hollow arcs about the axis that lie close to it."""
    if drawing.hubs:
        yield from drawing.hubs
        return
    axis = axis_of(drawing)
    if axis is None:
        return
    farthest = float(np.hypot(*(shapely.get_coordinates(drawing.material) - axis.at).T).max())
    for part in drawing.material.geoms:
        for arc in outline_arcs(part.exterior):
            if not arc.convex and arc.about(axis.at) and arc.radius_mm < BORE_SHARE * farthest:
                yield arc.line.buffer(0.05)
