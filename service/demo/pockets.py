"""Pockets of a star wheel, drawn at the top of the wheel: open chains from one land to the next, counter-clockwise.

Lengths in mm, angles in degrees. Each chain begins and ends on the land circle, tangent to it.
"""

from __future__ import annotations

from math import acos, degrees, sqrt

from service.demo.contour import Contour, Point, bearing, chained, polar
from service.demo.shapes import arc

_TOP_DEG = 90.0


def round_pocket(tip_mm: float, pitch_radius_mm: float, diameter_mm: float, corner_mm: float) -> Contour:
    """A pocket for a round container, its centre on the pitch circle.

    Args:
        tip_mm: the radius of the land circle.
        pitch_radius_mm: the radius of the pitch circle.
        diameter_mm: the diameter of the pocket.
        corner_mm: the rounding between land and pocket.
    """
    radius, to_corner = diameter_mm / 2.0, tip_mm - corner_mm
    # The rounding touches the land circle from inside and the pocket circle from outside.
    to_pocket = radius + corner_mm
    spread = degrees(acos((to_corner**2 + pitch_radius_mm**2 - to_pocket**2) / (2.0 * to_corner * pitch_radius_mm)))
    middle = polar(pitch_radius_mm, _TOP_DEG)
    before, after = polar(to_corner, _TOP_DEG - spread), polar(to_corner, _TOP_DEG + spread)
    rounding = (bearing(before, middle) - (_TOP_DEG - spread)) % 360.0
    enters, leaves = bearing(middle, before), bearing(middle, after)
    return chained(
        arc(before, corner_mm, _TOP_DEG - spread, rounding),
        arc(middle, radius, enters, -((enters - leaves) % 360.0)),
        arc(after, corner_mm, bearing(after, middle), rounding),
    )


def square_pocket(
    tip_mm: float, pitch_radius_mm: float, width_mm: float, inner_corner_mm: float, corner_mm: float
) -> Contour:
    """A pocket for a square container that rides with two faces along the radius, its middle on the pitch circle.

    Args:
        tip_mm: the radius of the land circle.
        pitch_radius_mm: the radius of the pitch circle.
        width_mm: the width of the pocket.
        inner_corner_mm: the rounding of its two inner corners.
        corner_mm: the rounding between land and pocket.
    """
    half, bottom = width_mm / 2.0, pitch_radius_mm - width_mm / 2.0
    # The rounding touches the land circle from inside and the flank from outside.
    before = Point(half + corner_mm, sqrt((tip_mm - corner_mm) ** 2 - (half + corner_mm) ** 2))
    after = Point(-before.x, before.y)
    land_deg = bearing((0.0, 0.0), before)
    inner = half - inner_corner_mm
    return chained(
        arc(before, corner_mm, land_deg, 180.0 - land_deg),
        arc((inner, bottom + inner_corner_mm), inner_corner_mm, 0.0, -90.0),
        arc((-inner, bottom + inner_corner_mm), inner_corner_mm, -90.0, -90.0),
        arc(after, corner_mm, 0.0, 180.0 - land_deg),
    )
