"""What the eye of a reader and the head of a printer do to a mark: blur, fog, slant, light, dots that run or fail."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from service.render.damage_window import Floats, Grey, Window, chance

#: Grey below this is a black dot of a printer with one ink.
_BLACK_BELOW = 128

#: What lies round the plate, seen past its edge by a reader that is held askew: the pale plastic.
_BESIDE = 200

#: Streams of chance.
_GRAIN, _DEAD, _GLOSS = 11, 12, 13


def blurred(window: Window, *, modules: float) -> Grey:
    """A Gaussian blur whose standard deviation is a fraction of a module."""
    deviation = modules * window.module_mm * window.per_mm
    reach = math.ceil(3 * deviation)
    steps = np.arange(-reach, reach + 1)
    weights = np.exp(-(steps**2) / (2 * deviation**2))
    weights /= weights.sum()
    grey: Floats = window.grey.astype(np.float64)
    for _ in range(2):
        # Down the columns, then turned, so that the second time goes along the rows and turns it back.
        padded: Floats = np.pad(grey, ((reach, reach), (0, 0)), mode="edge")
        mixed: Floats = np.zeros(grey.shape, dtype=np.float64)
        for offset, weight in enumerate(weights):
            mixed += weight * padded[offset : offset + grey.shape[0]]
        grey = mixed.T
    return _rounded(grey)


def faded(window: Window, *, contrast: float, towards: int, grain: int, seed: int) -> Grey:
    """Contrast shrunk towards a grey, with a grain of so many levels up and down."""
    shape = window.grey.shape
    stream = _GRAIN + 100 * (1 + window.left_dots + 10_000 * window.top_dots)
    noise = (2 * chance(seed, shape[0] * shape[1], stream=stream) - 1).reshape(shape) * grain
    return _rounded(towards + (window.grey.astype(np.float64) - towards) * contrast + noise)


def tilted(window: Window, *, degrees: float, nearer: float) -> Grey:
    """Seen turned about the middle of the window, one side larger than the other by ``nearer``."""
    rows, columns = window.grey.shape
    middle_x, middle_y = (columns - 1) / 2, (rows - 1) / 2
    x = np.arange(columns)[np.newaxis, :] - middle_x
    y = np.arange(rows)[:, np.newaxis] - middle_y
    depth = 1 + nearer * x / max(columns, 1)
    turn = math.radians(degrees)
    from_x = (x * math.cos(turn) + y * math.sin(turn)) / depth + middle_x
    from_y = (y * math.cos(turn) - x * math.sin(turn)) / depth + middle_y
    return _rounded(_sampled(window.grey, from_x, from_y))


def _sampled(grey: Grey, x: Floats, y: Floats) -> Floats:
    """Grey between the dots, by the four nearest; beside the window lies the plastic."""
    framed = np.pad(grey.astype(np.float64), 1, constant_values=_BESIDE)
    x = np.clip(x + 1, 0, framed.shape[1] - 1.001)
    y = np.clip(y + 1, 0, framed.shape[0] - 1.001)
    left, top = np.floor(x).astype(np.intp), np.floor(y).astype(np.intp)
    right_share, lower_share = x - left, y - top
    upper = framed[top, left] * (1 - right_share) + framed[top, left + 1] * right_share
    lower = framed[top + 1, left] * (1 - right_share) + framed[top + 1, left + 1] * right_share
    mixed: Floats = upper * (1 - lower_share) + lower * lower_share
    return mixed


def one_bit(window: Window) -> Grey:
    """Black and white dots only, as a thermal head prints."""
    return _printed(_black(window))


def gained(window: Window) -> Grey:
    """Black and white, every black dot also blackening the one to its right and the one below."""
    black = _black(window)
    wider = black.copy()
    wider[:, 1:] |= black[:, :-1]
    grown = wider.copy()
    grown[1:] |= wider[:-1]
    return _printed(grown)


def thinned(window: Window) -> Grey:
    """Black and white, every black run one dot shorter, across and along."""
    black = _black(window)
    narrower = black.copy()
    narrower[:, 1:] &= black[:, :-1]
    shrunk = narrower.copy()
    shrunk[1:] &= narrower[:-1]
    return _printed(shrunk)


def dead_lines(window: Window, *, apart_mm: float, seed: int) -> Grey:
    """Dot columns of the whole plate that a burnt-out element of the head leaves white, about so far apart."""
    count = max(1, round(window.plate_mm[0] / apart_mm))
    most = math.ceil(window.plate_mm[0] * window.per_mm)
    columns = np.floor(chance(seed, count, stream=_DEAD) * most).astype(np.intp) - window.left_dots
    inside = columns[(columns >= 0) & (columns < window.grey.shape[1])]
    printed = _printed(_black(window))
    printed[:, inside] = 255
    return printed


def shaded(window: Window, *, darkest: float) -> Grey:
    """Light that falls off evenly across the plate to ``darkest`` of it."""
    width, height = window.plate_mm
    along = (window.x_mm / width + window.y_mm / height) / 2
    return _rounded(window.grey * (1 - (1 - darkest) * along))


def glossy(window: Window, *, spot_mm: float, seed: int) -> Grey:
    """A spot that is blinding white in its middle and fades out; ``spot_mm`` is its width at half strength."""
    at_x, at_y = chance(seed, 2, stream=_GLOSS) * np.array(window.plate_mm)
    squared = (window.x_mm - at_x) ** 2 + (window.y_mm - at_y) ** 2
    deviation = spot_mm / (2 * math.sqrt(2 * math.log(2)))
    return _rounded(np.minimum(255.0, window.grey + 2 * 255 * np.exp(-squared / (2 * deviation**2))))


def _black(window: Window) -> NDArray[np.bool_]:
    return window.grey < _BLACK_BELOW


def _printed(black: NDArray[np.bool_]) -> Grey:
    return np.where(black, np.uint8(0), np.uint8(255))


def _rounded(grey: Floats) -> Grey:
    return np.clip(np.floor(grey + 0.5), 0, 255).astype(np.uint8)
