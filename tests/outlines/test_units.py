"""The words and codes of units of length."""

from __future__ import annotations

import pytest

from service.errors import BadRequest
from service.outlines.units import LENGTH_UNITS, SPELLINGS, unit_named, unit_of_insunits


def test_codes_run_from_1_to_24_without_a_gap() -> None:
    assert [unit.insunits for unit in LENGTH_UNITS] == list(range(1, 25))
    assert all(unit_of_insunits(unit.insunits) is unit for unit in LENGTH_UNITS)


@pytest.mark.parametrize("code", [0, -1, 25, 99])
def test_other_codes_name_no_unit(code: int) -> None:
    assert unit_of_insunits(code) is None


def test_every_spelling_is_of_one_unit() -> None:
    words = [word for symbol, words in SPELLINGS.items() for word in (symbol, *words)]
    assert len(words) == len(set(words))
    for symbol, spellings in SPELLINGS.items():
        for word in (symbol, *spellings):
            assert unit_named(f" {word.upper()} ").symbol == symbol


@pytest.mark.parametrize("word", ["", "ly", "furlong", "25.4", "mm²"])
def test_other_words_are_refused_with_those_that_do(word: str) -> None:
    with pytest.raises(BadRequest) as caught:
        unit_named(word)
    assert caught.value.field == "units"
    assert "mm, in" in caught.value.todo
