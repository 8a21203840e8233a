"""The search for the keys that fit: what it finds is best, and what it says of all others is true."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks.key_codes import KeyCode, data_matrix_codes, data_matrix_size, key_text, key_values, qr_codes
from service.marks.key_search import costs, list_keys
from service.marks.symbols import data_matrix, qr
from service.numbering.key import Key, random_keys

LINK = "HTTPS://KIT.EXAMPLE/S/"
SEEDS = st.integers(0, 2**32)


def seen(key: str, kind: str, *, known: float, wrong: int, seed: int) -> tuple[tuple[KeyCode, ...], np.ndarray]:
    """Codes, and what is seen of the symbol of a key of which some modules are lost and some wrong."""
    chance = np.random.default_rng(seed)
    modules = np.array((data_matrix(key) if kind == "data_matrix" else qr(LINK + key)).rows)
    codes = data_matrix_codes(len(modules)) if kind == "data_matrix" else qr_codes(LINK, len(modules), "Q")
    soft = np.where(modules.ravel(), 5.0, -5.0) * codes[0].varies
    soft[chance.random(len(soft)) > known] = 0
    there = np.flatnonzero(soft)
    soft[chance.choice(there, min(wrong, len(there)), replace=False)] *= -1
    return codes, soft


@pytest.mark.parametrize(
    ("kind", "known", "wrong"), [("data_matrix", 0.75, 0), ("data_matrix", 1.0, 2), ("qr", 0.55, 2)]
)
@given(seed=SEEDS)
@settings(max_examples=12, deadline=None)
def test_far_more_may_be_lost_than_the_symbol_itself_makes_good(kind: str, known: float, wrong: int, seed: int) -> None:
    key = Key.random(Random(seed)).symbols
    codes, soft = seen(key, kind, known=known, wrong=wrong, seed=seed)
    listing = list_keys(codes, soft, window=24)
    assert key in map(key_text, listing.keys)
    cost = costs(codes, soft, listing.keys)
    assert key_text(listing.keys[np.argmin(cost)]) == key


@given(seed=SEEDS, known=st.floats(0.2, 1.0), wrong=st.integers(0, 12))
@settings(max_examples=10, deadline=None)
def test_no_key_that_is_not_listed_costs_less_than_the_bound(seed: int, known: float, wrong: int) -> None:
    key = Key.random(Random(seed)).symbols
    size = data_matrix_size(key)
    codes, soft = seen(key, "data_matrix", known=known, wrong=wrong, seed=seed)
    listing = list_keys(codes, soft, window=24)
    listed = {key_text(values) for values in listing.keys}
    # The true key, keys one symbol beside it, and any others: whichever is not listed must keep to the bound.
    others = [key, *(key[:at] + symbol + key[at + 1 :] for at in range(7) for symbol in "2345ACEXY")]
    near = {Key.from_symbols(other[:7]).symbols for other in others if len(set(other[:7])) > 1}
    tried = [one for one in {*near, *random_keys(300, Random(seed))} if data_matrix_size(one) == size]
    for one, cost in zip(tried, costs(codes, soft, key_values(tried)), strict=True):
        assert one in listed or cost >= listing.outside - 1e-6


def test_nothing_seen_lists_nothing_and_bounds_nothing() -> None:
    codes = data_matrix_codes(14)
    listing = list_keys(codes, np.zeros(14 * 14), window=24)
    assert len(listing.keys) == 0
    assert listing.outside == 0


def test_two_keys_that_what_is_left_cannot_tell_apart_are_both_listed() -> None:
    one = "K7M4XRAW"
    first, second = (np.array(data_matrix(key).rows).ravel() for key in (one, Key.from_symbols("K7M4XRC").symbols))
    codes = data_matrix_codes(14)
    soft = np.where(first == second, np.where(first, 5.0, -5.0), 0.0) * codes[0].varies
    listing = list_keys(codes, soft, window=24)
    cost = dict(zip(map(key_text, listing.keys), costs(codes, soft, listing.keys), strict=True))
    assert cost[one] == cost[Key.from_symbols("K7M4XRC").symbols] == 0


def test_a_key_of_another_size_costs_everything() -> None:
    codes = data_matrix_codes(12)
    assert np.isinf(costs(codes, np.ones(144), key_values(["K7M4XRAW"]))).all()
