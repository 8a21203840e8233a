"""The best of the eight data masks of a QR Code (ISO/IEC 18004, 7.8), for a whole symbol in a few steps.

A symbol is one long integer, row after row with light modules between, so that one operation looks at all its modules.
Two masks of one version and level differ in the same modules whatever the symbol says; hence the encoder is asked for
one mask only, and the other seven follow.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

import segno

QrLevel = Literal["L", "M", "Q", "H"]
Rows = tuple[tuple[bool, ...], ...]

MASKS = range(8)

# Light modules after each row: the width of the light area that belongs to the pattern of a finder.
_APART = 4
_DIGITS = bytes.maketrans(b"\x00\x01", b"01")


class _Grid(NamedTuple):
    """A symbol read row by row, and read column by column."""

    along: int
    across: int


def best_masked(text: str, level: QrLevel) -> Rows:
    """The modules of ``text`` under the mask with the lowest penalty, True for dark, without the quiet zone.

    Args:
        text: of characters of the alphanumeric mode.
        level: of error correction; it is not raised where room is left.
    """
    symbol = segno.make_qr(text, error=level, mode="alphanumeric", boost_error=False, mask=0)
    size = len(symbol.matrix)
    plain = _grid(symbol.matrix)
    masked = [
        _Grid(plain.along ^ change.along, plain.across ^ change.across)
        for change in _changes(int(symbol.version), level)
    ]
    best = min(masked, key=lambda grid: penalty(grid.along, grid.across, size))
    digits = f"{best.along:0{size * (size + _APART)}b}"
    return tuple(
        tuple(digit == "1" for digit in digits[start : start + size]) for start in range(0, len(digits), size + _APART)
    )


@lru_cache(maxsize=160)
def _changes(version: int, level: QrLevel) -> tuple[_Grid, ...]:
    """What each mask changes in a symbol under mask 0: its data modules and its format information."""
    made = [
        _grid(
            segno.make_qr("0", version=version, error=level, mode="alphanumeric", boost_error=False, mask=mask).matrix
        )
        for mask in MASKS
    ]
    return tuple(_Grid(grid.along ^ made[0].along, grid.across ^ made[0].across) for grid in made)


def _grid(matrix: Sequence[Sequence[int]]) -> _Grid:
    return _Grid(_as_integer(matrix), _as_integer(list(zip(*matrix, strict=True))))


def _as_integer(lines: Sequence[Sequence[int]]) -> int:
    return int(b"".join(bytes(line).translate(_DIGITS) + b"0" * _APART for line in lines), 2)


def penalty(along: int, across: int, size: int) -> int:
    """The penalty score of a symbol of ``size`` modules (ISO/IEC 18004, 7.8.3.1, table 11; from memory, well known).

    Args:
        along: its rows, first module highest, four light modules after each.
        across: its columns likewise.
        size: modules in a row.
    """
    dark = along.bit_count()
    uneven = abs(20 * dark - 10 * size * size) // (size * size)
    return (
        _runs(along, size)
        + _runs(across, size)
        + _squares(along, size)
        + _finders(along)
        + _finders(across)
        + 10 * uneven
    )


def _runs(lines: int, size: int) -> int:
    """Five modules in a row of one colour cost 3, each further one 1."""
    cost = 0
    for one in (lines, lines ^ _all_of(size)):
        five = one & one >> 1 & one >> 2 & one >> 3 & one >> 4
        cost += five.bit_count() + 2 * (five & ~(five << 1)).bit_count()
    return cost


def _squares(lines: int, size: int) -> int:
    """Each square of two by two of one colour costs 3."""
    below = size + _APART
    found = 0
    for one in (lines, lines ^ _all_of(size)):
        pairs = one & one >> 1
        found += (pairs & pairs >> below).bit_count()
    return 3 * found


def _finders(lines: int) -> int:
    """Dark and light as 1 : 1 : 3 : 1 : 1 with four light modules before or after costs 40; outside all is light."""
    light = ~lines
    ratio = lines & light >> 1 & lines >> 2 & lines >> 3 & lines >> 4 & light >> 5 & lines >> 6
    after = light >> 7 & light >> 8 & light >> 9 & light >> 10
    # Four light modules follow the last row; what is shifted in below it is light as well.
    padded = light << _APART | (1 << _APART) - 1
    before = padded & padded >> 1 & padded >> 2 & padded >> 3
    return 40 * (ratio & (before | after)).bit_count()


@lru_cache(maxsize=40)
def _all_of(size: int) -> int:
    """Every module of a symbol, and none of what lies between its rows."""
    return _as_integer([[1] * size] * size)
