"""A place for a small mark near a text that is already placed: apart from it, and with the same rule of direction."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from service.outlines.exact_fit import Point
from service.outlines.room import Rectangle
from service.outlines.upright import UprightRoom

_CLOSELY_DEG = 5.0  # a small square finds its direction anywhere
_ALONG = tuple(step / 4 for step in (4, 3, 2, 1, 0, -1, -2, -3, -4))


def place_beside(free: BaseGeometry, block: Rectangle, *, size_mm: float, gap_mm: float) -> Rectangle | None:
    """A square close beside a block, reading in its direction; nothing where there is no room for it.

    Args:
        free: where marks may go, in mm.
        block: the text; the square keeps off it.
        size_mm: side of the square.
        gap_mm: between the square and the block.
    """
    shapely.prepare(free)
    angle = math.radians(block.angle_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    aside, over = block.width_mm / 2 + gap_mm + size_mm / 2, block.height_mm / 2 + gap_mm + size_mm / 2
    reach = (block.width_mm - size_mm) / 2
    level = max(0.0, (block.height_mm - size_mm) / 2)
    spots = [(side * aside, step * level) for side in (1, -1) for step in (0.0, -1.0, 1.0)]
    spots += [(step * reach, side * over) for side in (-1, 1) for step in _ALONG]
    spots += [(side * aside, step * over) for side in (1, -1) for step in (-1.0, 1.0)]
    for u, v in spots:
        at = (block.centre[0] + u * cos - v * sin, block.centre[1] + u * sin + v * cos)
        square = Rectangle(at, size_mm, size_mm, block.angle_deg, by_rule=True)
        if free.covers(square.polygon()):
            return square
    return None


def largest_apart(free: BaseGeometry, block: Rectangle, *, gap_mm: float, centre: Point | None) -> Rectangle | None:
    """The largest square in the free area off a block, by the rule of direction; nothing where there is none.

    Args:
        free: where marks may go, in mm.
        block: the text; the square keeps off it.
        gap_mm: between the square and the block.
        centre: where the tops of letters point; None for upright as drawn.
    """
    left = free.difference(block.polygon().buffer(gap_mm, join_style="mitre"))
    return UprightRoom(left, centre).rectangle(1.0, within_deg=_CLOSELY_DEG)
