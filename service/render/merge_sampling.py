"""The modules of one copy of a symbol as grey levels, and how far each can be believed.

What is printed there whatever the symbol says (finder, clock track, quiet zone) gives the grey of ink and stock for
this very copy, and shows where it is damaged. A wholly black or wholly white patch is damage rather than data; next to
damage a module of the damage's own colour proves little, while one of the other colour is as good as elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.marks.items import PlacedSymbol
from service.render.read_back import Grey

Floats = NDArray[np.float64]
Bits = NDArray[np.bool_]

#: A copy whose ink and stock are nearer to each other than this, of 255, is taken for destroyed.
LEAST_CONTRAST = 20.0

#: Odds that a module of a sound copy is not what it looks like, and that anything is known of one amid damage.
_SOUND, _LOST = 0.004, 0.97

#: Probability of damage beside a damaged patch, one module and two modules away.
_BESIDE, _NEAR = 0.2, 0.06

_FIRM = 0.35
"""Share of half the contrast beyond which a module counts as dark or light."""

_FOREIGN = 1.9
"""A module that many half-contrasts away from the middle is neither ink nor stock."""

_SHARPER = (0.0, 0.3, 0.6, 1.0, 1.6)
"""Shares of the difference from the four neighbours that are tried against blur."""

_LEAST_RIGHT = 0.6
"""Share of finder, clock track and quiet zone that must look as printed, dark and light modules counting alike."""

_UNIFORM = 7
"""So many free modules of one colour among nine neighbours that are all of it: one in 128 by chance."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One copy: grey levels of its modules and of one module of quiet zone round them, NaN where there is no picture.

    Attributes:
        levels: height + 2 rows of width + 2 levels, 0 black to 255.
        spread: standard deviation of the grey within each module.
    """

    levels: Floats
    spread: Floats


def sample_placed(grey: Grey, symbol: PlacedSymbol) -> Sample:
    """The modules of a symbol where the layout puts it, in a picture with one pixel a dot."""
    size, tall = symbol.module_dots, symbol.row_dots
    top, left = symbol.top_dots - tall, symbol.left_dots - size
    rows, columns = symbol.modules.height + 2, symbol.modules.width + 2
    window = np.full((rows * tall, columns * size), np.nan)
    inner = grey[max(top, 0) : max(top + rows * tall, 0), max(left, 0) : max(left + columns * size, 0)]
    down, right = max(-top, 0), max(-left, 0)
    window[down : down + inner.shape[0], right : right + inner.shape[1]] = inner
    cells = window.reshape(rows, tall, columns, size)
    centre = cells[:, _middle(tall), :, _middle(size)]
    return Sample(centre.mean(axis=(1, 3)), centre.std(axis=(1, 3)))


def _middle(dots: int) -> slice:
    """The middle half of a module, at least one dot."""
    margin = max(1, dots // 4) if dots > 2 else 0
    return slice(margin, dots - margin)


def soft_modules(sample: Sample, fixed: NDArray[np.int8], contradicted: Bits | None = None) -> Floats:
    """For each module the logarithm of the odds that it was printed dark; 0 where nothing is known.

    Args:
        sample: of one copy.
        fixed: for each module 1 or 0 where it is always dark or light, else negative.
        contradicted: modules that look otherwise in the other copies.
    """
    known = np.pad(fixed, 1, constant_values=0)
    levels = sample.levels
    there = np.isfinite(levels)
    tone = _tones(levels, known, there)
    if tone is None:
        return np.zeros(fixed.shape)
    if not _is_there(tone, known, there):
        return np.zeros(fixed.shape)
    dark, light = there & (tone > _FIRM), there & (tone < -_FIRM)
    foreign = there & (np.abs(tone) > _FOREIGN)
    against = np.zeros(tone.shape, dtype=bool) if contradicted is None else np.pad(contradicted, 1)
    doubt_dark = _doubt(dark, known, against & dark)
    doubt_light = _doubt(light, np.where(known < 0, known, 1 - known), against & light)
    noise = _noise(tone, known, there)
    raw = np.clip(np.where(there, tone, 0.0) * 2 / noise**2, -40, 40)
    # The odds of the grey alone, tempered by the odds that the module is not what was printed.
    seen = 1 / (1 + np.exp(-raw))
    if_dark = seen * (1 - doubt_light) + (1 - seen) * doubt_light
    if_light = seen * doubt_dark + (1 - seen) * (1 - doubt_dark)
    soft = np.log(if_dark / if_light)
    soft[foreign | ~there] = 0
    return np.asarray(soft[1:-1, 1:-1])


def _is_there(tone: Floats, known: NDArray[np.int8], there: Bits) -> bool:
    """Whether what is always printed shows, better than noise would show it."""
    ink, stock = there & (known == 1), there & (known == 0)
    right = float((tone[ink] > 0).mean() + (tone[stock] < 0).mean()) / 2
    return right >= _LEAST_RIGHT


def _tones(levels: Floats, known: NDArray[np.int8], there: Bits) -> Floats | None:
    """Levels as 1 for ink and -1 for stock; None where the two cannot be told apart."""
    stock, ink = levels[there & (known == 0)], levels[there & (known == 1)]
    if len(stock) < 4 or len(ink) < 4:
        return None
    light, dark = float(np.percentile(stock, 70)), float(np.percentile(ink, 30))
    if light - dark < LEAST_CONTRAST:
        return None
    tone: Floats = ((light + dark) / 2 - levels) / ((light - dark) / 2)
    return _sharpened(tone, known, there)


def _sharpened(tone: Floats, known: NDArray[np.int8], there: Bits) -> Floats:
    """The tones with what blur mixed in from the neighbours taken out again, as far as it suits the known modules."""
    padded = np.pad(np.where(there, tone, -1.0), 1, mode="edge")
    beside = (padded[:-2, 1:-1] + padded[2:, 1:-1] + padded[1:-1, :-2] + padded[1:-1, 2:]) / 4
    target = np.where(known == 1, 1.0, -1.0)
    use = there & (known >= 0)
    use[[0, -1]] = use[:, [0, -1]] = False
    best, least = tone, np.inf
    for strength in _SHARPER:
        tried = tone + strength * (tone - beside)
        scale = float(np.median(np.abs(tried[use]))) if use.any() else 1.0
        tried = tried / max(scale, 1e-6) if strength else tried
        away = float(np.minimum(np.abs(tried[use] - target[use]), 1.0).mean()) if use.any() else 0.0
        # Sharper is noisier: it must pay.
        if away < least - 0.03:
            best, least = tried, away
    return best


def _noise(tone: Floats, known: NDArray[np.int8], there: Bits) -> float:
    """Standard deviation of the tone of modules that are what they should be."""
    right = there & (((known == 1) & (tone > 0)) | ((known == 0) & (tone < 0)))
    if not right.any():
        return 1.0
    away = np.abs(np.abs(tone[right]) - 1)
    return float(np.clip(1.4826 * np.median(away) + 0.1 + 0.5 * np.mean(np.minimum(away, 1)), 0.3, 1.2))


def _doubt(coloured: Bits, known: NDArray[np.int8], contradicted: Bits) -> Floats:
    """Probability that a module that looks of this colour looks so by damage.

    Args:
        coloured: what looks of this colour.
        known: 0 where a module is never of this colour, 1 where it always is, negative where it may be.
        contradicted: modules of this colour that other copies show in the other.
    """
    wrong = coloured & (known == 0)
    worth = np.where(known < 0, 1, np.where(wrong, 3, 0)) + 3 * contradicted
    inside = np.lib.stride_tricks.sliding_window_view(coloured, (3, 3)).all(axis=(2, 3))
    score = np.lib.stride_tricks.sliding_window_view(worth, (3, 3)).sum(axis=(2, 3))
    patch: Bits = _grown(np.pad(inside & (score >= _UNIFORM), 1)) & coloured
    # Damage that is no patch, thin scratches and specks, is as frequent elsewhere as where it shows.
    loose = wrong & ~_grown(patch)
    share = float(np.clip((loose.sum() + 0.2) / ((known == 0).sum() + 8.0), _SOUND, 0.3))
    damaged = np.asarray(patch | wrong | contradicted)
    doubt = np.full(coloured.shape, share)
    beside = _grown(damaged)
    doubt[_grown(beside)] = max(share, _NEAR)
    doubt[beside] = max(share, _BESIDE)
    doubt[damaged] = _LOST
    return doubt


def _grown(area: Bits) -> Bits:
    """An area and all that touches it."""
    padded = np.pad(area, 1)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, (3, 3)).any(axis=(2, 3)))
