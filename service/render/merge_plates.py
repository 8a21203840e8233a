"""Quadrilaterals in a picture that may be a plate: light patches with straight edges, and the picture itself."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from service.render.read_back import Grey

Floats = NDArray[np.float64]
Bits = NDArray[np.bool_]

_LOOKED_AT = 480
"""Longer side of the picture in which plates are looked for."""

_LEAST_SHARE = 0.01
_MOST_PATCHES = 4


def plate_quadrilaterals(grey: Grey) -> list[Floats]:
    """Corners (4, 2) of what may be a plate, clockwise from any corner; the whole picture comes last."""
    height, width = grey.shape
    scale = max(1.0, max(height, width) / _LOOKED_AT)
    small = np.asarray(
        Image.fromarray(grey).resize(
            (max(2, round(width / scale)), max(2, round(height / scale))), Image.Resampling.BOX
        )
    )
    ratio = np.array([width / small.shape[1], height / small.shape[0]])
    found: list[Floats] = []
    for threshold in _thresholds(small):
        for patch in _patches(_closed(small > threshold)):
            corners = _corners(patch)
            if corners is not None:
                found.append(corners * ratio)
    whole = np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=float)
    return [*_different(found, reach=0.02 * max(height, width)), whole]


def _thresholds(grey: Grey) -> list[int]:
    """The grey that parts the picture's two main tones best (Otsu), and one halfway to white."""
    counts = np.bincount(grey.ravel(), minlength=256).astype(float)
    below = np.cumsum(counts)
    sums = np.cumsum(counts * np.arange(256))
    with np.errstate(divide="ignore", invalid="ignore"):
        between = (sums[-1] * below / below[-1] - sums) ** 2 / (below * (below[-1] - below))
    best = int(np.nanargmax(np.where(np.isfinite(between), between, -1)))
    return [best, (best + int(np.percentile(grey, 95))) // 2]


def _closed(light: Bits) -> Bits:
    """Light patches with thin dark lines across them joined."""
    image = Image.fromarray((light * 255).astype(np.uint8))
    grown = np.asarray(image)
    for _ in range(2):
        grown = _spread(grown > 0) * np.uint8(255)
    for _ in range(2):
        grown = (~_spread(grown == 0)) * np.uint8(255)
    return np.asarray(grown > 0)


def _spread(area: Bits) -> Bits:
    padded = np.pad(area, 1)
    return np.asarray(padded[:-2, 1:-1] | padded[2:, 1:-1] | padded[1:-1, :-2] | padded[1:-1, 2:] | padded[1:-1, 1:-1])


def _patches(light: Bits) -> list[NDArray[np.intp]]:
    """The largest connected light patches as points (x, y): runs of each row are joined with those above."""
    parents: list[int] = []
    runs: list[tuple[int, int, int, int]] = []

    def root(label: int) -> int:
        while parents[label] != label:
            parents[label] = parents[parents[label]]
            label = parents[label]
        return label

    above: list[tuple[int, int, int]] = []
    for row, line in enumerate(light):
        edges = np.flatnonzero(np.diff(np.concatenate(([False], line, [False])).astype(np.int8)))
        here: list[tuple[int, int, int]] = []
        at = 0
        for start, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            label = len(parents)
            parents.append(label)
            while at < len(above) and above[at][1] <= start:
                at += 1
            step = at
            while step < len(above) and above[step][0] < end:
                parents[root(above[step][2])] = root(label)
                step += 1
            here.append((start, end, label))
            runs.append((row, start, end, label))
        above = here
    sizes: dict[int, int] = {}
    for _, start, end, label in runs:
        sizes[root(label)] = sizes.get(root(label), 0) + end - start
    largest = sorted(sizes, key=lambda label: -sizes[label])[:_MOST_PATCHES]
    return [
        np.array(
            [(x, row) for row, start, end, label in runs if root(label) == patch for x in (start, end)], dtype=np.intp
        )
        for patch in largest
        if sizes[patch] >= _LEAST_SHARE * light.size
    ]


def _corners(points: NDArray[np.intp]) -> Floats | None:
    """The corners of the largest quadrilateral in a patch, by turns of its farthest points; None for a sliver."""
    hull = points.astype(float)
    best: Floats | None = None
    most = 0.0
    for angle in np.arange(0, 90, 3.0):
        across = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
        along = np.array([-across[1], across[0]])
        u, v = hull @ across, hull @ along
        span_u, span_v = np.ptp(u), np.ptp(v)
        if min(span_u, span_v) < 6:
            continue
        u, v = u / span_u, v / span_v
        chosen = np.array(
            [hull[np.argmin(u + v)], hull[np.argmin(v - u)], hull[np.argmax(u + v)], hull[np.argmax(v - u)]]
        )
        area = _area(chosen)
        if area > most:
            best, most = chosen, area
    return best


def _area(corners: Floats) -> float:
    x, y = corners[:, 0], corners[:, 1]
    return float(abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2)


def _different(found: list[Floats], *, reach: float) -> list[Floats]:
    kept: list[Floats] = []
    for corners in found:
        if all(np.abs(corners - other).max() > reach for other in kept):
            kept.append(corners)
    return kept
