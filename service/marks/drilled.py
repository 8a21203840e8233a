"""The key as a Data Matrix of drilled dots: for a part on which no letter has room.

Each dark module is one dip of the cutter. A dot is 85 % as wide as the pitch: narrower dots stand so far apart that
one of the two decoders of the tests no longer joins them into the solid edge by which it finds a symbol, and dots wider
than 90 % melt into lines. Drilled symbols have dots of 60 to 90 % of the pitch (common practice, no source).
"""

from __future__ import annotations

from functools import lru_cache

from service.marks.cutters import Cutter
from service.marks.strokes import Point
from service.marks.symbols import QUIET_ZONE_MODULES, data_matrix

DOT_SHARE = 0.85
"""Diameter of a dot over the pitch."""
DOT_SHARES = (0.6, 0.9)
"""Shares at which dots are read (common practice, no source)."""


def pitch_mm(cutter: Cutter) -> float:
    """From one dot to the next: what makes the cutter's own opening ``DOT_SHARE`` of it."""
    return cutter.groove_mm / DOT_SHARE


def side_mm(key: str, pitch: float) -> float:
    """Side of the square that the symbol takes, its quiet zones included, in mm."""
    return (data_matrix(key).width + 2 * QUIET_ZONE_MODULES["data_matrix"]) * pitch


@lru_cache(maxsize=1024)
def dots(key: str) -> tuple[Point, ...]:
    """Centres of the dots of a bare key in pitches from the lower left corner of the quiet zone, the top row first.

    Raises:
        SymbolDoesNotFit: no text, or one that a Data Matrix does not hold.
    """
    modules = data_matrix(key)
    edge = QUIET_ZONE_MODULES["data_matrix"] + 0.5
    return tuple(
        (edge + column, edge + modules.height - 1 - row)
        for row, line in enumerate(modules.rows)
        for column, dark in enumerate(line)
        if dark
    )
