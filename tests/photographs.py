"""Photographs of plates: aslant, turned, unevenly lit, with grain, as a phone takes them."""

from __future__ import annotations

from random import Random

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

Grey = NDArray[np.uint8]


def photographed(
    plate: Grey,
    *,
    rng: Random,
    pixels_a_dot: float = 3.0,
    degrees: float = 0.0,
    slant: float = 0.0,
    light: float = 0.0,
    grain: float = 3.0,
    blur: float = 0.6,
    ground: int = 90,
) -> Grey:
    """A plate on a table.

    Args:
        plate: one pixel a dot.
        rng: for grain and the table.
        pixels_a_dot: size of a dot in the photograph.
        degrees: that it is turned.
        slant: share by which its far side is shorter.
        light: share of the light that the darkest corner lacks.
        grain: standard deviation of the camera's noise.
        blur: standard deviation in pixels.
        ground: grey of the table.
    """
    height, width = plate.shape
    w, h = width * pixels_a_dot, height * pixels_a_dot
    angle = np.radians(degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = np.array([(-w / 2, -h / 2), (w / 2, -h / 2), (w / 2, h / 2), (-w / 2, h / 2)])
    corners = corners * np.array([[1 - slant / 2], [1 + slant / 2], [1 + slant / 2], [1 - slant / 2]])
    corners = corners @ turn.T
    margin = 0.12 * w
    corners = corners - corners.min(axis=0) + margin
    size = np.ceil(corners.max(axis=0) + margin).astype(int)
    rows = []
    for (x, y), (u, v) in zip(corners, ((0, 0), (width, 0), (width, height), (0, height)), strict=True):
        rows.append((x, y, 1, 0, 0, 0, -u * x, -u * y, u))
        rows.append((0, 0, 0, x, y, 1, -v * x, -v * y, v))
    system = np.array(rows, dtype=float)
    factors = np.linalg.solve(system[:, :8], system[:, 8])
    wide = Image.fromarray(plate).resize((width * 2, height * 2), Image.Resampling.NEAREST)
    double = factors * np.array([2, 2, 2, 2, 2, 2, 1, 1])
    shape = (int(size[0]), int(size[1]))
    image = wide.transform(shape, Image.Transform.PERSPECTIVE, tuple(double), Image.Resampling.BICUBIC, fillcolor=0)
    inside = Image.new("L", wide.size, 255).transform(
        shape, Image.Transform.PERSPECTIVE, tuple(double), Image.Resampling.BILINEAR, fillcolor=0
    )
    seen = Image.composite(image, Image.new("L", shape, ground), inside).filter(ImageFilter.GaussianBlur(blur))
    pixels = np.asarray(seen, dtype=float) * 0.88 + 8
    y, x = np.mgrid[0 : shape[1], 0 : shape[0]]
    pixels *= 1 - light * (x / shape[0] * 0.7 + y / shape[1] * 0.3)
    pixels += np.random.default_rng(rng.randrange(2**32)).normal(0, grain, pixels.shape)
    return np.clip(pixels, 0, 255).astype(np.uint8)
