"""A window of a plate: its dots, where on the plate they lie, and the chance that a seed gives."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Window:
    """A part of a plate, one value a printer dot.

    Attributes:
        grey: its dots, 0 black to 255 white.
        left_dots: distance of its left edge from the plate's.
        top_dots: distance of its upper edge from the plate's.
        plate_mm: width and height of the whole plate.
        per_mm: dots per millimetre.
        module_mm: width of the modules that are looked at, for what blurs them.
    """

    grey: Grey
    left_dots: int
    top_dots: int
    plate_mm: tuple[float, float]
    per_mm: float
    module_mm: float

    @cached_property
    def x_mm(self) -> Floats:
        """Where the middles of its columns lie on the plate, as one row."""
        columns: Floats = np.arange(self.grey.shape[1], dtype=np.float64)
        return ((columns + (self.left_dots + 0.5)) / self.per_mm)[np.newaxis, :]

    @cached_property
    def y_mm(self) -> Floats:
        """Where the middles of its rows lie on the plate, as one column."""
        rows: Floats = np.arange(self.grey.shape[0], dtype=np.float64)
        return ((rows + (self.top_dots + 0.5)) / self.per_mm)[:, np.newaxis]


def chance(seed: int, count: int, *, stream: int = 0) -> Floats:
    """Numbers in [0, 1) that a seed gives: the upper 53 bits of PCG64's raw stream, the same in every version.

    Args:
        seed: where the stream starts.
        count: how many numbers.
        stream: another number gives an independent stream of the same seed.
    """
    raw = np.random.PCG64([seed, stream]).random_raw(count)
    return (np.asarray(raw, dtype=np.uint64) >> np.uint64(11)).astype(np.float64) * 2.0**-53
