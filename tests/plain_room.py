"""A plain search for the largest free rectangle of a part: one margin all round, a few fixed directions, no rule.

It serves tests that need some room on a part, and the figures as a yardstick of placement. The free area lies on a fine
grid in each direction, free cells are counted with a summed-area table, and the largest rectangle is found by halving.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from service.outlines.cells import covered_cells, summed
from service.outlines.drawing import Drawing
from service.outlines.room import Rectangle

DEFAULT_ANGLES_DEG: tuple[float, ...] = (0, 90, 45, 135, 15, 75, 30, 60, 105, 165, 120, 150)
"""Directions of the text, first those that read best; the direction of the part itself is tried as well."""
EDGE_MM = 5.0
HOLE_MM = 5.0
_STEP_MM = 0.5  # width of a grid cell on parts of usual size
_CELLS = 900  # most cells along one side
_ROUNDS = 12  # halvings of the height: the step is then a 4000th of the part


class Room:
    """The free area of a drawing, for several searches.

    Args:
        drawing: the part.
        edge_mm: margin along the outside, in mm.
        hole_mm: margin round holes and hubs, in mm.
        angles_deg: directions of the text that are tried, those first that are preferred.
    """

    def __init__(
        self,
        drawing: Drawing,
        *,
        edge_mm: float = EDGE_MM,
        hole_mm: float = HOLE_MM,
        angles_deg: Sequence[float] = DEFAULT_ANGLES_DEG,
    ) -> None:
        self.free = free_area(drawing, edge_mm=edge_mm, hole_mm=hole_mm)
        own = _own_direction(drawing) if tuple(angles_deg) == DEFAULT_ANGLES_DEG else None
        self._angles = [*angles_deg] if own is None else [*angles_deg, own, (own + 90) % 180]
        self._grids: dict[float, _Grid] = {}

    def rectangle(self, aspect: float) -> Rectangle | None:
        """The largest free rectangle of one ratio of width to height, or nothing when there is no free area.

        Args:
            aspect: width divided by height.
        """
        if self.free.is_empty:
            return None
        best: Rectangle | None = None
        for angle in self._angles:
            if angle not in self._grids:
                self._grids[angle] = _Grid(self.free, angle)
            # Another direction must win by a twentieth: text that is turned for nothing looks like a mistake.
            found = self._grids[angle].largest(aspect, beyond_mm=best.height_mm * 1.05 if best else 0.0)
            best = found or best
        return None if best is None else self._grown(best)

    def _grown(self, rectangle: Rectangle) -> Rectangle:
        """The rectangle widened about its centre until it touches the border of the free area."""
        shapely.prepare(self.free)
        low, high = 1.0, 1.0 + 8 * _STEP_MM / rectangle.height_mm
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            if self.free.covers(_scaled(rectangle, middle).polygon()):
                low = middle
            else:
                high = middle
        return _scaled(rectangle, low)


def free_area(drawing: Drawing, *, edge_mm: float = EDGE_MM, hole_mm: float = HOLE_MM) -> BaseGeometry:
    """Where an engraving may go; margins in mm, see the module."""
    blocked = shapely.union_all([*drawing.keepouts, *(hub.buffer(hole_mm) for hub in drawing.hubs)])
    if drawing.engraving_zones:
        zone = shapely.union_all(list(drawing.engraving_zones))
        return zone.intersection(drawing.material).difference(blocked)
    outsides = [Polygon(part.exterior).buffer(-edge_mm) for part in drawing.material.geoms]
    holes = [Polygon(hole).buffer(hole_mm) for part in drawing.material.geoms for hole in part.interiors]
    return shapely.union_all(outsides).difference(shapely.union_all([blocked, *holes])).intersection(drawing.material)


def _own_direction(drawing: Drawing) -> float:
    """Direction of the longer side of the narrowest box round the part, in whole degrees from 0 to 179."""
    box = drawing.material.minimum_rotated_rectangle
    corners = shapely.get_coordinates(box)
    sides = np.diff(corners[:3], axis=0)
    longer = sides[int(np.argmax(np.hypot(sides[:, 0], sides[:, 1])))]
    return float(round(math.degrees(math.atan2(longer[1], longer[0]))) % 180)


def _scaled(rectangle: Rectangle, factor: float) -> Rectangle:
    return replace(rectangle, width_mm=rectangle.width_mm * factor, height_mm=rectangle.height_mm * factor)


class _Grid:
    """The free area turned by one angle, as cells that lie wholly inside it."""

    def __init__(self, free: BaseGeometry, angle_deg: float) -> None:
        self.angle_deg = angle_deg
        turned = affinity.rotate(free, -angle_deg, origin=(0, 0))
        left, bottom, right, top = turned.bounds
        self.size = (right - left, top - bottom)
        self.step = max(min(_STEP_MM, max(self.size) / 200), max(self.size) / _CELLS)
        self.corner = (left, bottom)
        # A cell lies inside when its centre lies inside the area less half a cell's diagonal.
        inner = turned.buffer(-self.step / math.sqrt(2), quad_segs=4)
        columns = max(1, math.ceil(self.size[0] / self.step))
        rows = max(1, math.ceil(self.size[1] / self.step))
        self.table = summed(covered_cells(inner, self.corner, self.step, rows, columns))

    def largest(self, aspect: float, *, beyond_mm: float) -> Rectangle | None:
        """The largest rectangle of this ratio whose height exceeds ``beyond_mm``, or nothing."""
        low, high = max(beyond_mm, self.step), min(self.size[1], self.size[0] / aspect)
        if high < low:
            return None
        best = self._spots(low, aspect)
        if best is None:
            return None
        height = low
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            spots = self._spots(middle, aspect)
            if spots is None:
                high = middle
            else:
                low, height, best = middle, middle, spots
        return self._placed(best, height, aspect)

    def _spots(self, height: float, aspect: float) -> npt.NDArray[np.intp] | None:
        """Lower left cells of all windows of this height that are wholly free; nothing when there are none."""
        rows, columns = math.ceil(height / self.step), math.ceil(height * aspect / self.step)
        table = self.table
        if rows >= table.shape[0] or columns >= table.shape[1]:
            return None
        inside = table[rows:, columns:] - table[:-rows, columns:] - table[rows:, :-columns] + table[:-rows, :-columns]
        flat = np.flatnonzero(inside == rows * columns)
        return np.stack(np.unravel_index(flat, inside.shape), axis=1) if len(flat) else None

    def _placed(self, spots: npt.NDArray[np.intp], height: float, aspect: float) -> Rectangle:
        """The most central of the free windows, in part coordinates."""
        middle = spots.mean(axis=0)
        row, column = spots[int(np.argmin(((spots - middle) ** 2).sum(axis=1)))]
        rows, columns = math.ceil(height / self.step), math.ceil(height * aspect / self.step)
        x = self.corner[0] + (column + columns / 2) * self.step
        y = self.corner[1] + (row + rows / 2) * self.step
        angle = math.radians(self.angle_deg)
        centre = (x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle))
        return Rectangle((float(centre[0]), float(centre[1])), height * aspect, height, self.angle_deg)
