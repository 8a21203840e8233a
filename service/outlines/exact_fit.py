"""A rectangle moved, turned and grown against the exact border of an area, in ever smaller steps."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from service.outlines.room import Rectangle

Point = tuple[float, float]
Array = npt.NDArray[np.float64]

_BETTER = 1.0005  # a step must win this ratio in height
_FINEST = 1 / 200  # of the height: no smaller steps are taken
_FACTORS = np.array([1.02, 1.06, 1.15, 1.4, 2.0, 4.0, 12.0, 40.0])
_SHARES: Array = np.arange(1, 8, dtype=np.float64) / 8
_HAIR = 0.999
"""A rectangle that touches the border all round slides only when it is made a hair smaller."""

_DIAGONAL = math.sqrt(0.5)
_SHIFTS = ((1, 0), (0, 1), (-1, 0), (0, -1))
_CORNERS = tuple((dx * _DIAGONAL, dy * _DIAGONAL) for dx in (1, -1) for dy in (1, -1))
_STEPS = np.array([(*to, turn) for turn in (0.0, 1.0, -1.0) for to in (*_SHIFTS, *_CORNERS, (0, 0))][:-1])


class ExactFit:
    """An area, and the direction of reading at each point of it.

    Args:
        free: the area.
        centre: where the tops of letters point; None for upright as drawn.
        turn_deg: the first step in direction.
    """

    def __init__(self, free: BaseGeometry, centre: Point | None, *, turn_deg: float) -> None:
        self._free, self._centre, self._turn_deg = free, centre, turn_deg
        shapely.prepare(free)

    def direction(self, at: Point) -> float:
        """The direction of reading at a point, in degrees above -180 and up to 180."""
        if self._centre is None:
            return 0.0
        dx, dy = self._centre[0] - at[0], self._centre[1] - at[1]
        return half_turn(math.degrees(math.atan2(dy, dx)) - 90.0)

    def grown(self, start: Rectangle, within_deg: float, *, turning: bool) -> Rectangle | None:
        """The rectangle moved, turned and grown; nothing where it does not lie in the area at any size.

        Args:
            start: where to begin; it may overrun the area a little.
            within_deg: how far it may be turned from the direction of its place.
            turning: whether it may be turned at all.
        """
        best = self._sized(start)
        if best is None:
            return None
        steps = _STEPS if turning else _STEPS[:8]
        step_mm, step_deg = best.height_mm / 3, self._turn_deg
        while step_mm > best.height_mm * _FINEST:
            centres = np.array(best.centre) + steps[:, :2] * step_mm
            angles = best.angle_deg + steps[:, 2] * step_deg
            fits = self._covered(best, centres, angles, _BETTER) & (self._off(centres, angles) <= within_deg)
            spots = np.flatnonzero(fits)
            if not len(spots):
                step_mm, step_deg = step_mm / 2, step_deg / 2
                continue
            x, y = centres[spots[0]].tolist()
            moved = replace(best, centre=(x, y), angle_deg=half_turn(float(angles[spots[0]])))
            best = self._sized(moved, least=_BETTER) or best
        return best

    def turned(self, rectangle: Rectangle, angle_deg: float) -> Rectangle | None:
        """The rectangle in another direction about its centre, as large as the area lets it be."""
        return self._sized(replace(rectangle, angle_deg=angle_deg))

    def centred(self, rectangle: Rectangle, within_deg: float, along_deg: tuple[float, ...]) -> Rectangle:
        """The rectangle in the middle of where it can slide, one after the other along directions of its own."""
        for along in along_deg:
            turn = math.radians(rectangle.angle_deg + along)
            step = np.array([math.cos(turn), math.sin(turn)])
            shift = (self._slide(rectangle, step) - self._slide(rectangle, -step)) / 2
            x, y = (np.array(rectangle.centre) + shift * step).tolist()
            centres, angles = np.array([[x, y]]), np.array([rectangle.angle_deg])
            if self._off(centres, angles)[0] <= within_deg and self._covered(rectangle, centres, angles, 1.0)[0]:
                rectangle = replace(rectangle, centre=(x, y))
        return rectangle

    def _slide(self, rectangle: Rectangle, step: Array) -> float:
        """How far the rectangle slides before it leaves the area, in mm; at most its longer side."""

        def free_until(ways: Array) -> int:
            centres = np.array(rectangle.centre) + ways[:, None] * step
            fits = self._covered(rectangle, centres, np.full(len(ways), rectangle.angle_deg), _HAIR)
            return int(np.argmin(fits)) if not fits.all() else len(ways)

        stride = rectangle.height_mm / 4
        ways = np.arange(1, 2 + max(4, math.ceil(rectangle.width_mm / stride)), dtype=np.float64) * stride
        low = stride * free_until(ways)
        return float(low + stride / 8 * free_until(low + stride * _SHARES))

    def _sized(self, rectangle: Rectangle, *, least: float = 0.0) -> Rectangle | None:
        """The rectangle as large about its centre as the area lets it be; nothing where that is hardly anything.

        Args:
            rectangle: the rectangle.
            least: a factor at which it is known to fit.
        """
        low, high = least, 1.0
        if self._fitting(rectangle, np.array([max(1.0, least)])):
            factors = max(1.0, least) * _FACTORS
            count = self._fitting(rectangle, factors)
            low, high = ([max(1.0, least), *factors])[count], factors[min(count, len(factors) - 1)]
        for _ in range(3):
            between = low + (high - low) * _SHARES
            bounds = [low, *between, high]
            count = self._fitting(rectangle, between)
            low, high = bounds[count], bounds[count + 1]
        if low <= 1e-3:
            return None
        factor = float(low)
        return replace(
            rectangle, width_mm=rectangle.width_mm * factor, height_mm=rectangle.height_mm * factor, by_rule=True
        )

    def _fitting(self, rectangle: Rectangle, factors: Array) -> int:
        """At how many of these rising factors the rectangle fits; what is smaller about the same centre fits too."""
        rings = _corners(rectangle.width_mm, rectangle.height_mm, np.array([rectangle.angle_deg]))
        polygons = shapely.polygons(rings * factors[:, None, None] + np.array(rectangle.centre))
        return int(np.asarray(shapely.covers(self._free, polygons)).sum())

    def _covered(self, rectangle: Rectangle, centres: Array, angles: Array, factor: float) -> npt.NDArray[np.bool_]:
        """Whether the rectangle fits at each of these centres and angles."""
        rings = _corners(rectangle.width_mm * factor, rectangle.height_mm * factor, angles) + centres[:, None, :]
        return np.asarray(shapely.covers(self._free, shapely.polygons(rings)))

    def _off(self, centres: Array, angles: Array) -> Array:
        """How far each is turned from the direction of its place."""
        if self._centre is None:
            meant = np.zeros(len(angles))
        else:
            dx, dy = (np.array(self._centre) - centres).T
            meant = np.degrees(np.arctan2(dy, dx)) - 90.0
        return np.asarray(np.abs((angles - meant + 180.0) % 360.0 - 180.0))


def half_turn(angle_deg: float) -> float:
    """The same direction above -180 and up to 180 degrees."""
    turned = math.remainder(angle_deg, 360.0)
    return 180.0 if turned == -180.0 else turned


def _corners(width: float, height: float, angles: Array) -> Array:
    """The corners about the centre, in order, for each angle."""
    turn = np.radians(angles)
    along = np.column_stack([np.cos(turn), np.sin(turn)]) * width / 2
    up = np.column_stack([-np.sin(turn), np.cos(turn)]) * height / 2
    return np.stack([-along - up, along - up, along + up, -along + up], axis=1)
