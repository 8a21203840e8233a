"""The largest rectangle on a part whose text has the tops of its letters toward the centre of the machine.

The rule couples direction and place: the direction of reading at a point is square to the line to the centre, so on a
star wheel each spot has its own. A direction may differ from that of its spot by a tolerance. Where no centre is known
the direction is that of the drawing: upright as drawn.

The search lays the free area on a grid once, turns the grid into each direction, and looks for the largest window whose
middle lies where this direction is allowed. The best few are then moved and turned in ever smaller steps against the
exact area. All of what is returned lies in the free area and keeps the rule.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from service.errors import BadRequest
from service.outlines.cells import covered_cells, summed
from service.outlines.room import Rectangle

Point = tuple[float, float]

TOLERANCE_DEG = 20.0
"""How far a text may be turned from its direction (common practice, no source)."""
ANY_DEG = 90.0
"""So far that it only never stands on its head."""
_EVERY_DEG = 4.0  # between two directions that are tried, before the exact search
_CELLS = 180  # along the longer side of the free area
_STEP_MM = 0.4  # no cell is smaller
_STARTS = 3  # windows from which the exact search begins
_EXACT = 1.05  # the exact direction is taken where it costs less than this ratio in height
_HALVINGS = 12


class UprightRoom:
    """The free area of a part, for several searches.

    Args:
        free: where an engraving may go, in mm.
        centre: where the tops of letters point; None for upright as drawn.
    """

    def __init__(self, free: BaseGeometry, centre: Point | None) -> None:
        self._free = free
        self._centre = centre
        self._grid = _Grid(free, centre) if not free.is_empty else None
        self._found: dict[tuple[float, float, bool], Rectangle | None] = {}
        shapely.prepare(free)

    def rectangle(
        self, aspect: float, *, within_deg: float = TOLERANCE_DEG, along_borders: bool = False
    ) -> Rectangle | None:
        """The largest rectangle of one ratio of width to height that keeps the rule, or nothing.

        Args:
            aspect: width divided by height.
            within_deg: the tolerance of the direction.
            along_borders: only along or square to the longest straight borders.

        Raises:
            BadRequest: the ratio is not a positive number.
        """
        if not (math.isfinite(aspect) and aspect > 0):
            raise BadRequest("not a positive number", field="aspect", value=aspect, todo="Give width divided by height")
        if self._grid is None:
            return None
        asked = (aspect, within_deg, along_borders)
        if asked not in self._found:
            self._found[asked] = self._largest(self._grid, aspect, within_deg, along_borders=along_borders)
        return self._found[asked]

    def _largest(self, grid: _Grid, aspect: float, within_deg: float, *, along_borders: bool) -> Rectangle | None:
        best: Rectangle | None = None
        for start in grid.windows(aspect, within_deg, along_borders=along_borders):
            found = self._grown(start, within_deg, _STEPS[:4] if along_borders else _STEPS)
            if found is not None and (best is None or found.height_mm > best.height_mm):
                best = found
        if best is None:
            return None
        best = self._centred(best, within_deg, (0.0, 90.0, 0.0))
        if along_borders:
            return best
        exact = self._turned(best, self.direction(best.centre))
        if exact is None or exact.height_mm * _EXACT < best.height_mm:
            return best
        # Up and down the line to the centre the direction stays exact.
        return self._centred(exact, within_deg, (90.0,))

    def _centred(self, rectangle: Rectangle, within_deg: float, along_deg: tuple[float, ...]) -> Rectangle:
        """The rectangle in the middle of where it can slide along each of these directions of its own."""
        corners = _corners(rectangle)
        for along in along_deg:
            turn = math.radians(rectangle.angle_deg + along)
            step = (math.cos(turn), math.sin(turn))
            ahead, behind = (self._slide(rectangle, corners, (side * step[0], side * step[1])) for side in (1, -1))
            shift = (ahead - behind) / 2
            x, y = rectangle.centre
            moved = replace(rectangle, centre=(x + shift * step[0], y + shift * step[1]))
            if self.off(moved) <= within_deg and self._covers(moved, corners, 1.0):
                rectangle = moved
        return rectangle

    def _slide(self, rectangle: Rectangle, corners: npt.NDArray[np.float64], step: Point) -> float:
        """How far the rectangle, made a hair smaller, slides before it leaves the area, in mm; at most its length."""
        x, y = rectangle.centre

        def fits(way: float) -> bool:
            return self._covers(replace(rectangle, centre=(x + way * step[0], y + way * step[1])), corners, 0.999)

        stride, most = rectangle.height_mm / 4, max(rectangle.width_mm, rectangle.height_mm)
        free = 0.0
        while free < most and fits(free + stride):
            free += stride
        blocked = free + stride
        for _ in range(5):
            middle = (free + blocked) / 2
            free, blocked = (middle, blocked) if fits(middle) else (free, middle)
        return free

    def direction(self, at: Point) -> float:
        """The direction of reading at a point, in degrees above -180 and up to 180."""
        if self._centre is None:
            return 0.0
        dx, dy = self._centre[0] - at[0], self._centre[1] - at[1]
        return half_turn(math.degrees(math.atan2(dy, dx)) - 90.0)

    def off(self, rectangle: Rectangle) -> float:
        """How far a text is turned from the direction of its place, in degrees from 0 to 180."""
        return abs(half_turn(rectangle.angle_deg - self.direction(rectangle.centre)))

    def _grown(
        self, start: Rectangle, within_deg: float, steps: tuple[tuple[float, float, float], ...]
    ) -> Rectangle | None:
        """A window moved, turned and grown against the exact area; nothing where it does not lie in it at any size."""
        best = self._sized(start, 0.0)
        if best is None:
            return None
        step_mm, step_deg = best.height_mm / 3, _EVERY_DEG / 2
        while step_mm > best.height_mm / 200:
            for dx, dy, turn in steps:
                moved = Rectangle(
                    (best.centre[0] + dx * step_mm, best.centre[1] + dy * step_mm),
                    best.width_mm,
                    best.height_mm,
                    half_turn(best.angle_deg + turn * step_deg),
                    by_rule=True,
                )
                if self.off(moved) <= within_deg:
                    larger = self._sized(moved, best.height_mm * 1.0005)
                    if larger is not None:
                        best = larger
                        break
            else:
                step_mm, step_deg = step_mm / 2, step_deg / 2
        return best

    def _turned(self, rectangle: Rectangle, angle_deg: float) -> Rectangle | None:
        turned = Rectangle(rectangle.centre, rectangle.width_mm, rectangle.height_mm, angle_deg, by_rule=True)
        return self._sized(turned, 0.0)

    def _sized(self, rectangle: Rectangle, beyond_mm: float) -> Rectangle | None:
        """The rectangle made as large about its centre as the area lets it be, if that is beyond a height."""
        corners = _corners(rectangle)
        if beyond_mm and not self._covers(rectangle, corners, beyond_mm / rectangle.height_mm):
            return None
        low, high = beyond_mm / rectangle.height_mm, 1.0
        while high < 64 and self._covers(rectangle, corners, high):
            low, high = high, high * 1.25
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            if self._covers(rectangle, corners, middle):
                low = middle
            else:
                high = middle
        if low <= 1e-3:
            return None
        return Rectangle(
            rectangle.centre, rectangle.width_mm * low, rectangle.height_mm * low, rectangle.angle_deg, by_rule=True
        )

    def _covers(self, rectangle: Rectangle, corners: npt.NDArray[np.float64], factor: float) -> bool:
        ring = corners * factor + rectangle.centre
        return bool(self._free.covers(shapely.polygons(ring)))


def half_turn(angle_deg: float) -> float:
    """The same direction above -180 and up to 180 degrees."""
    turned = math.remainder(angle_deg, 360.0)
    return 180.0 if turned == -180.0 else turned


_DIAGONAL = math.sqrt(0.5)
_STEPS: tuple[tuple[float, float, float], ...] = (
    *((dx, dy, 0.0) for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1))),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
    *((dx * _DIAGONAL, dy * _DIAGONAL, turn) for dx in (1, -1) for dy in (1, -1) for turn in (0.0, 1.0, -1.0)),
)


def _corners(rectangle: Rectangle) -> npt.NDArray[np.float64]:
    """The corners about the centre, in order."""
    angle = math.radians(rectangle.angle_deg)
    along = np.array([math.cos(angle), math.sin(angle)]) * rectangle.width_mm / 2
    up = np.array([-math.sin(angle), math.cos(angle)]) * rectangle.height_mm / 2
    return np.array([-along - up, along - up, along + up, -along + up])


@dataclass(frozen=True, slots=True)
class _Window:
    height_mm: float
    rectangle: Rectangle


class _Turned:
    """The grid in one direction of reading: the summed-area table, and where each cell's middle lies."""

    def __init__(self, cells: npt.NDArray[np.bool_], step: float, corner: Point, angle_deg: float) -> None:
        self.angle_deg = angle_deg
        self.step = step
        angle = math.radians(angle_deg)
        self.cos, self.sin = math.cos(angle), math.sin(angle)
        rows, columns = cells.shape
        corners = np.array([[0, 0], [columns, 0], [0, rows], [columns, rows]], dtype=np.float64) * step + corner
        u = corners[:, 0] * self.cos + corners[:, 1] * self.sin
        v = -corners[:, 0] * self.sin + corners[:, 1] * self.cos
        self.left, self.bottom = float(u.min()), float(v.min())
        us = self.left + (np.arange(math.ceil((u.max() - self.left) / step)) + 0.5) * step
        vs = self.bottom + (np.arange(math.ceil((v.max() - self.bottom) / step)) + 0.5) * step
        x = us[None, :] * self.cos - vs[:, None] * self.sin
        y = us[None, :] * self.sin + vs[:, None] * self.cos
        column = np.floor((x - corner[0]) / step).astype(np.int64)
        row = np.floor((y - corner[1]) / step).astype(np.int64)
        on_grid = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        found = np.zeros(on_grid.shape, dtype=np.int32)
        found[on_grid] = cells[row[on_grid], column[on_grid]]
        self.table = summed(found)

    def middle(self, row: float, column: float) -> Point:
        """A point of the grid in part coordinates."""
        u, v = self.left + float(column) * self.step, self.bottom + float(row) * self.step
        return u * self.cos - v * self.sin, u * self.sin + v * self.cos


