"""In which features two revisions of a cut file differ, by how much, and where."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString

from service.outlines.border import Array, Border
from service.outlines.drawing import Drawing
from service.outlines.features import END_MM, Feature, Hole, Interface, holes_of, labelled, outside_border

Point = tuple[float, float]

SAME_MM = 0.05
"""Outlines that lie no farther apart than this are the same edge: half the least gap that the trade leaves in a joint
(0.1 mm), and more than twice what the flattening of arcs can make of it (0.01 mm on each side)."""
SAME_HOLE_MM = 20.0
"""A hole whose middle moved farther than this is another hole."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One feature in which two revisions differ.

    Attributes:
        interface: what differs.
        neighbour: for a joint, the name of the neighbour; else empty.
        size_mm: farthest that an edge of one lies from the other's: the Hausdorff distance of that feature.
        at: where, in mm.
        what: further words, for one on holes; empty where the size says all.
    """

    interface: Interface
    neighbour: str
    size_mm: float
    at: Point
    what: str = ""


def revision_differences(
    before: Drawing, after: Drawing, neighbours: Mapping[str, Drawing] | None = None
) -> tuple[Difference, ...]:
    """The features in which two revisions differ by more than ``SAME_MM``, the largest first.

    Args:
        before: the one revision.
        after: the other.
        neighbours: what a joint ties the part to, by name, in the same coordinates; a joint shows as outside contour
            where its neighbour is not given.
    """
    if before.material.equals_exact(after.material, 1e-9):
        return ()
    found = [*_outside(before, after, neighbours or {}), *_holes(holes_of(before), holes_of(after))]
    return tuple(sorted(found, key=lambda difference: -difference.size_mm))


def _outside(before: Drawing, after: Drawing, neighbours: Mapping[str, Drawing]) -> Iterator[Difference]:
    old, new = outside_border(before), outside_border(after)
    off_old, off_new = _distances(old, after), _distances(new, before)
    if max(off_old.max(initial=0.0), off_new.max(initial=0.0)) <= SAME_MM:
        return
    labels = labelled(before, old, neighbours)
    apart = [
        (labels.features[index], float(off_old[index]), old.points[index])
        for index in np.flatnonzero(off_old > SAME_MM)
    ]
    moved = np.flatnonzero(off_new > SAME_MM)
    if len(moved):
        # A new edge belongs to what stood nearest to it before.
        stood = shapely.STRtree(np.asarray(shapely.points(old.points)))
        nearest = np.asarray(stood.nearest(shapely.points(new.points[moved]))).tolist()
        apart += [
            (labels.features[there], float(off_new[index]), new.points[index])
            for index, there in zip(moved, nearest, strict=True)
        ]
    joints: dict[str, float] = {}
    for (interface, name), size_mm, _ in apart:
        if interface == "joint":
            joints[name] = max(size_mm, joints.get(name, 0.0))
    # Where a joint changed, its ends and the corners beyond them changed with it: nothing of their own.
    changed = [(shapely.MultiPoint(old.points[labels.beside[name]]), END_MM + size) for name, size in joints.items()]
    worst: dict[Feature, tuple[float, Array]] = {}
    for feature, size_mm, at in apart:
        with_joint = (shapely.dwithin(shapely.Point(at), places, reach_mm) for places, reach_mm in changed)
        if feature[0] != "joint" and any(with_joint):
            continue
        if size_mm > worst.get(feature, (0.0, at))[0]:
            worst[feature] = (size_mm, at)
    for (interface, neighbour), (size_mm, at) in worst.items():
        yield Difference(interface, neighbour, size_mm, (float(at[0]), float(at[1])))


def _distances(border: Border, other: Drawing) -> Array:
    """How far each place of a border lies from the outside of the other revision."""
    line = MultiLineString([LineString(part.exterior.coords) for part in other.material.geoms])
    shapely.prepare(line)
    return np.asarray(shapely.distance(shapely.points(border.points), line), dtype=np.float64)


def _holes(before: Iterable[Hole], after: Iterable[Hole]) -> Iterator[Difference]:
    pairs, gone, fresh = _matched(list(before), list(after))
    found: dict[Interface, list[Difference]] = {}
    for old, new in pairs:
        difference = _changed(old, new)
        if difference is not None:
            found.setdefault(difference.interface, []).append(difference)
    for holes, word in ((gone, "gone"), (fresh, "added")):
        for hole in holes:
            size = hole.diameter_mm if hole.diameter_mm is not None else _extent(hole)
            what = f"{_named(hole)} {word}"
            found.setdefault(hole.interface, []).append(Difference(hole.interface, "", size, hole.centre, what))
    for interface, changes in found.items():
        worst = max(changes, key=lambda difference: difference.size_mm)
        words = dict.fromkeys(difference.what for difference in changes)
        what = "; ".join(words) if len(words) <= 3 else f"{len(changes)} holes"
        count = f"{len(changes)} holes: " if len(changes) > 1 and len(words) == 1 else ""
        yield Difference(interface, "", worst.size_mm, worst.at, count + what)


def _matched(before: list[Hole], after: list[Hole]) -> tuple[list[tuple[Hole, Hole]], list[Hole], list[Hole]]:
    """Holes of both revisions in pairs, the nearest first; then those of either that are left."""
    near = sorted(
        (math.dist(old.centre, new.centre), i, j)
        for i, old in enumerate(before)
        for j, new in enumerate(after)
        if math.dist(old.centre, new.centre) <= SAME_HOLE_MM
    )
    old_left, new_left = dict(enumerate(before)), dict(enumerate(after))
    pairs = []
    for _, i, j in near:
        if i in old_left and j in new_left:
            pairs.append((old_left.pop(i), new_left.pop(j)))
    return pairs, list(old_left.values()), list(new_left.values())


def _changed(old: Hole, new: Hole) -> Difference | None:
    moved = math.dist(old.centre, new.centre)
    if old.diameter_mm is not None and new.diameter_mm is not None:
        wider = new.diameter_mm - old.diameter_mm
        size = moved + abs(wider) / 2  # the Hausdorff distance of two circles
        words = [f"Ø {old.diameter_mm:.1f} mm is now Ø {new.diameter_mm:.1f} mm"] if abs(wider) > SAME_MM else []
        words += [f"Ø {old.diameter_mm:.1f} mm moved by {moved:.2f} mm"] if moved > SAME_MM else []
        at, interface = new.centre, old.interface
    else:
        size = float(shapely.hausdorff_distance(old.ring, new.ring, densify=0.05))
        words = [f"moved by {moved:.2f} mm" if moved > size / 2 else f"another shape by {size:.2f} mm"]
        at, interface = new.centre, old.interface
    return None if size <= SAME_MM else Difference(interface, "", size, at, " and ".join(words))


def _extent(hole: Hole) -> float:
    left, bottom, right, top = hole.ring.bounds
    return float(max(right - left, top - bottom))


def _named(hole: Hole) -> str:
    return f"Ø {hole.diameter_mm:.1f} mm" if hole.diameter_mm is not None else f"{_extent(hole):.1f} mm long"
