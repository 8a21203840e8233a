"""Symbols against published values and against libraries that are not used to make them."""

from __future__ import annotations

import numpy as np
import pytest
import reedsolo
import zxingcpp
from barcode.charsets.code128 import CODES

from service.marks.symbols import Modules, QrLevel, code128, data_matrix, encode, qr

# --- Code 128 ---------------------------------------------------------------------------------------------------------

# Start and stop patterns: barcodeisland.com, "Code 128 symbology".
START_B, START_C, STOP = "11010010000", "11010011100", "1100011101011"


def bars(text: str) -> str:
    return "".join("1" if dark else "0" for dark in code128(text).rows[0])


def check_symbol(text: str) -> int:
    """Value of the symbol character before the stop."""
    return int(CODES.index(bars(text)[-len(STOP) - 11 : -len(STOP)]))


# HI345678 begins in set B in three encoders: values 104, 40, 41, 99, 34, 56, 78, check 68 (worked example of
# barcodeisland.com, there for set A with check 67). abcdef in set B: 97, 345678 in set C: 73 (barcoderesource page,
# "Code 128 check digit").
@pytest.mark.parametrize(
    ("text", "start", "check"), [("HI345678", START_B, 68), ("abcdef", START_B, 97), ("345678", START_C, 73)]
)
def test_code_128_has_the_published_start_check_and_stop(text: str, start: str, check: int) -> None:
    assert bars(text).startswith(start)
    assert bars(text).endswith(STOP)
    assert check_symbol(text) == check


# Width (11 C + 35) X, C symbol characters of data: 13 modules of stop, 11 of start and check each. KIT-0001-A7 in set B
# with its digits in set C: 156 modules, counted with zxing-cpp 3.1.1. HI345678: 101.
@pytest.mark.parametrize(("text", "modules"), [("KIT-0001-A7", 156), ("HI345678", 101), ("K7M4XRAW", 123)])
def test_code_128_has_the_counted_width(text: str, modules: int) -> None:
    assert code128(text).width == modules
    assert (modules - 35) % 11 == 0


@pytest.mark.parametrize("text", ["HI345678", "K7M4XRAW", "P3HW9TCP", "R8CN5JF3", "KIT-0001-A7"])
def test_code_128_equals_the_bars_of_another_encoder(text: str) -> None:
    """zxing-cpp 3.1 writes the same bars."""
    barcode = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128)
    row = np.array(zxingcpp.write_barcode_to_image(barcode, scale=1, add_quiet_zones=False))[0]
    assert bars(text) == "".join("1" if grey == 0 else "0" for grey in row)


# --- Data Matrix ------------------------------------------------------------------------------------------------------

# ISO/IEC 16022 annex example as public test suites carry it: 123456 gives data codewords 142, 164, 186 and error
# correction 114, 25, 5, 88, 102 in a 10 × 10 symbol.
DATA, CORRECTION = [142, 164, 186], [114, 25, 5, 88, 102]


def placed_codewords(modules: Modules) -> list[int]:
    """Codewords of a 10 × 10 symbol by the placement of ISO/IEC 16022 annex F (from memory), written for this test."""
    inner = [row[1:-1] for row in modules.rows[1:-1]]
    size = len(inner)
    used: set[tuple[int, int]] = set()
    words: list[int] = []

    def word(row: int, column: int) -> None:
        value = 0
        for up, left in ((2, 2), (2, 1), (1, 2), (1, 1), (1, 0), (0, 2), (0, 1), (0, 0)):
            r, c = row - up, column - left
            if r < 0:
                r, c = r + size, c + 4 - (size + 4) % 8
            if c < 0:
                c, r = c + size, r + 4 - (size + 4) % 8
            used.add((r, c))
            value = value * 2 + inner[r][c]
        words.append(value)

    row, column = 4, 0
    while row < size or column < size:
        while row >= 0 and column < size:
            if row < size and column >= 0 and (row, column) not in used:
                word(row, column)
            row, column = row - 2, column + 2
        row, column = row + 1, column + 3
        while row < size and column >= 0:
            if row >= 0 and column < size and (row, column) not in used:
                word(row, column)
            row, column = row + 2, column - 2
        row, column = row + 3, column + 1
    return words


def test_data_matrix_holds_the_codewords_of_the_published_example() -> None:
    assert placed_codewords(data_matrix("123456")) == DATA + CORRECTION


def test_the_published_error_correction_is_right() -> None:
    """Reed-Solomon over GF(256) with 0x12D, first root 1: reedsolo 1.7."""
    codec = reedsolo.RSCodec(nsym=5, nsize=255, fcr=1, prim=0x12D, generator=2)
    assert list(codec.encode(bytes(DATA))) == DATA + CORRECTION


@pytest.mark.parametrize("text", ["123456", "A"])
def test_data_matrix_equals_the_modules_of_another_encoder(text: str) -> None:
    """zxing-cpp 3.1, asked for square symbols."""
    barcode = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.DataMatrix, force_square=True)
    image = np.array(zxingcpp.write_barcode_to_image(barcode, scale=1, add_quiet_zones=False))
    assert data_matrix(text).rows == tuple(tuple(bool(grey == 0) for grey in row) for row in image)


# Square sizes by data codewords: ISO/IEC 16022 table as public encoders carry it (10 × 10: 3, 12: 5, 14: 8, 16: 12,
# 18: 18, 20: 22, 22: 30, 24: 36, 26: 44). Two digits are one codeword.
@pytest.mark.parametrize(
    ("digits", "size"),
    [(6, 10), (8, 12), (10, 12), (16, 14), (24, 16), (36, 18), (44, 20), (60, 22), (72, 24), (88, 26)],
)
def test_data_matrix_takes_the_published_size(digits: int, size: int) -> None:
    assert data_matrix("12" * (digits // 2)).width == size


# --- QR Code ----------------------------------------------------------------------------------------------------------

# Alphanumeric capacity for versions 1 to 6 at L, M, Q, H: ISO/IEC 18004 table, as published by every encoder.
QR_CAPACITY: dict[int, dict[QrLevel, int]] = {
    1: {"L": 25, "M": 20, "Q": 16, "H": 10},
    2: {"L": 47, "M": 38, "Q": 29, "H": 20},
    3: {"L": 77, "M": 61, "Q": 47, "H": 35},
    4: {"L": 114, "M": 90, "Q": 67, "H": 50},
    5: {"L": 154, "M": 122, "Q": 87, "H": 64},
    6: {"L": 195, "M": 154, "Q": 108, "H": 84},
}


@pytest.mark.parametrize("version", QR_CAPACITY)
@pytest.mark.parametrize("level", ["L", "M", "Q", "H"])
def test_qr_code_holds_the_published_number_of_characters(version: int, level: QrLevel) -> None:
    most = QR_CAPACITY[version][level]
    assert qr("A" * most, level).width == 17 + 4 * version
    assert qr("A" * (most + 1), level).width == 17 + 4 * (version + 1)


def test_qr_code_begins_with_the_published_finder() -> None:
    """Finder pattern 1:1:3:1:1 in three corners: ISO/IEC 18004 (from memory, well known)."""
    rows = encode("qr", "HTTP://127.0.0.1:8000/S/K7M4XRAW").rows
    finder = (True, False, True, True, True, False, True)
    assert rows[3][:7] == rows[3][-7:] == rows[-4][:7] == finder
