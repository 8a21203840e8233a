"""Check words against published examples and a reference library."""

from __future__ import annotations

from random import Random

import pytest
import reedsolo
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks.data_matrix_places import data_matrix_places
from service.marks.reed_solomon import DATA_MATRIX_CODE, QR_CODE

CODES = {"Data Matrix": (DATA_MATRIX_CODE, 0x12D, 1), "QR Code": (QR_CODE, 0x11D, 0)}
SEEDS = st.integers(0, 2**32)


def test_the_annex_example_of_data_matrix() -> None:
    # ISO/IEC 16022 annex: `123456` is 142 164 186 with check words 114 25 5 88 102 (through public test suites).
    assert DATA_MATRIX_CODE.check_words((142, 164, 186), 5) == (114, 25, 5, 88, 102)


def test_the_annex_example_of_qr_code() -> None:
    # ISO/IEC 18004 annex: `01234567` at level M in version 1 (data words from memory, check words by a library too).
    data = bytes.fromhex("10200C566180EC11EC11EC11EC11EC11")
    assert bytes(QR_CODE.check_words(data, 10)) == bytes.fromhex("A524D4C1ED36C7872C55")


@pytest.mark.parametrize("name", CODES)
@given(seed=SEEDS)
@settings(max_examples=60, deadline=None)
def test_check_words_are_those_of_the_library(name: str, seed: int) -> None:
    code, polynomial, first_root = CODES[name]
    rng = Random(seed)
    data = [rng.randrange(256) for _ in range(rng.randint(1, 40))]
    check = rng.randint(2, 30)
    library = reedsolo.RSCodec(check, fcr=first_root, prim=polynomial, generator=2)
    assert bytes([*data, *code.check_words(data, check)]) == bytes(library.encode(bytes(data)))


def test_a_size_that_is_not_in_the_table() -> None:
    assert data_matrix_places(13) is None
