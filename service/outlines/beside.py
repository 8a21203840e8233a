"""A place for a small mark near a text that is already placed: apart from it, and with the same rule of direction."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from service.outlines.room import Rectangle
from service.outlines.upright import TOLERANCE_DEG, Point, UprightRoom

_ALONG = (1.0, 0.5, 0.0, -0.5, -1.0)


def place_beside(
    free: BaseGeometry, block: Rectangle, *, size_mm: float, gap_mm: float, centre: Point | None
) -> Rectangle | None:
    """A square beside a block, else anywhere in the free area; nothing where there is no room.

    Args:
        free: where marks may go, in mm.
        block: the text; the square keeps off it and reads in its direction where it stands beside it.
        size_mm: side of the square.
        gap_mm: between the square and the block.
        centre: where the tops of letters point; None for upright as drawn.
    """
    if free.is_empty:
        return None
    left = free.difference(block.polygon().buffer(gap_mm, join_style="mitre"))
    if left.is_empty:
        return None
    shapely.prepare(left)
    angle = math.radians(block.angle_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    # A hair more than the gap, so that rounding does not count.
    aside = block.width_mm / 2 + gap_mm + size_mm / 2 + 1e-6
    over = block.height_mm / 2 + gap_mm + size_mm / 2 + 1e-6
    reach_u, reach_v = (block.width_mm - size_mm) / 2, (block.height_mm - size_mm) / 2
    spots = [(side * aside, step * reach_v) for side in (1, -1) for step in (0.0, 1.0, -1.0)]
    spots += [(step * reach_u, side * over) for side in (-1, 1) for step in _ALONG]
    for u, v in spots:
        at = (block.centre[0] + u * cos - v * sin, block.centre[1] + u * sin + v * cos)
        square = Rectangle(at, size_mm, size_mm, block.angle_deg, by_rule=True)
        if left.covers(square.polygon()):
            return square
    room = UprightRoom(left, centre)
    for within_deg in (TOLERANCE_DEG / 4, TOLERANCE_DEG):
        largest = room.rectangle(1.0, within_deg=within_deg)
        if largest is not None and largest.height_mm >= size_mm:
            return Rectangle(largest.centre, size_mm, size_mm, largest.angle_deg, by_rule=True)
    return None
