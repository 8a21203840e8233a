"""An area as cells of a grid, and how many of them lie in any window (Crow 1984, "Summed-area tables")."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry


def summed(cells: npt.NDArray[np.int32]) -> npt.NDArray[np.int32]:
    """The summed-area table: how many cells are set below and left of each grid point."""
    return np.pad(cells.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32), ((1, 0), (1, 0)))


def covered_cells(
    area: BaseGeometry, corner: tuple[float, float], step: float, rows: int, columns: int
) -> npt.NDArray[np.int32]:
    """1 for every cell whose centre lies in the area, by counting border crossings along each row of centres."""
    cells = np.zeros((rows, columns + 1), dtype=np.int32)
    coordinates, owner = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(area)), return_index=True)
    if not len(coordinates):
        return cells[:, :-1]
    # Grid coordinates in which the centre of cell (row, column) is (row, column).
    points = (coordinates - corner) / step - 0.5
    joined = owner[1:] == owner[:-1]
    start, end = points[:-1][joined], points[1:][joined]
    first = np.ceil(np.minimum(start[:, 1], end[:, 1])).astype(np.int64)
    last = np.ceil(np.maximum(start[:, 1], end[:, 1])).astype(np.int64)  # a row counts from its lower end up, once
    counts = last - first
    edge = np.repeat(np.arange(len(counts)), counts)
    row = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts) + np.repeat(first, counts)
    share = (row - start[edge, 1]) / (end[edge, 1] - start[edge, 1])
    x = start[edge, 0] + share * (end[edge, 0] - start[edge, 0])
    column = np.clip(np.ceil(x), 0, columns).astype(np.int64)
    on_grid = (row >= 0) & (row < rows)
    np.add.at(cells, (row[on_grid], column[on_grid]), 1)
    return np.asarray(cells.cumsum(axis=1) % 2, dtype=np.int32)[:, :-1]
