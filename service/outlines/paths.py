"""Shapes as SVG path data, and shapes with fewer points for pictures."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon


def svg_path(geometry: Polygon | MultiPolygon, *, digits: int = 2, flip_y: bool = True) -> str:
    """SVG path data of a shape, to be filled even-odd.

    Every outline is a move, one run of relative lines and a close. Points are rounded first and differences taken then,
    so rounding never adds up; a point that rounds to its neighbour is left out.

    Args:
        geometry: the shape, in mm.
        digits: decimals of a coordinate.
        flip_y: turn y over, since SVG counts downwards.
    """
    factor = 10**digits
    return "".join(_outline(ring, factor, digits, flip_y=flip_y) for ring in _rings(geometry))


def simplified(geometry: Polygon | MultiPolygon, tolerance_mm: float) -> Polygon | MultiPolygon:
    """The shape with as few points as keep it within a tolerance (Douglas and Peucker).

    Holes and parts all stay, and a ``MultiPolygon`` stays one even when it has one part.

    Args:
        geometry: the shape, in mm.
        tolerance_mm: how far the line may move, in mm; 0 gives the shape back.
    """
    if tolerance_mm <= 0:
        return geometry
    thinned = shapely.simplify(geometry, tolerance_mm, preserve_topology=True)
    if isinstance(geometry, MultiPolygon) and isinstance(thinned, Polygon):
        return MultiPolygon([thinned])
    return thinned


def ring_points(geometry: Polygon | MultiPolygon) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The corners of every outline of a shape, in mm, the first one not repeated; to be filled even-odd."""
    return tuple(tuple((x, y) for x, y in shapely.get_coordinates(ring)[:-1].tolist()) for ring in _rings(geometry))


def _rings(geometry: Polygon | MultiPolygon) -> Iterator[shapely.LinearRing]:
    for polygon in geometry.geoms if isinstance(geometry, MultiPolygon) else (geometry,):
        if not polygon.is_empty:
            yield polygon.exterior
            yield from polygon.interiors


def _outline(ring: shapely.LinearRing, factor: int, digits: int, *, flip_y: bool) -> str:
    whole = np.rint(shapely.get_coordinates(ring) * (factor, -factor if flip_y else factor)).astype(np.int64)
    steps = np.diff(whole, axis=0)
    steps = steps[steps.any(axis=1)][:-1]  # the last step is what the close draws
    x, y = whole[0].tolist()
    start = f"M{_joined([x, y], digits)}"
    return f"{start}l{_joined(steps.ravel().tolist(), digits)}z" if len(steps) else f"{start}z"


def _joined(values: list[int], digits: int) -> str:
    """Numbers with as few characters as SVG needs between them: a minus parts them, otherwise a blank."""
    text = ""
    for value in values:
        number = _decimal(value, digits)
        text += number if not text or number.startswith("-") else f" {number}"
    return text


def _decimal(value: int, digits: int) -> str:
    sign = "-" if value < 0 else ""
    if not digits:
        return f"{sign}{abs(value)}"
    whole, part = divmod(abs(value), 10**digits)
    decimals = f"{part:0{digits}d}".rstrip("0")
    if not decimals:
        return f"{sign}{whole}"
    return f"{sign}{whole or ''}.{decimals}"
