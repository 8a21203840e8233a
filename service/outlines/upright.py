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
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from service.errors import BadRequest
from service.outlines.cells import covered_cells, summed
from service.outlines.exact_fit import ExactFit, Point, half_turn
from service.outlines.room import Rectangle

TOLERANCE_DEG = 20.0
"""How far a text may be turned from its direction (common practice, no source)."""
ANY_DEG = 90.0
"""So far that it only never stands on its head."""
_EVERY_DEG = 6.0  # between two directions that are tried, before the exact search
_CELLS = 150  # along the longer side of the free area
_STEP_MM = 0.4  # no cell is smaller
_STARTS = 2  # windows from which the exact search begins
_STRAIGHT = 1.05  # the direction of the place is taken where it costs less than this ratio in height


class UprightRoom:
    """The free area of a part, for several searches.

    Args:
        free: where an engraving may go, in mm.
        centre: where the tops of letters point; None for upright as drawn.
    """

    def __init__(self, free: BaseGeometry, centre: Point | None) -> None:
        self._exact = ExactFit(free, centre, turn_deg=_EVERY_DEG / 2)
        self._grid = _Grid(free, centre) if not free.is_empty else None
        self._found: dict[tuple[float, float, bool], Rectangle | None] = {}

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

    def direction(self, at: Point) -> float:
        """The direction of reading at a point, in degrees above -180 and up to 180."""
        return self._exact.direction(at)

    def _largest(self, grid: _Grid, aspect: float, within_deg: float, *, along_borders: bool) -> Rectangle | None:
        best: Rectangle | None = None
        for start in grid.windows(aspect, within_deg, along_borders=along_borders):
            found = self._exact.grown(start, within_deg, turning=not along_borders)
            if found is not None and (best is None or found.height_mm > best.height_mm):
                best = found
        if best is None:
            return None
        best = self._exact.centred(best, within_deg, (0.0, 90.0, 0.0))
        if along_borders:
            return best
        exact = self._exact.turned(best, self.direction(best.centre))
        if exact is None or exact.height_mm * _STRAIGHT < best.height_mm:
            return best
        # Up and down the line to the centre the direction stays exact.
        return self._exact.centred(exact, within_deg, (90.0,))


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
