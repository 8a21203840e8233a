"""Keys: built, printed, read back, and every slip that their check catches."""

from __future__ import annotations

import random
import secrets
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCharacter, BadKey
from service.numbering.key import ALPHABET, Key, random_keys, weighted_sum
from tests.numbering.strategies import keys


@pytest.mark.parametrize("text", ["K7M4XRAW", "P3HW9TCP", "R8CN5JF3"])
def test_known_keys(text: str) -> None:
    key = Key.parse(text)
    assert str(key) == text
    assert Key.from_symbols(text[:7]) == key
    assert sum(weight * ALPHABET.index(symbol) for weight, symbol in enumerate(text, 1)) % 23 == 0


def test_the_alphabet_has_23_symbols_none_of_them_mixed_up_with_a_digit() -> None:
    assert len(set(ALPHABET)) == 23
    assert not set(ALPHABET) & set("01OILSBGZQDUV")


@given(keys)
@settings(max_examples=200)
def test_what_is_printed_parses_back(key: Key) -> None:
    assert Key.parse(str(key)) == Key.parse(key.printed) == Key(key.symbols) == key
    assert key.printed == f"{key.symbols[:4]}-{key.symbols[4:]}"


@given(keys)
@settings(max_examples=50)
def test_every_single_wrong_symbol_and_every_swap_of_two_is_caught(key: Key) -> None:
    symbols = key.symbols
    for n, symbol in enumerate(symbols):
        for other in set(ALPHABET) - {symbol}:
            assert weighted_sum(symbols[:n] + other + symbols[n + 1 :])
        for m in range(n + 1, len(symbols)):
            if symbols[m] != symbol:
                swapped = list(symbols)
                swapped[n], swapped[m] = swapped[m], swapped[n]
                assert weighted_sum("".join(swapped))


@pytest.mark.parametrize("text", ["k7m4xraw", "K7M4-XRAW", " k7m4 xraw\n", "K 7 M 4 X R A W"])
def test_case_blanks_and_hyphens_do_not_matter(text: str) -> None:
    assert Key.parse(text) == Key("K7M4XRAW")


@pytest.mark.parametrize(
    ("text", "position"), [("K7M4-XRAO", 8), ("ß7M4XRAW", 0), ("K7M4XRA1", 7), ("k7m4 ıraw", 5), ("K7M4€XRAW", 4)]
)
def test_a_symbol_no_key_holds_is_pointed_at(text: str, position: int) -> None:
    with pytest.raises(BadCharacter) as refusal:
        Key.parse(text)
    assert refusal.value.position == position


@pytest.mark.parametrize("text", ["", "K7M4XRA", "K7M4XRAWW", "K7M4XRAX", "22222222"])
def test_what_is_no_key_is_refused(text: str) -> None:
    with pytest.raises(BadKey):
        Key.parse(text)
    with pytest.raises(BadKey):
        Key(text)


def test_keys_are_made_from_seven_symbols() -> None:
    with pytest.raises(BadKey):
        Key.from_symbols("K7M4XR")
    with pytest.raises(BadKey):
        Key.from_symbols("2222222")
    with pytest.raises(BadCharacter):
        Key.from_symbols("K7M4XR0")


def test_random_keys_are_right_and_follow_their_source_of_chance() -> None:
    made = [Key.random(random.Random(seed)) for seed in range(50)]
    assert len(set(made)) == 50
    assert Key.random(random.Random(7)) == Key.random(random.Random(7))
    for key in (*made, Key.random(secrets.SystemRandom())):
        assert Key.parse(str(key)) == key
        assert len(set(key.symbols)) > 1


def test_a_random_key_is_never_one_symbol_only() -> None:
    class Stuck(random.Random):
        """Draws one symbol for the whole of the first key."""

        draws = 0

        def random(self) -> float:
            self.draws += 1
            return 0.5 if self.draws <= 7 else self.draws % 7 / 7

    assert len(set(Key.random(Stuck()).symbols[:7])) > 1


@given(st.integers(0, 300), st.integers())
@settings(max_examples=50)
def test_many_keys_of_few_draws_are_keys_and_differ(count: int, seed: int) -> None:
    made = random_keys(count, random.Random(seed))
    assert len(set(made)) == len(made) == count
    assert [str(Key.parse(key)) for key in made] == made
    assert made == random_keys(count, random.Random(seed))


def test_every_symbol_of_many_keys_is_as_frequent_as_any_other() -> None:
    made = random_keys(40_000, random.Random(3))
    for place in range(8):
        seen = Counter(key[place] for key in made)
        # 40,000 draws of 23: a standard deviation of 41 around 1739; six of them hardly ever.
        assert set(seen) == set(ALPHABET)
        assert all(abs(times - 40_000 / 23) < 250 for times in seen.values())


def test_no_key_of_many_is_of_one_symbol() -> None:
    class Stuck(random.Random):
        """First nothing but one symbol over and over, then chance."""

        draws = 0

        def getrandbits(self, bits: int, /) -> int:
            self.draws += 1
            return 0 if self.draws == 1 else super().getrandbits(bits)

    made = random_keys(3, Stuck(1))
    assert all(len(set(key[:7])) > 1 for key in made)
