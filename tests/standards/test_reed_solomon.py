"""Check words and corrections against published examples and a reference library."""

from __future__ import annotations

from random import Random

import pytest
import reedsolo
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks.data_matrix_places import data_matrix_places
from service.marks.reed_solomon import DATA_MATRIX_CODE, QR_CODE, ReedSolomon

CODES = {"Data Matrix": (DATA_MATRIX_CODE, 0x12D, 1), "QR Code": (QR_CODE, 0x11D, 0)}
SEEDS = st.integers(0, 2**32)


def test_the_annex_example_of_data_matrix() -> None:
    # ISO/IEC 16022 annex: `123456` is 142 164 186 with check words 114 25 5 88 102 (through public test suites).
    assert DATA_MATRIX_CODE.check_words((142, 164, 186), 5) == (114, 25, 5, 88, 102)
    corrected = DATA_MATRIX_CODE.correct((142, 0, 186, 114, 25, 5, 0, 102), 5)
    assert corrected is not None
    assert (corrected.words[:3], corrected.changed, corrected.spare) == ((142, 164, 186), 2, 1)


def test_the_annex_example_of_qr_code() -> None:
    # ISO/IEC 18004 annex: `01234567` at level M in version 1 (data words from memory, check words by a library too).
    data = bytes.fromhex("10200C566180EC11EC11EC11EC11EC11")
    assert bytes(QR_CODE.check_words(data, 10)) == bytes.fromhex("A524D4C1ED36C7872C55")


@pytest.mark.parametrize("name", CODES)
@given(seed=SEEDS)
@settings(max_examples=60, deadline=None)
def test_what_is_within_reach_is_corrected(name: str, seed: int) -> None:
    code, polynomial, first_root = CODES[name]
    rng = Random(seed)
    data = [rng.randrange(256) for _ in range(rng.randint(1, 40))]
    check = rng.randint(2, 30)
    whole = [*data, *code.check_words(data, check)]
    library = reedsolo.RSCodec(check, fcr=first_root, prim=polynomial, generator=2)
    assert bytes(whole) == bytes(library.encode(bytes(data)))

    erasures = rng.randint(0, min(check, len(whole)))
    errors = rng.randint(0, min((check - erasures) // 2, len(whole) - erasures))
    places = rng.sample(range(len(whole)), erasures + errors)
    read = list(whole)
    for place in places:
        read[place] ^= rng.randint(1, 255)
    corrected = code.correct(read, check, set(places[:erasures]))
    assert corrected is not None
    assert corrected.words == tuple(whole)
    assert (corrected.changed, corrected.spare) == (errors, check - erasures - 2 * errors)


@pytest.mark.parametrize("name", CODES)
@given(seed=SEEDS)
@settings(max_examples=60, deadline=None)
def test_what_is_beyond_reach_is_never_made_up(name: str, seed: int) -> None:
    """Noise gives nothing, or a word of the code that is truly so near."""
    code: ReedSolomon = CODES[name][0]
    rng = Random(seed)
    read = [rng.randrange(256) for _ in range(18)]
    corrected = code.correct(read, 10)
    if corrected is not None:
        assert corrected.words[8:] == code.check_words(corrected.words[:8], 10)
        assert sum(a != b for a, b in zip(read, corrected.words, strict=True)) == corrected.changed <= 5
    assert code.correct(read, 10, set(range(11))) is None


def test_a_size_that_is_not_in_the_table() -> None:
    assert data_matrix_places(13) is None
