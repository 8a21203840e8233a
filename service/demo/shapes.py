"""Ready contours: arcs, circles, rounded polygons, slots and rectangles. Lengths in mm, angles in degrees."""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, ceil, degrees, hypot, radians, tan

from service.demo.contour import Contour, Vertex, bearing, bulge_of, joined, polar

_TINY = 1e-9


def arc(centre: tuple[float, float], radius_mm: float, start_deg: float, sweep_deg: float) -> Contour:
    """An open arc; arcs of more than half a turn are drawn in equal parts, since a bulge above 1 loses precision."""
    parts = max(1, ceil(abs(sweep_deg) / 180.0 - _TINY))
    bulge = bulge_of(sweep_deg / parts)
    vertices = [
        Vertex(*polar(radius_mm, start_deg + sweep_deg * part / parts, centre), bulge if part < parts else 0.0)
        for part in range(parts + 1)
    ]
    return Contour(tuple(vertices), closed=False)


def circle(centre: tuple[float, float], radius_mm: float) -> Contour:
    """A full circle, counter-clockwise, as two halves."""
    return joined(arc(centre, radius_mm, 0.0, 360.0))


def rounded(points: Sequence[tuple[float, float]], radius_mm: float, *, closed: bool = True) -> Contour:
    """A polygon or an open chain of straight lines whose corners are rounded to one radius.

    Raises:
        ValueError: a side is too short for its two roundings.
    """
    count = len(points)
    spent = [0.0] * count
    vertices: list[Vertex] = []
    for index, here in enumerate(points):
        if not closed and index in (0, count - 1):
            vertices.append(Vertex(*here))
            continue
        before, after = points[index - 1], points[(index + 1) % count]
        turn = (bearing(here, after) - bearing(before, here) + 180.0) % 360.0 - 180.0
        reach = radius_mm * tan(radians(abs(turn)) / 2.0)
        spent[index] = reach
        start = polar(reach, bearing(here, before), here)
        end = polar(reach, bearing(here, after), here)
        vertices += [Vertex(*start, bulge_of(turn)), Vertex(*end)]
    for index in range(count if closed else count - 1):
        following = (index + 1) % count
        side = hypot(points[following][0] - points[index][0], points[following][1] - points[index][1])
        if spent[index] + spent[following] > side + _TINY:
            raise ValueError(f"the side at {points[index]} is too short for a corner radius of {radius_mm} mm")
    return Contour(tuple(vertices), closed)


def slot(centre: tuple[float, float], length_mm: float, width_mm: float, angle_deg: float = 0.0) -> Contour:
    """A slot with round ends; ``length_mm`` is over all."""
    half = (length_mm - width_mm) / 2.0
    ends = joined(arc((half, 0.0), width_mm / 2.0, -90.0, 180.0), arc((-half, 0.0), width_mm / 2.0, 90.0, 180.0))
    return ends.turned(angle_deg).moved(*centre)


def curved_slot(
    centre: tuple[float, float], radius_mm: float, width_mm: float, start_deg: float, sweep_deg: float
) -> Contour:
    """A slot along an arc, counter-clockwise, with round ends whose centres are ``sweep_deg`` apart."""
    half = width_mm / 2.0
    end_deg = start_deg + sweep_deg
    return joined(
        arc(centre, radius_mm + half, start_deg, sweep_deg),
        arc(polar(radius_mm, end_deg, centre), half, end_deg, 180.0),
        arc(centre, radius_mm - half, end_deg, -sweep_deg),
        arc(polar(radius_mm, start_deg, centre), half, start_deg + 180.0, 180.0),
    )


def rectangle(centre: tuple[float, float], width_mm: float, height_mm: float, angle_deg: float = 0.0) -> Contour:
    """A rectangle, counter-clockwise."""
    x, y = width_mm / 2.0, height_mm / 2.0
    corners = Contour((Vertex(-x, -y), Vertex(x, -y), Vertex(x, y), Vertex(-x, y)))
    return corners.turned(angle_deg).moved(*centre)


def angle_of_chord(radius_mm: float, half_chord_mm: float) -> float:
    """Half the angle, in degrees, that a chord of twice ``half_chord_mm`` spans on a circle."""
    return degrees(asin(half_chord_mm / radius_mm))
