"""Which parts of an assembly touch: the interlocking joints, found from outlines in assembly coordinates.

The two sides of a joint lie 0.2 to 0.6 mm apart (common practice, no source: 0.1 to 0.3 mm clearance a side), so two
parts touch where the border of one runs closer than a gap to the other over some length.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from service.outlines.drawing import Drawing

GAP_MM = 0.6
"""Largest distance of two borders that touch."""
MIN_LENGTH_MM = 5.0
"""Shortest contact; less is a corner that comes near."""
MAX_OVERLAP = 0.02
"""Parts that share more than this fraction of the smaller one lie over each other and not beside each other: the same
part drawn twice, another deck, or a file that is not in assembly coordinates."""


@dataclass(frozen=True, slots=True)
class Contact:
    """Two parts that touch.

    Attributes:
        a: the name of one part, the smaller of the two names in their order.
        b: the name of the other.
        length_mm: length of the border along which they touch, in mm, the mean of both sides.
        midpoint: a point on the border, near the middle of the contact, in mm.
    """

    a: str
    b: str
    length_mm: float
    midpoint: tuple[float, float]


def contacts(
    parts: Mapping[str, Drawing], *, gap_mm: float = GAP_MM, min_length_mm: float = MIN_LENGTH_MM
) -> tuple[Contact, ...]:
    """The pairs of parts that touch, in the order of their names.

    Args:
        parts: drawings in the coordinates of one assembly and deck, by name.
        gap_mm: largest distance of two borders that touch, in mm.
        min_length_mm: shortest contact, in mm; less is a corner that comes near.
    """
    if len(parts) < 2:
        return ()
    names = sorted(parts)
    shapes = [parts[name].material for name in names]
    # Prepared outlines know where their edges lie, so that the pairs that are far apart cost nothing.
    shapely.prepare(shapes)
    left, bottom, right, top = shapely.bounds(shapes).T
    rooms = shapely.box(left - gap_mm, bottom - gap_mm, right + gap_mm, top + gap_mm)
    found = []
    for one, other in sorted((int(one), int(other)) for one, other in shapely.STRtree(shapes).query(rooms).T):
        if one >= other or not shapely.dwithin(shapes[one], shapes[other], gap_mm):
            continue
        if lie_over_each_other(shapes[one], shapes[other]):
            continue
        sides = (near_border(shapes[one], shapes[other], gap_mm), near_border(shapes[other], shapes[one], gap_mm))
        length_mm = (sides[0].length + sides[1].length) / 2
        if length_mm >= min_length_mm:
            found.append(Contact(names[one], names[other], length_mm, _middle(sides[0])))
    return tuple(found)


def lie_over_each_other(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether two parts share too much of their area to lie beside each other, see ``MAX_OVERLAP``."""
    if not shapely.intersects(one, other):
        return False
    return float(one.intersection(other).area / min(one.area, other.area)) > MAX_OVERLAP


def near_border(one: BaseGeometry, other: BaseGeometry, gap_mm: float) -> BaseGeometry:
    """The border of ``one`` that lies within the gap of ``other``; only the window where both can be is looked at."""
    left, bottom, right, top = other.bounds
    reach = 2 * gap_mm
    window = (left - reach, bottom - reach, right + reach, top + reach)
    border = shapely.clip_by_rect(one.boundary, *window)
    if border.is_empty:
        return border
    left, bottom, right, top = border.bounds
    nearby = other.intersection(shapely.box(left - reach, bottom - reach, right + reach, top + reach))
    return border.intersection(nearby.buffer(gap_mm, quad_segs=4))


def _middle(line: BaseGeometry) -> tuple[float, float]:
    """The point of the line nearest to its centre of gravity."""
    near = shapely.shortest_line(line, line.centroid)
    x, y = near.coords[0]
    return float(x), float(y)
