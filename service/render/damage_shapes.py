"""The shapes of damage on a plate, in millimetres: a loss in one piece, and straight scratches."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from service.render.damage_window import Floats, Window, chance

Mask = NDArray[np.bool_]

#: Lobes of a blob's outline: waves round its centre and how far each pushes the outline in and out at most.
_LOBES = ((2, 0.22), (3, 0.16), (4, 0.10), (5, 0.08))

#: The plate is sampled at so many points along its longer side to find how far a blob of a given share reaches.
_SAMPLES = 240

#: Shapes are drawn in cells of an eighth of a millimetre, the dot of the coarsest head.
_CELLS_PER_MM = 8.0

#: Streams of chance, so that a blob and a scratch of one seed have nothing in common.
_BLOB, _LINES = 1, 2


def blob(window: Window, *, share: float, seed: int) -> Mask:
    """Where a blob in one piece lies that covers ``share`` of the whole plate.

    It is star-shaped about a point anywhere on the plate: its outline has one distance for each direction. A greater
    share of the same seed grows from the same point and holds the smaller one.
    """
    reach = _reach(window.plate_mm, share, seed)
    grid = _Grid.under(window)
    return grid.in_dots(_score(grid.x_mm, grid.y_mm, window.plate_mm, seed) < reach)


def lines(window: Window, *, count: int, width_mm: float, seed: int) -> Mask:
    """Where straight lines lie that run right across the plate, each through a point on it in any direction.

    More lines of the same seed are the same lines and further ones.
    """
    grid = _Grid.under(window)
    hit = np.zeros((grid.y_mm.size, grid.x_mm.size), dtype=bool)
    width, height = window.plate_mm
    for x, y, turn in chance(seed, 3 * count, stream=_LINES).reshape(count, 3):
        angle = turn * np.pi
        across = (grid.x_mm - x * width) * np.sin(angle) - (grid.y_mm - y * height) * np.cos(angle)
        hit |= np.abs(across) < width_mm / 2
    return grid.in_dots(hit)


@dataclass(frozen=True, slots=True)
class _Grid:
    """The cells of the plate that a window touches: shapes are as coarse as they are, whatever the printer.

    Attributes:
        x_mm: middles of its columns, one row.
        y_mm: middles of its rows, one column.
        columns: for each column of dots its column of cells.
        rows: for each row of dots its row of cells.
    """

    x_mm: Floats
    y_mm: Floats
    columns: NDArray[np.intp]
    rows: NDArray[np.intp]

    @classmethod
    def under(cls, window: Window) -> _Grid:
        columns = np.floor(window.x_mm[0] * _CELLS_PER_MM).astype(np.intp)
        rows = np.floor(window.y_mm[:, 0] * _CELLS_PER_MM).astype(np.intp)
        across, along = np.arange(columns[0], columns[-1] + 1), np.arange(rows[0], rows[-1] + 1)
        return cls(
            ((across + 0.5) / _CELLS_PER_MM)[np.newaxis, :],
            ((along + 0.5) / _CELLS_PER_MM)[:, np.newaxis],
            columns - columns[0],
            rows - rows[0],
        )

    def in_dots(self, cells: Mask) -> Mask:
        return cells[self.rows[:, np.newaxis], self.columns[np.newaxis, :]]


def _score(x_mm: Floats, y_mm: Floats, plate_mm: tuple[float, float], seed: int) -> Floats:
    """Distance from the blob's point over the outline's distance in that direction."""
    dice = chance(seed, 2 + 2 * len(_LOBES), stream=_BLOB)
    across, along = x_mm - dice[0] * plate_mm[0], y_mm - dice[1] * plate_mm[1]
    direction = np.arctan2(along, across)
    outline: Floats = np.ones(direction.shape)
    for (waves, most), size, phase in zip(_LOBES, dice[2::2], dice[3::2], strict=True):
        outline += most * size * np.cos(waves * direction + 2 * np.pi * phase)
    score: Floats = np.hypot(across, along) / outline
    return score


@lru_cache(maxsize=4096)
def _reach(plate_mm: tuple[float, float], share: float, seed: int) -> float:
    """The score below which ``share`` of the plate lies."""
    if share >= 1.0:
        return float("inf")
    step = max(plate_mm) / _SAMPLES
    columns: Floats = np.arange(max(1, round(plate_mm[0] / step)), dtype=np.float64)
    rows: Floats = np.arange(max(1, round(plate_mm[1] / step)), dtype=np.float64)
    x_mm, y_mm = ((columns + 0.5) * step)[np.newaxis, :], ((rows + 0.5) * step)[:, np.newaxis]
    scores = np.sort(_score(x_mm, y_mm, plate_mm, seed), axis=None)
    return float(scores[round(share * (scores.size - 1))]) if share > 0 else 0.0
