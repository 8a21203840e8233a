"""The small parts of a kit: bottle plates, cap chute cheeks, timing screw blanks and their bearing plates."""

from __future__ import annotations

from math import atan, degrees

from service.demo.contour import Point, polar
from service.demo.part import Disc, Freeform, Part
from service.demo.shapes import rectangle, rounded, slot


def bottle_plate(diameter_mm: float, *, centre_hole_mm: float = 20.0, bolt_mm: float = 6.6) -> Part:
    """The round plate on which one container rides through the carousel; three bolts hold it."""
    bolts = tuple(Disc(polar(diameter_mm * 0.33, 90.0 + 120.0 * index), bolt_mm / 2.0) for index in range(3))
    return Part(
        Disc((0.0, 0.0), diameter_mm / 2.0),
        holes=(Disc((0.0, 0.0), centre_hole_mm / 2.0), *bolts),
        keepouts=tuple(Disc(bolt.centre, bolt_mm) for bolt in bolts),
    )


def cap_chute_cheek(length_mm: float, drop_mm: float, width_mm: float) -> Part:
    """One cheek of the chute that brings the caps down to the capper: a long S with round ends.

    Args:
        length_mm: from the sorter to the capper.
        drop_mm: how far the caps come down on the way.
        width_mm: the height of the cheek.
    """
    half = width_mm / 2.0
    upper: list[Point] = []
    lower: list[Point] = []
    for share in (0.0, 0.15, 0.3, 0.5, 0.7, 0.85, 1.0):
        middle = (share * length_mm, -drop_mm * _step(share))
        upright_deg = degrees(atan(-drop_mm / length_mm * _slope(share))) + 90.0
        upper.append(polar(half, upright_deg, middle))
        lower.insert(0, polar(-half, upright_deg, middle))
    inlet, outlet = (-half, 0.0), (length_mm + half, -drop_mm)
    holes = tuple(Disc((share * length_mm, _step(share) * -drop_mm), 3.3) for share in (0.04, 0.35, 0.65, 0.96))
    return Part(Freeform((inlet, *upper, outlet, *lower), heading_deg=90.0), holes=holes)


def _step(share: float) -> float:
    """A smooth step from 0 to 1, level at both ends."""
    return share * share * (3.0 - 2.0 * share)


def _slope(share: float) -> float:
    """The slope of that step."""
    return 6.0 * share * (1.0 - share)


def screw_blank(length_mm: float, diameter_mm: float) -> Part:
    """The square bar from which a timing screw is turned, in side view, with the journal's dowel hole at each end."""
    holes = (Disc((18.0, 0.0), 4.0), Disc((length_mm - 18.0, 0.0), 4.0))
    return Part(rectangle((length_mm / 2.0, 0.0), length_mm, diameter_mm), holes=holes)


def bearing_plate(width_mm: float, height_mm: float, bearing_mm: float) -> Part:
    """The plate that carries one end of a timing screw: a foot with two slots, a shoulder with the bearing's seat."""
    half, shoulder = width_mm / 2.0, bearing_mm * 0.95
    outline = rounded(
        [
            (-half, 0.0),
            (half, 0.0),
            (half, height_mm * 0.3),
            (shoulder, height_mm * 0.45),
            (shoulder, height_mm),
            (-shoulder, height_mm),
            (-shoulder, height_mm * 0.45),
            (-half, height_mm * 0.3),
        ],
        8.0,
    )
    seat = (0.0, height_mm - bearing_mm * 0.95)
    feet = tuple(slot((sign * half * 0.68, height_mm * 0.15), 24.0, 9.0) for sign in (-1.0, 1.0))
    return Part(
        outline,
        holes=(Disc(seat, bearing_mm / 2.0), *feet),
        keepouts=(Disc(seat, bearing_mm / 2.0 + 6.0),),
    )
