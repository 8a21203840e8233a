"""Closed outlines to filled areas, even-odd: what lies inside an odd number of outlines is material.

An outline that crosses or touches itself or another one has no clear inside, so it is refused with the point.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LinearRing, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from service.errors import BadCutFile, NoOutline, SelfCrossing
from service.outlines.chains import Ring, spot

MIN_AREA_MM2 = 0.01
"""Smallest area of an outline: less is a line that runs back over itself."""
MAX_OUTLINES = 5000
"""Most closed outlines of a drawing."""

_POINT = re.compile(r"\[(\S+) (\S+)\]")


def sound_polygons(rings: Sequence[Ring], *, name: str) -> list[Polygon]:
    """One polygon without holes for each closed outline, in the same order.

    Args:
        rings: the closed outlines.
        name: the file's name, for messages.

    Raises:
        NoOutline: an outline that encloses no area.
        SelfCrossing: an outline that crosses or touches itself, with the point.
        BadCutFile: more than ``MAX_OUTLINES`` outlines.
    """
    if len(rings) > MAX_OUTLINES:
        raise BadCutFile(
            f"more than {MAX_OUTLINES:,} closed outlines",
            field="file",
            value=name,
            todo="Save the outline of one part alone",
        )
    polygons = []
    for ring in rings:
        polygon = Polygon(ring.points) if len(ring.points) >= 3 else None
        if polygon is not None and not polygon.is_valid:
            raise SelfCrossing(
                f"an outline crosses or touches itself at {_crossing(polygon)}",
                field="file",
                value=name,
                todo="Part the outline there or move one of the lines",
                place=ring.place,
            )
        if polygon is None or polygon.area < MIN_AREA_MM2:
            raise NoOutline(
                f"a closed outline at {spot(ring.points[0])} encloses no area",
                field="file",
                value=name,
                todo="Delete it or draw it whole",
                place=ring.place,
            )
        polygons.append(polygon)
    return polygons


def fill_even_odd(rings: Sequence[Ring], *, name: str) -> MultiPolygon:
    """The material between closed outlines, in a normal form that does not depend on the order of drawing.

    Args:
        rings: the closed outlines.
        name: the file's name, for messages.

    Raises:
        NoOutline: an outline that encloses no area.
        SelfCrossing: an outline that crosses or touches itself or another one, or is drawn twice.
    """
    polygons = sound_polygons(rings, name=name)
    _refuse_meetings(rings, polygons, name)
    areas = np.array([polygon.area for polygon in polygons])
    tree = shapely.STRtree(polygons)
    depth, parent = [0] * len(polygons), [-1] * len(polygons)
    for index, ring in enumerate(rings):
        # No two outlines meet, so any one point tells inside which others an outline lies.
        around = tree.query(shapely.Point(ring.points[0]), predicate="within")
        around = around[around != index]
        depth[index] = len(around)
        if len(around):
            parent[index] = int(around[np.argmin(areas[around])])
    holes: dict[int, list[LinearRing]] = {}
    for index, polygon in enumerate(polygons):
        if depth[index] % 2:
            holes.setdefault(parent[index], []).append(polygon.exterior)
    parts = [
        Polygon(polygon.exterior, holes.get(index, []))
        for index, polygon in enumerate(polygons)
        if depth[index] % 2 == 0
    ]
    return normal(MultiPolygon(parts))


def _refuse_meetings(rings: Sequence[Ring], polygons: Sequence[Polygon], name: str) -> None:
    lines = [polygon.exterior for polygon in polygons]
    tree = shapely.STRtree(lines)
    for index, line in enumerate(lines):
        others = tree.query(line, predicate="intersects")
        others = others[others > index]
        if not len(others):
            continue
        other = int(others.min())
        if line.equals(lines[other]):
            what = f"an outline at {spot(rings[other].points[0])} is drawn twice, over {rings[index].place}"
            todo = "Delete one of the two"
        else:
            what = f"two outlines cross or touch at {spot(_first_point(line.intersection(lines[other])))}"
            todo = "Move them apart or join them to one outline"
        raise SelfCrossing(
            what, field="file", value=name, todo=todo, place=f"{rings[index].place} and {rings[other].place}"
        )


def _crossing(polygon: Polygon) -> str:
    """The point that the geometry library names as the fault of a polygon."""
    found = _POINT.search(explain_validity(polygon))
    return spot((float(found[1]), float(found[2]))) if found else spot(polygon.exterior.coords[0])


def _first_point(meeting: BaseGeometry) -> tuple[float, float]:
    x, y = min(map(tuple, shapely.get_coordinates(meeting).tolist()))
    return x, y


def normal(polygons: MultiPolygon) -> MultiPolygon:
    """The same polygons with their points and parts in an order that does not depend on how they were drawn."""
    ordered = polygons.normalize()
    assert isinstance(ordered, MultiPolygon)
    return ordered
