"""A symbol seen aslant: from its corners to its modules, and its corners made right by what is always printed in it.

A flat plate in a picture is a projective image of itself, so four corners fix the place of every module. They are first
guessed, from symbols that were found or from the plate's edges, and then moved a little until finder, clock track
and quiet zone lie where they should.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from service.render.merge_sampling import Sample

Floats = NDArray[np.float64]

#: Points of a module that are looked at, along each side: its middle half.
_INSIDE = (0.3, 0.5, 0.7)

#: Places near the corners of a module, from its middle.
_NEAR_EDGES = np.array([(-0.32, -0.32), (0.32, -0.32), (0.32, 0.32), (-0.32, 0.32)])

#: Steps in which corners are moved, in modules.
_STEPS = (0.6, 0.3, 0.15, 0.08)
_MOST_MOVES = 10


def projection(corners: Floats) -> Floats:
    """What takes the unit square to quadrilaterals.

    Args:
        corners: (…, 4, 2), images of (0, 0), (1, 0), (1, 1) and (0, 1).

    Returns:
        (…, 3, 3) matrices for points (x, y, 1). Source: the usual closed form for a square to a quadrilateral.
    """
    p0, p1, p2, p3 = (corners[..., index, :] for index in range(4))
    d1, d2, total = p1 - p2, p3 - p2, p0 - p1 + p2 - p3
    below = d1[..., 0] * d2[..., 1] - d2[..., 0] * d1[..., 1]
    below = np.where(np.abs(below) < 1e-9, 1e-9, below)
    g = (total[..., 0] * d2[..., 1] - d2[..., 0] * total[..., 1]) / below
    h = (d1[..., 0] * total[..., 1] - total[..., 0] * d1[..., 1]) / below
    made = np.empty((*corners.shape[:-2], 3, 3))
    made[..., 0:2, 0] = p1 - p0 + g[..., None] * p1
    made[..., 0:2, 1] = p3 - p0 + h[..., None] * p3
    made[..., 0:2, 2] = p0
    made[..., 2, 0], made[..., 2, 1], made[..., 2, 2] = g, h, 1.0
    return made


def projected(matrix: Floats, points: Floats) -> Floats:
    """Points (n, 2) through one matrix or several: (…, n, 2)."""
    whole = np.concatenate((points, np.ones((len(points), 1))), axis=1)
    image = np.einsum("...ij,nj->...ni", matrix, whole)
    depth = image[..., 2:]
    return np.asarray(image[..., :2] / np.where(np.abs(depth) < 1e-9, 1e-9, depth))


def fitted(source: Floats, target: Floats) -> Floats:
    """The projection that takes four or more points to others with the least algebraic error."""
    scale_s, scale_t = _normaliser(source), _normaliser(target)
    s, t = projected(scale_s, source), projected(scale_t, target)
    rows = []
    for (x, y), (u, v) in zip(s, t, strict=True):
        rows.append((x, y, 1, 0, 0, 0, -u * x, -u * y, -u))
        rows.append((0, 0, 0, x, y, 1, -v * x, -v * y, -v))
    _, _, right = np.linalg.svd(np.array(rows))
    made = np.linalg.inv(scale_t) @ right[-1].reshape(3, 3) @ scale_s
    return np.asarray(made / made[2, 2] if abs(made[2, 2]) > 1e-12 else made)


def _normaliser(points: Floats) -> Floats:
    middle = points.mean(axis=0)
    spread = max(float(np.abs(points - middle).mean()), 1e-9)
    return np.array([[1 / spread, 0, -middle[0] / spread], [0, 1 / spread, -middle[1] / spread], [0, 0, 1]])


def levels_at(grey: Floats, points: Floats) -> Floats:
    """Grey between pixels, at points (…, 2) as x and y; NaN outside the picture. Pixel 0 reaches from 0 to 1."""
    x, y = points[..., 0] - 0.5, points[..., 1] - 0.5
    height, width = grey.shape
    with np.errstate(invalid="ignore"):
        inside = (x > -0.5) & (y > -0.5) & (x < width - 0.5) & (y < height - 0.5)
    x = np.clip(np.where(inside, x, 0), 0, width - 1.001)
    y = np.clip(np.where(inside, y, 0), 0, height - 1.001)
    left, top = x.astype(np.intp), y.astype(np.intp)
    right, down = x - left, y - top
    above = grey[top, left] * (1 - right) + grey[top, left + 1] * right
    below = grey[top + 1, left] * (1 - right) + grey[top + 1, left + 1] * right
    return np.asarray(np.where(inside, above * (1 - down) + below * down, np.nan))


def sample_aslant(grey: Floats, corners: Floats, fixed: NDArray[np.int8]) -> Sample:
    """The modules of a symbol between four corners (of its first, upper right, lower right, lower left module)."""
    rows, columns = fixed.shape
    y, x = np.mgrid[-1 : rows + 1, -1 : columns + 1]
    inside = [(x + right, y + down) for right in _INSIDE for down in _INSIDE]
    points = np.array([np.stack((a / columns, b / rows), axis=-1).reshape(-1, 2) for a, b in inside])
    matrix = projection(corners)
    seen = np.array([levels_at(grey, projected(matrix, part)) for part in points])
    return Sample(seen.mean(axis=0).reshape(x.shape), seen.std(axis=0).reshape(x.shape))


class Aligner:
    """Finds where exactly a symbol of a known structure lies.

    Args:
        fixed: for each module 1 or 0 where it is always dark or light, else negative.
    """

    def __init__(self, fixed: NDArray[np.int8]) -> None:
        known = np.pad(fixed, 1, constant_values=0)
        row, column = np.nonzero(known >= 0)
        self._size = np.array([fixed.shape[1], fixed.shape[0]], dtype=float)
        middles = np.stack((column - 0.5, row - 0.5), axis=1)
        self._middles = middles / self._size
        self._edges = np.concatenate([middles + place for place in _NEAR_EDGES]) / self._size
        self._light = np.where(known[row, column] == 1, -1.0, 1.0)

    def agreement(self, grey: Floats, corners: Floats, *, close: bool = False) -> Floats:
        """Correlation of what is seen with what is always printed, for several sets of corners (n, 4, 2).

        Looked at ``close``, modules must be right out to near their edges, not only in their middles.
        """
        points = self._edges if close else self._middles
        light_of = np.tile(self._light, len(_NEAR_EDGES)) if close else self._light
        seen = levels_at(grey, projected(projection(corners), points))
        there = np.isfinite(seen)
        count = np.maximum(there.sum(axis=1), 1)
        filled = np.where(there, seen, 0.0)
        light = np.where(there, light_of, 0.0)
        away = np.where(there, filled - (filled.sum(axis=1) / count)[:, None], 0.0)
        centred = np.where(there, light - (light.sum(axis=1) / count)[:, None], 0.0)
        norm = np.sqrt((away**2).sum(axis=1) * (centred**2).sum(axis=1))
        # A symbol half outside the picture cannot agree by the half that is inside.
        share = there.mean(axis=1)
        return np.asarray((away * centred).sum(axis=1) / np.maximum(norm, 1e-9) * share)

    def aligned(self, grey: Floats, corners: Floats, *, reach: float = 1.5) -> tuple[Floats, float]:
        """Corners moved to agree best, and how well they do: 1 for a sound symbol, about 0 for none.

        Args:
            grey: the picture, slightly blurred.
            corners: the guess (4, 2).
            reach: how far the guess may be off, in modules.
        """
        across, along = self._module_steps(corners)
        shifts = np.arange(-reach, reach + 0.01, 0.5)
        moved = np.array([corners + a * across + b * along for a in shifts for b in shifts])
        scores = self.agreement(grey, moved)
        best = int(np.argmax(scores))
        corners = moved[best]
        score = float(self.agreement(grey, corners[None], close=True)[0])
        for step in _STEPS:
            for _ in range(_MOST_MOVES):
                tried = corners + step * self._moves(corners)
                scores = self.agreement(grey, tried, close=True)
                best = int(np.argmax(scores))
                if scores[best] <= score + 1e-4:
                    break
                corners, score = tried[best], float(scores[best])
        return corners, float(self.agreement(grey, corners[None])[0])

    def _module_steps(self, corners: Floats) -> tuple[Floats, Floats]:
        across = (corners[1] - corners[0] + corners[2] - corners[3]) / 2 / self._size[0]
        along = (corners[3] - corners[0] + corners[2] - corners[1]) / 2 / self._size[1]
        return across, along

    def _moves(self, corners: Floats) -> Floats:
        """Whole symbol, one side, or one corner, by a module each way."""
        across, along = self._module_steps(corners)
        moves = []
        for together in _TOGETHER:
            weight = np.array(together, dtype=float)[:, None]
            moves += [weight * way for way in (across, -across, along, -along)]
        return np.array(moves)


_TOGETHER: Sequence[tuple[int, int, int, int]] = (
    (1, 1, 1, 1),
    (1, 1, 0, 0),
    (0, 1, 1, 0),
    (0, 0, 1, 1),
    (1, 0, 0, 1),
    (1, 0, 0, 0),
    (0, 1, 0, 0),
    (0, 0, 1, 0),
    (0, 0, 0, 1),
)
