"""Signs of the engraving font as cells of ink, whole and damaged."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache
from itertools import pairwise
from random import Random

import numpy as np
from numpy.typing import NDArray

from service.marks.strokes import STROKE_WIDTH, glyph

CELL = 1 / 16
"""Side of a cell, in cap heights."""

_MARGIN = 3  # cells around the sign
_ROWS = 16 + 1 + 2 * _MARGIN
_COLUMNS = 18 + 2 * _MARGIN  # the widest sign, W, is 20/21 of a cap height wide

SHIFTS = tuple((dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1))
"""How far, in cells, a reader moves a sign to make it fit."""

TURNS_DEG = (-3.5, 0.0, 3.5)
"""How far a reader turns it."""

STRETCHES = (0.85, 1.0, 1.15)
"""How much wider a reader takes it to be; nobody knows the widths of a font by heart."""

Cells = NDArray[np.int64]
Runs = Sequence[tuple[tuple[float, float], tuple[float, float]]]

_TURNED = 0.02  # of the pieces are read upside down
_WORN = (0.05, 0.55)  # share of the strokes' length that is worn off
_WORN_PIECE = (0.08, 0.35)  # of it, in cap heights, at a time
_BLOTS = (0, 0, 0, 1, 1, 2)
_BLOT_RADIUS = (0.05, 0.18)  # in cap heights, of dirt that fills grooves or stains beside them
_SCRATCHED = 0.25  # of the signs have a scratch across that holds dirt
_NOISE = 0.01  # of the cells are seen wrong
_TURN_DEG = 5.0
_SHIFT = 0.06  # in cap heights


@cache
def _runs(sign: str) -> Runs:
    """The straight pieces of a sign's centre lines around its own middle, none longer than two cells."""
    letter = glyph(sign)
    middle = letter.width / 2, 0.5
    pieces = []
    for stroke in letter.strokes:
        for (x0, y0), (x1, y1) in pairwise(stroke):
            count = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / (2 * CELL)))
            ends = [
                (x0 + (x1 - x0) * n / count - middle[0], y0 + (y1 - y0) * n / count - middle[1])
                for n in range(count + 1)
            ]
            pieces += list(pairwise(ends))
    return tuple(pieces)


def whole(sign: str, *, turn_deg: float = 0.0, stretch: float = 1.0) -> Cells:
    """A whole sign: 1 where the groove of a cutter as wide as the lettering asks covers the middle of a cell."""
    stretched = [[(x * stretch, y) for x, y in piece] for piece in _runs(sign)]
    return _swept(_moved(stretched, math.radians(turn_deg), 0.0, 0.0))


def shifted(cells: Cells, dx: int, dy: int) -> Cells:
    """The cells moved; what leaves one side is blank on the other, as the margin is wide enough."""
    return np.roll(cells, (dy, dx), axis=(0, 1))


def damaged(sign: str, rng: Random) -> Cells:
    """A sign as it may be found: moved and turned a little, partly worn off, stained, and seen with noise."""
    turn = math.radians(rng.uniform(-_TURN_DEG, _TURN_DEG)) + (math.pi if rng.random() < _TURNED else 0.0)
    dx, dy = rng.uniform(-_SHIFT, _SHIFT), rng.uniform(-_SHIFT, _SHIFT)
    cells = _swept(_moved(_worn(_runs(sign), rng), turn, dx, dy))
    for _ in range(rng.choice(_BLOTS)):
        _stain(cells, rng, filled=rng.random() < 0.5)
    if rng.random() < _SCRATCHED:
        _scratch(cells, rng)
    for _ in range(round(_NOISE * cells.size)):
        at = rng.randrange(_ROWS), rng.randrange(_COLUMNS)
        cells[at] = 1 - cells[at]
    return cells


def _moved(
    runs: Iterable[Sequence[tuple[float, float]]], turn: float, dx: float, dy: float
) -> list[list[tuple[float, float]]]:
    cos, sin = math.cos(turn), math.sin(turn)
    return [[(x * cos - y * sin + dx, x * sin + y * cos + dy) for x, y in piece] for piece in runs]


def _worn(runs: Runs, rng: Random) -> Runs:
    """The pieces that are left when some places are worn off, each as far as the wear reached."""
    lengths = [math.dist(*piece) for piece in runs]
    left = rng.uniform(*_WORN) * sum(lengths)
    gone: set[int] = set()
    while left > 0 and len(gone) < len(runs):
        middle = rng.choice([n for n in range(len(runs)) if n not in gone])
        reach = rng.uniform(*_WORN_PIECE) / 2
        centre = runs[middle][0]
        for n, (start, _) in enumerate(runs):
            if n not in gone and math.dist(start, centre) <= reach:
                gone.add(n)
                left -= lengths[n]
    return [piece for n, piece in enumerate(runs) if n not in gone]


def _swept(runs: Iterable[Sequence[tuple[float, float]]]) -> Cells:
    """Ink in every cell whose middle lies within half a groove of a centre line."""
    ends = np.array([(*start, *end) for start, end in runs], dtype=np.float64).reshape(-1, 4, 1, 1)
    x0, y0, along_x, along_y = ends[:, 0], ends[:, 1], ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1]
    x, y = _middles()
    away_x, away_y = x - x0, y - y0
    share = np.clip((away_x * along_x + away_y * along_y) / (along_x**2 + along_y**2), 0, 1)
    apart = (away_x - share * along_x) ** 2 + (away_y - share * along_y) ** 2
    ink: Cells = np.any(apart <= (STROKE_WIDTH / 2) ** 2, axis=0).astype(np.int64)
    return ink


@cache
def _middles() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    row, column = np.mgrid[:_ROWS, :_COLUMNS]
    # A hair off the middle, so that no centre line lies as far from two cells' middles.
    return (column - (_COLUMNS - 1) / 2) * CELL + 1e-3, ((_ROWS - 1) / 2 - row) * CELL + 1e-3


def _stain(cells: Cells, rng: Random, *, filled: bool) -> None:
    x, y = _middles()
    at_x, at_y, radius = rng.uniform(-0.45, 0.45), rng.uniform(-0.5, 0.5), rng.uniform(*_BLOT_RADIUS)
    cells[(x - at_x) ** 2 + (y - at_y) ** 2 <= radius**2] = int(filled)


def _scratch(cells: Cells, rng: Random) -> None:
    start = rng.uniform(-0.6, 0.6), rng.uniform(-0.6, 0.6)
    angle, length = rng.uniform(0, math.pi), rng.uniform(0.3, 0.9)
    end = start[0] + length * math.cos(angle), start[1] + length * math.sin(angle)
    cells |= _swept([(start, end)])
