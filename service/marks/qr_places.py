"""Where a QR Code keeps each bit of its codewords, what its masks change, and which modules are always the same.

ISO/IEC 18004: the tables (versions, blocks, alignment patterns) are those of the encoder; the order in which codewords
fill the symbol is 7.7.3, the masks 7.8.2 (from memory, well known).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

import numpy as np
import segno
from numpy.typing import NDArray
from segno import consts

from service.marks.qr_masks import MASKS, QrLevel

DATA, FORMAT = -1, -2

#: Versions that a mark can hold (``symbols.LONGEST_TEXT``) without version information of its own in the symbol.
LARGEST_VERSION = 6

_LEVELS: dict[QrLevel, int] = {
    "L": consts.ERROR_LEVEL_L,
    "M": consts.ERROR_LEVEL_M,
    "Q": consts.ERROR_LEVEL_Q,
    "H": consts.ERROR_LEVEL_H,
}
_DATA_TYPES = frozenset((consts.TYPE_DATA_DARK, consts.TYPE_DATA_LIGHT))
_FORMAT_TYPES = frozenset((consts.TYPE_FORMAT_DARK, consts.TYPE_FORMAT_LIGHT))


@dataclass(frozen=True, slots=True)
class QrPlaces:
    """The structure of one version and level.

    Attributes:
        version: 1 to 6.
        size: modules in a row.
        blocks: data and check words of each block.
        bits: index of the module (row × size + column) of each bit, a row a codeword as they stand in the blocks one
            after the other (data of all blocks, then check words of all blocks), highest bit first.
        fixed: for each module 1 for dark or 0 for light where it is always so, else ``DATA`` or ``FORMAT``.
        masks: for each of the eight masks, which modules it turns over.
        formats: for each of the eight masks, the format information as modules; 0 elsewhere.
        remainder: modules of the data region that belong to no codeword: light before the mask.
    """

    version: int
    size: int
    blocks: tuple[tuple[int, int], ...]
    bits: NDArray[np.intp]
    fixed: NDArray[np.int8]
    masks: NDArray[np.bool_]
    formats: NDArray[np.bool_]
    remainder: NDArray[np.intp]

    @property
    def data(self) -> int:
        """Number of data codewords."""
        return sum(data for data, _ in self.blocks)


@lru_cache(maxsize=32)
def qr_places(size: int, level: QrLevel) -> QrPlaces | None:
    """The structure of the symbol with so many modules in a row; None where marks hold no such symbol."""
    version, odd = divmod(size - 17, 4)
    if odd or not 1 <= version <= LARGEST_VERSION:
        return None
    drawn = [
        segno.make_qr("0", version=version, error=level, mode="numeric", boost_error=False, mask=mask) for mask in MASKS
    ]
    kinds = np.array([list(row) for row in drawn[0].matrix_iter(scale=1, border=0, verbose=True)])
    matrices = np.array([[list(row) for row in symbol.matrix] for symbol in drawn], dtype=np.int8)
    fixed = matrices[0].copy()
    is_data: NDArray[np.bool_] = np.isin(kinds, list(_DATA_TYPES))
    is_format: NDArray[np.bool_] = np.isin(kinds, list(_FORMAT_TYPES))
    # The encoder's list of kinds counts one data module, left of the format information at the right, as format.
    is_data[8, size - 9], is_format[8, size - 9] = True, False
    fixed[is_data], fixed[is_format] = DATA, FORMAT
    order = _zigzag(is_data)
    tables: dict[int, dict[int, tuple[Any, ...]]] = cast("Any", consts.ECC)
    blocks = tuple(
        (block.num_data, block.num_total - block.num_data)
        for block in tables[version][_LEVELS[level]]
        for _ in range(block.num_blocks)
    )
    sent = _interleaved(blocks)
    bits = np.empty((len(sent), 8), dtype=np.intp)
    bits[sent] = order[: 8 * len(sent)].reshape(-1, 8)
    rows, columns = np.indices((size, size))
    return QrPlaces(
        version=version,
        size=size,
        blocks=blocks,
        bits=bits,
        fixed=fixed,
        masks=np.array([_turned(mask, rows, columns) & is_data for mask in MASKS]),
        formats=(matrices == 1) & is_format,
        remainder=order[8 * len(sent) :],
    )


def _zigzag(is_data: NDArray[np.bool_]) -> NDArray[np.intp]:
    """The data modules in the order in which bits fill them: pairs of columns from the right, up and down in turn."""
    size = len(is_data)
    found, upward = [], True
    for right in (*range(size - 1, 6, -2), *range(5, 0, -2)):
        for row in range(size - 1, -1, -1) if upward else range(size):
            found += [row * size + column for column in (right, right - 1) if is_data[row, column]]
        upward = not upward
    return np.array(found, dtype=np.intp)


def _interleaved(blocks: tuple[tuple[int, int], ...]) -> list[int]:
    """Index of each codeword as sent: the first words of all blocks, then the second ones; then the check words."""
    sent: list[int] = []
    start = 0
    for part in (0, 1):
        starts = []
        for block in blocks:
            starts.append(start)
            start += block[part]
        for index in range(max(block[part] for block in blocks)):
            sent += [starts[at] + index for at, block in enumerate(blocks) if index < block[part]]
    return sent


def _turned(mask: int, row: NDArray[np.intp], column: NDArray[np.intp]) -> NDArray[np.bool_]:
    product = row * column
    made: NDArray[np.bool_] = (
        (row + column) % 2 == 0,
        row % 2 == 0,
        column % 3 == 0,
        (row + column) % 3 == 0,
        (row // 2 + column // 3) % 2 == 0,
        product % 2 + product % 3 == 0,
        (product % 2 + product % 3) % 2 == 0,
        ((row + column) % 2 + product % 3) % 2 == 0,
    )[mask]
    return made