class _Grid:
    """The free area as cells, turned into every direction of reading that occurs on it."""

    def __init__(self, free: BaseGeometry, centre: Point | None) -> None:
        left, bottom, right, top = free.bounds
        self._centre = centre
        self._step = max(_STEP_MM, max(right - left, top - bottom) / _CELLS)
        self._corner = (left, bottom)
        columns, rows = (max(1, math.ceil(extent / self._step)) for extent in (right - left, top - bottom))
        self._cells = covered_cells(free, self._corner, self._step, rows, columns) > 0
        self._borders_deg = _edge_directions(free)
        self._spread = self._directions()
        self._turned: dict[float, _Turned] = {}

    def _directions(self) -> npt.NDArray[np.float64] | None:
        """The directions of reading that occur, in whole degrees; nothing where it is the same everywhere."""
        if self._centre is None:
            return None
        rows, columns = np.nonzero(self._cells)
        x = self._corner[0] + (columns + 0.5) * self._step
        y = self._corner[1] + (rows + 0.5) * self._step
        exact = np.degrees(np.arctan2(self._centre[1] - y, self._centre[0] - x)) - 90.0
        return np.unique(np.rint(exact))

    def windows(self, aspect: float, within_deg: float, *, along_borders: bool) -> list[Rectangle]:
        """The largest windows of this ratio in the few best directions; they may overrun the area a little."""
        best: list[_Window] = []
        for angle_deg in self._angles(within_deg, along_borders=along_borders):
            least = best[-1].height_mm * 1.01 if len(best) == _STARTS else 0.0
            turned = self._turned.get(angle_deg)
            if turned is None:
                turned = self._turned[angle_deg] = _Turned(self._cells, self._step, self._corner, angle_deg)
            found = self._largest(turned, aspect, within_deg, least)
            if found is not None:
                best = sorted([*best, found], key=lambda window: -window.height_mm)[:_STARTS]
        return [window.rectangle for window in best]

    def _angles(self, within_deg: float, *, along_borders: bool) -> Iterator[float]:
        """Directions to try: evenly spread ones, and those of the longest straight borders."""
        even = () if along_borders else np.arange(-180.0, 180.0, _EVERY_DEG)
        for angle in (*even, *self._borders_deg):
            if self._spread is None:
                allowed = abs(half_turn(angle)) <= within_deg
            else:
                allowed = bool((np.abs((self._spread - angle + 180.0) % 360.0 - 180.0) <= within_deg).any())
            if allowed:
                yield half_turn(float(angle))

    def _largest(self, turned: _Turned, aspect: float, within_deg: float, least_mm: float) -> _Window | None:
        low = max(least_mm, self._step, self._step / aspect)
        spots = self._spots(turned, low, aspect, within_deg)
        if spots is None:
            return None
        rows, columns = turned.table.shape
        high = max(low, min(rows, columns / aspect) * self._step)
        height, best = low, spots
        while high - low > self._step / 2:
            middle = (low + high) / 2
            spots = self._spots(turned, middle, aspect, within_deg)
            if spots is None:
                high = middle
            else:
                low, height, best = middle, middle, spots
        central = best.mean(axis=0)
        row, column = best[int(np.argmin(((best - central) ** 2).sum(axis=1)))]
        high_cells, wide_cells = self._size(height, aspect)
        middle_at = turned.middle(row + high_cells / 2, column + wide_cells / 2)
        return _Window(height, Rectangle(middle_at, height * aspect, height, turned.angle_deg, by_rule=True))

    def _size(self, height: float, aspect: float) -> tuple[int, int]:
        return max(1, round(height / self._step)), max(1, round(height * aspect / self._step))

    def _spots(self, turned: _Turned, height: float, aspect: float, within_deg: float) -> npt.NDArray[np.intp] | None:
        """Lower left cells of all free windows of this height in whose middle the direction is allowed."""
        rows, columns = self._size(height, aspect)
        table = turned.table
        if rows >= table.shape[0] or columns >= table.shape[1]:
            return None
        inside = table[rows:, columns:] - table[:-rows, columns:] - table[rows:, :-columns] + table[:-rows, :-columns]
        row, column = np.nonzero(inside == rows * columns)
        if not len(row):
            return None
        if self._centre is not None:
            # In the turned grid the tops of letters point up: the centre must lie above within the tolerance.
            x, y = self._centre
            u = x * turned.cos + y * turned.sin - (turned.left + (column + columns / 2) * self._step)
            v = -x * turned.sin + y * turned.cos - (turned.bottom + (row + rows / 2) * self._step)
            kept = np.abs(np.degrees(np.arctan2(u, v))) <= within_deg
            row, column = row[kept], column[kept]
        return np.stack((row, column), axis=1) if len(row) else None


def _edge_directions(free: BaseGeometry) -> list[float]:
    """The directions along and across the longest straight borders, for zones and bars that lie askew."""
    runs = []
    for ring in shapely.get_rings(shapely.get_parts(free)):
        sides = np.diff(shapely.get_coordinates(ring), axis=0)
        runs.append(np.column_stack([np.hypot(*sides.T), np.degrees(np.arctan2(sides[:, 1], sides[:, 0]))]))
    if not runs:
        return []
    every = np.concatenate(runs)
    longest = every[np.argsort(-every[:, 0])[:4], 1]
    return sorted({round(half_turn(float(angle) + quarter), 3) for angle in longest for quarter in (0, 90, 180, 270)})
