"""Where a square Data Matrix keeps each bit of its codewords, and which of its modules are always the same.

ISO/IEC 16022: the sizes and their codewords are those of its table of ECC 200 symbols, the places those of its annex on
symbol character placement (annex F in the edition of 2006, from memory). Sizes with several interleaved blocks, from
52 × 52, are on no mark.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

#: Data codewords, check codewords and regions in a row, by modules in a row.
SIZES: dict[int, tuple[int, int, int]] = {
    10: (3, 5, 1),
    12: (5, 7, 1),
    14: (8, 10, 1),
    16: (12, 12, 1),
    18: (18, 14, 1),
    20: (22, 18, 1),
    22: (30, 20, 1),
    24: (36, 24, 1),
    26: (44, 28, 1),
    32: (62, 36, 2),
    36: (86, 42, 2),
    40: (114, 48, 2),
    44: (144, 56, 2),
    48: (174, 68, 2),
}

DATA, LIGHT, DARK = -1, 0, 1

# Bits 1 to 8 of a codeword, highest first, from the row and column of bit 8.
_USUAL = ((-2, -2), (-2, -1), (-1, -2), (-1, -1), (-1, 0), (0, -2), (0, -1), (0, 0))


@dataclass(frozen=True, slots=True)
class DataMatrixPlaces:
    """The structure of one size.

    Attributes:
        size: modules in a row.
        data: number of data codewords.
        check: number of check codewords.
        bits: index of the module (row × size + column) of each bit, a row a codeword, highest bit first.
        fixed: for each module ``DARK`` or ``LIGHT`` where it is always so, else ``DATA``.
    """

    size: int
    data: int
    check: int
    bits: NDArray[np.intp]
    fixed: NDArray[np.int8]


@lru_cache(maxsize=32)
def data_matrix_places(size: int) -> DataMatrixPlaces | None:
    """The structure of a size; None where there is no such square symbol of one block."""
    if size not in SIZES:
        return None
    data, check, regions = SIZES[size]
    inside = size - 2 * regions
    width = inside // regions
    fixed = np.full((size, size), DATA, dtype=np.int8)
    for start in range(0, size, width + 2):
        end = start + width + 1
        fixed[start, :] = np.where(np.arange(size) % 2, LIGHT, DARK)
        fixed[:, end] = np.where(np.arange(size) % 2, DARK, LIGHT)
    for start in range(0, size, width + 2):
        fixed[start + width + 1, :] = DARK
        fixed[:, start] = DARK
    # The upper right corner of each region is light: both clock tracks begin and end so.
    for row in range(0, size, width + 2):
        for column in range(0, size, width + 2):
            fixed[row, column + width + 1] = LIGHT
            fixed[row, column] = fixed[row + width + 1, column + width + 1] = DARK

    def module(row: int, column: int) -> int:
        return (row + 2 * (row // width) + 1) * size + column + 2 * (column // width) + 1

    mapped = _codeword_places(inside, inside)
    bits = np.array([[module(row, column) for row, column in word] for word in mapped[: data + check]], dtype=np.intp)
    taken = np.zeros(size * size, dtype=bool)
    taken[bits.ravel()] = True
    # A corner that no codeword reaches holds two dark and two light modules.
    for row, column in np.argwhere((fixed == DATA) & ~taken.reshape(size, size)):
        fixed[row, column] = DARK if (row + column) % 2 == 0 else LIGHT
    return DataMatrixPlaces(size, data, check, bits, fixed)


def _codeword_places(rows: int, columns: int) -> list[list[tuple[int, int]]]:
    """Row and column of each bit of each codeword in the mapping matrix."""
    taken: set[tuple[int, int]] = set()
    words: list[list[tuple[int, int]]] = []

    def round_the_edge(row: int, column: int) -> tuple[int, int]:
        if row < 0:
            row, column = row + rows, column + 4 - (rows + 4) % 8
        if column < 0:
            row, column = row + 4 - (columns + 4) % 8, column + columns
        return row, column

    def put(places: list[tuple[int, int]]) -> None:
        word = [round_the_edge(*place) for place in places]
        taken.update(word)
        words.append(word)

    def usual(row: int, column: int) -> None:
        if 0 <= row < rows and 0 <= column < columns and (row, column) not in taken:
            put([(row + down, column + right) for down, right in _USUAL])

    last, end = rows - 1, columns - 1
    row, column = 4, 0
    while row < rows or column < columns:
        if row == rows and column == 0:
            put([(last, 0), (last, 1), (last, 2), (0, end - 1), (0, end), (1, end), (2, end), (3, end)])
        if row == rows - 2 and column == 0 and columns % 4:
            put([(last - 2, 0), (last - 1, 0), (last, 0), (0, end - 3), (0, end - 2), (0, end - 1), (0, end), (1, end)])
        if row == rows - 2 and column == 0 and columns % 8 == 4:
            put([(last - 2, 0), (last - 1, 0), (last, 0), (0, end - 1), (0, end), (1, end), (2, end), (3, end)])
        if row == rows + 4 and column == 2 and columns % 8 == 0:
            put([(last, 0), (last, end), (0, end - 2), (0, end - 1), (0, end), (1, end - 2), (1, end - 1), (1, end)])
        while row >= 0 and column < columns:
            if row < rows:
                usual(row, column)
            row, column = row - 2, column + 2
        row, column = row + 1, column + 3
        while row < rows and column >= 0:
            if row >= 0:
                usual(row, column)
            row, column = row + 2, column - 2
        row, column = row + 3, column + 1
    return words
