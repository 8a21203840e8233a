"""Symbols read as what went in, with a decoder from another code base."""

from __future__ import annotations

import random

import numpy as np
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from service.errors import SymbolDoesNotFit
from service.marks.content import link, message_15434
from service.marks.symbols import QUIET_ZONE_MODULES, Modules, SymbolKind, encode

KEY_ALPHABET = "23456789ACEFHJKMNPRTWXY"


def pixels(modules: Modules, kind: SymbolKind, scale: int = 3) -> NDArray[np.uint8]:
    dark = np.array(modules.rows, dtype=np.uint8)
    dark = np.repeat(dark, 30 if kind == "code128" else scale, axis=0).repeat(scale, axis=1)
    return np.ascontiguousarray(255 - 255 * np.pad(dark, scale * QUIET_ZONE_MODULES[kind]))


def read(modules: Modules, kind: SymbolKind) -> list[bytes]:
    return [bytes(code.bytes) for code in zxingcpp.read_barcodes(pixels(modules, kind))]


def test_two_hundred_of_each_kind_read_back() -> None:
    rng = random.Random(7064)
    for _ in range(200):
        key = "".join(rng.choices(KEY_ALPHABET, k=8))
        number = f"OSV{rng.randint(1, 19)}-FC{rng.randint(1, 12)}-A{rng.randint(5, 2000)}-SW{rng.randint(1, 15)}-U3-42"
        texts: list[tuple[SymbolKind, str]] = [
            ("qr", link("http://127.0.0.1:8000", key)),
            ("data_matrix", key),
            ("data_matrix", message_15434(number, key, "B", rng.randint(1, 40))),
            ("code128", key),
            ("code128", number),
        ]
        for kind, text in texts:
            assert read(encode(kind, text), kind) == [text.encode()], (kind, text)


@settings(max_examples=150)
@given(st.text(alphabet=[chr(code) for code in range(128)], min_size=1, max_size=60))
def test_any_ascii_text_reads_back_from_a_data_matrix(text: str) -> None:
    assert read(encode("data_matrix", text), "data_matrix") == [text.encode()]


@settings(max_examples=150)
@given(st.text(alphabet=[chr(code) for code in range(32, 127)], min_size=1, max_size=40))
def test_any_printable_text_reads_back_from_a_code_128(text: str) -> None:
    assert read(encode("code128", text), "code128") == [text.encode()]


def test_data_matrix_is_always_square() -> None:
    for length in range(1, 101):
        modules = encode("data_matrix", "A1-" * length)
        assert modules.width == modules.height


@pytest.mark.parametrize("tail", ["ME4RYN", "4M", "99", "9", "A99", ""])
def test_every_pair_of_digits_at_the_beginning_of_a_code_128_reads_back(tail: str) -> None:
    """Among them 99, whose value in code set C switches sets in the others."""
    for pair in range(100):
        text = f"{pair:02}{tail}"
        assert read(encode("code128", text), "code128") == [text.encode()]


@pytest.mark.parametrize("kind", ["qr", "data_matrix", "code128"])
def test_rectangles_and_runs_cover_the_dark_modules_and_no_others(kind: SymbolKind) -> None:
    modules = encode(kind, "K7M4XRAW")
    covered = np.zeros((modules.height, modules.width), dtype=int)
    for column, row, width, height in modules.rectangles():
        covered[row : row + height, column : column + width] += 1
    assert (covered == np.array(modules.rows)).all()
    again = np.zeros_like(covered)
    for column, row, length in modules.runs():
        again[row, column : column + length] += 1
    assert (again == covered).all()


REFUSED: list[tuple[SymbolKind, str, str]] = [
    ("qr", "", "nothing to put"),
    ("qr", "http://a/S/K7M4XRAW", "'h'"),
    ("qr", "A_B", "'_'"),
    ("qr", "A" * 301, "301 characters"),
    ("data_matrix", "Øre", "'Ø'"),
    ("data_matrix", "A" * 301, "301 characters"),
    ("code128", "A\x1d", "printable"),
    ("code128", "A" * 81, "81 characters"),
]


@pytest.mark.parametrize(("kind", "text", "part"), REFUSED)
def test_what_a_symbol_cannot_hold_is_refused(kind: SymbolKind, text: str, part: str) -> None:
    with pytest.raises(SymbolDoesNotFit, match=part):
        encode(kind, text)
