r"""Reading single-stroke lettering back from its geometry alone.

What is cut must be the text that was chosen. This reader knows nothing of how a text was set: it gathers strokes into
lines by their height and into letters by the gaps between them, and names each letter by the nearest shape, measured
with the Hausdorff distance. It says ``\N{REPLACEMENT CHARACTER}`` where no shape is near enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from service.marks.strokes import CHARACTERS, Stroke, glyph

UNREADABLE = "\N{REPLACEMENT CHARACTER}"

NEAR = 0.02
"""Largest Hausdorff distance, in cap heights, at which a shape is taken for a letter.

The two nearest letters of the font, O and 0, are 0.10 apart: a shape within 0.02 of one is nearer to no other.
"""
_TOUCHING = 0.12
_WORD_GAP = 0.5
_SAMPLE = 0.05

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Reading:
    """What the strokes say.

    Attributes:
        lines: the texts, from the top.
        base_line: whether a rule stands under the last line over its whole width.
    """

    lines: tuple[str, ...]
    base_line: bool


@dataclass(frozen=True, slots=True)
class _Shape:
    """Strokes in cap heights: points along them, and their straight runs as rows of x0, y0, x1, y1."""

    points: Array
    runs: Array
    left: float
    right: float
    bottom: float
    top: float


def read_strokes(strokes: Sequence[Stroke], cap_height_mm: float, *, angle_deg: float = 0.0) -> list[str]:
    """The lines of text that the strokes form, from the top; a base line is no text.

    Args:
        strokes: polylines in mm.
        cap_height_mm: height of the capitals.
        angle_deg: direction of the text, counter-clockwise from the x axis.
    """
    return list(read_block(strokes, cap_height_mm, angle_deg=angle_deg).lines)


def read_block(strokes: Sequence[Stroke], cap_height_mm: float, *, angle_deg: float = 0.0) -> Reading:
    """The lines of text that the strokes form, and whether a base line stands under them.

    Args:
        strokes: polylines in mm.
        cap_height_mm: height of the capitals.
        angle_deg: direction of the text, counter-clockwise from the x axis.
    """
    turn = math.radians(-angle_deg)
    cos, sin = math.cos(turn) / cap_height_mm, math.sin(turn) / cap_height_mm
    shapes = [
        _shape([(x * cos - y * sin, x * sin + y * cos) for x, y in stroke]) for stroke in strokes if len(stroke) > 1
    ]
    rows = _clusters(shapes, low=lambda s: s.bottom, high=lambda s: s.top)
    rows.reverse()
    base_line = len(rows) > 1 and _is_rule(rows[-1], over=rows[-2])
    if base_line:
        rows.pop()
    return Reading(lines=tuple(_read_row(row) for row in rows), base_line=base_line)


def _read_row(row: list[_Shape]) -> str:
    cells = [_joined(cell) for cell in _clusters(row, low=lambda s: s.left, high=lambda s: s.right)]
    base = _base_of(cells)
    text = ""
    for before, cell in zip([None, *cells], cells, strict=False):
        if before is not None and cell.left - before.right > _WORD_GAP:
            text += " "
        text += _nearest(cell, base)
    return text


def _base_of(cells: Sequence[_Shape]) -> float:
    """The height of the base line: the one on which most letters stand that are as tall as a capital."""
    feet = [cell.bottom for cell in cells if abs(cell.top - cell.bottom - 1) <= NEAR]
    if not feet:
        return min(cell.bottom for cell in cells)
    return max(feet, key=lambda foot: (sum(abs(foot - other) <= NEAR for other in feet), -foot))


def _nearest(cell: _Shape, base: float) -> str:
    best, distance = UNREADABLE, NEAR
    for char, known in _known().items():
        if (
            abs(cell.right - cell.left - known.right) > NEAR
            or abs(cell.bottom - base - known.bottom) > NEAR
            or abs(cell.top - base - known.top) > NEAR
        ):
            continue
        apart = _hausdorff(cell, known, dx=cell.left, dy=base, limit=distance)
        if apart <= distance:
            best, distance = char, apart
    return best


def _hausdorff(cell: _Shape, known: _Shape, *, dx: float, dy: float, limit: float = math.inf) -> float:
    """The greatest distance from a point of either shape to the other, ``cell`` moved back by (dx, dy).

    Beyond ``limit`` only that it is beyond counts, and the work stops at the first point that shows it.
    """
    runs = cell.runs - (dx, dy, dx, dy)
    corners = _farthest(runs[:, :2], known.runs)
    if corners > limit:
        return corners
    return max(_farthest(cell.points - (dx, dy), known.runs), _farthest(known.points, runs))


def _farthest(points: Array, runs: Array) -> float:
    """The distance of the point that lies farthest from every straight run."""
    start, along = runs[None, :, :2], runs[None, :, 2:] - runs[None, :, :2]
    away = points[:, None, :] - start
    length = np.maximum((along**2).sum(axis=2), 1e-12)
    share = np.clip((away * along).sum(axis=2) / length, 0, 1)
    apart = ((away - share[:, :, None] * along) ** 2).sum(axis=2)
    return math.sqrt(float(apart.min(axis=1).max()))


@cache
def _known() -> dict[str, _Shape]:
    return {char: _joined([_shape(stroke) for stroke in glyph(char).strokes]) for char in CHARACTERS}


def _shape(stroke: Sequence[tuple[float, float]]) -> _Shape:
    """A stroke, with points on it at least every ``_SAMPLE`` cap heights."""
    points: list[tuple[float, float]] = [stroke[0]]
    for (x0, y0), (x1, y1) in pairwise(stroke):
        steps = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / _SAMPLE))
        points += [(x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps) for n in range(1, steps + 1)]
    corners = np.array(stroke, dtype=np.float64)
    return _bounded(np.array(points, dtype=np.float64), np.hstack([corners[:-1], corners[1:]]))


def _joined(shapes: Sequence[_Shape]) -> _Shape:
    return _bounded(
        np.concatenate([shape.points for shape in shapes]), np.concatenate([shape.runs for shape in shapes])
    )


def _bounded(points: Array, runs: Array) -> _Shape:
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return _Shape(points=points, runs=runs, left=float(left), right=float(right), bottom=float(bottom), top=float(top))


def _clusters(
    shapes: Sequence[_Shape], *, low: Callable[[_Shape], float], high: Callable[[_Shape], float]
) -> list[list[_Shape]]:
    """Shapes whose spans on one axis overlap or nearly touch, in rising order."""
    groups: list[list[_Shape]] = []
    reach = -math.inf
    for shape in sorted(shapes, key=low):
        if low(shape) - reach > _TOUCHING:
            groups.append([])
        groups[-1].append(shape)
        reach = max(reach, high(shape))
    return groups


def _is_rule(row: Sequence[_Shape], *, over: Sequence[_Shape]) -> bool:
    """One level stroke that reaches from the first to the last letter of the row over it."""
    if len(row) != 1 or row[0].top - row[0].bottom > NEAR:
        return False
    left, right = min(shape.left for shape in over), max(shape.right for shape in over)
    return row[0].left <= left + NEAR and row[0].right >= right - NEAR
