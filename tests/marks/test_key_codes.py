"""Structures of symbols and the linear codes of keys, against the encoders that print them."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks import data_matrix_places as matrices
from service.marks.data_matrix_places import data_matrix_places
from service.marks.key_codes import (
    KeyCode,
    data_matrix_codes,
    data_matrix_size,
    is_key,
    key_text,
    key_values,
    known_modules,
    qr_codes,
)
from service.marks.qr_masks import QrLevel
from service.marks.qr_places import FORMAT, qr_places
from service.marks.reed_solomon import DATA_MATRIX_CODE, QR_CODE
from service.marks.symbols import Modules, data_matrix, qr
from service.numbering.key import Key, random_keys

KEYS = st.integers(0, 2**32).map(lambda seed: Key.random(Random(seed)).symbols)
LINKS = ("HTTPS://KIT.EXAMPLE/S/", "HTTPS://KIT.EXAMPLE1/S/", "HTTPS://KITWRIGHT.EXAMPLE.ORG/MARKS1/S/")


def array(modules: Modules) -> np.ndarray:
    return np.array(modules.rows)


@pytest.mark.parametrize("length", [2, 4, 7, 11, 17, 21, 29, 35, 43, 61, 85, 113, 143, 173])
def test_data_matrix_keeps_its_codewords_where_the_standard_says(length: int) -> None:
    text = "".join(Random(length).choice("ABCDEFabcdef!?,:") for _ in range(length))
    symbol = array(data_matrix(text))
    places = data_matrix_places(len(symbol))
    assert places is not None
    assert ((places.fixed == matrices.DATA) | (places.fixed == symbol)).all()
    words = np.packbits(symbol.ravel()[places.bits], axis=1)[:, 0].tolist()
    assert tuple(words[places.data :]) == DATA_MATRIX_CODE.check_words(words[: places.data], places.check)
    assert sorted(places.bits.ravel()) == np.flatnonzero(places.fixed.ravel() == matrices.DATA).tolist()


@pytest.mark.parametrize("level", ["L", "M", "Q", "H"])
@pytest.mark.parametrize("length", [6, 18, 29, 40, 55])
def test_qr_code_keeps_its_codewords_where_the_standard_says(level: QrLevel, length: int) -> None:
    symbol = array(qr("".join(Random(length).choice("ABC2345:/.") for _ in range(length)), level))
    places = qr_places(len(symbol), level)
    assert places is not None
    assert ((places.fixed < 0) | (places.fixed == symbol)).all()
    [mask] = [mask for mask in range(8) if ((places.formats[mask] == symbol) | (places.fixed != FORMAT)).all()]
    plain = (symbol ^ places.masks[mask]).ravel()
    assert not plain[places.remainder].any()
    words = np.packbits(plain[places.bits], axis=1)[:, 0].tolist()
    data, check = 0, places.data
    for block_data, block_check in places.blocks:
        expected = QR_CODE.check_words(words[data : data + block_data], block_check)
        assert tuple(words[check : check + block_check]) == expected
        data, check = data + block_data, check + block_check


@given(key=KEYS)
@settings(max_examples=50, deadline=None)
def test_exactly_one_code_makes_the_data_matrix_of_a_key(key: str) -> None:
    symbol = array(data_matrix(key))
    assert len(symbol) == data_matrix_size(key)
    makes(data_matrix_codes(len(symbol)), symbol, key)


@pytest.mark.parametrize("before", LINKS)
@given(key=KEYS)
@settings(max_examples=25, deadline=None)
def test_exactly_one_mask_makes_the_qr_code_of_a_link(before: str, key: str) -> None:
    symbol = array(qr(before + key))
    makes(qr_codes(before, len(symbol), "Q"), symbol, key)


def makes(codes: tuple[KeyCode, ...], symbol: np.ndarray, key: str) -> None:
    making = []
    for code in codes:
        unknown, fits = code.unknown(key_values([key]))
        if fits[0] and (code.modules(unknown)[0] == symbol.ravel()).all():
            making.append(code)
            values, index = code.keys(unknown)
            assert (key_text(values[0]), index.tolist()) == (key, [0])
    assert len(making) == 1


def test_what_varies_from_key_to_key_is_known() -> None:
    before = LINKS[0]
    for kind in ("data_matrix", "qr"):
        symbols = []
        for key in random_keys(400, Random(5)):
            modules = array(data_matrix(key) if kind == "data_matrix" else qr(before + key))
            if len(modules) in (14, 29):
                symbols.append(modules.ravel())
        ever = np.ptp(np.array(symbols, dtype=np.int8), axis=0).astype(bool)
        if kind == "data_matrix":
            places = data_matrix_places(14)
            assert places is not None
            fixed, varies = places.fixed, data_matrix_codes(14)[0].varies
        else:
            structure = qr_places(29, "Q")
            assert structure is not None
            fixed, varies = structure.fixed, qr_codes(before, 29, "Q")[0].varies
        assert not ever[known_modules(fixed)].any()
        # Pads and the upper bits of letters stay the same from key to key, though they may differ in another text.
        assert ever[varies].mean() > 0.8


def test_only_keys_are_keys() -> None:
    right = Key.random(Random(1)).symbols
    wrong = right[:-1] + ("2" if right[-1] != "2" else "3")
    assert is_key(key_values([right, wrong, "22222222"])).tolist() == [True, False, False]


@pytest.mark.parametrize("before", ["HTTPS://KIT.EXAMPLE/" + "A" * 200 + "/S/", "https://kit.example/s/"])
def test_a_link_that_no_such_symbol_holds_has_no_code(before: str) -> None:
    assert qr_codes(before, 29, "Q") == ()
    assert qr_codes("HTTPS://A/S/", 30, "Q") == ()
