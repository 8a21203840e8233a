"""Which keys a fragment of a key may be."""

from __future__ import annotations

from itertools import islice, pairwise, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.alignment import align, aligned_cost
from service.numbering.error_model import CameBy, error_model
from service.numbering.key import ALPHABET, Key
from service.numbering.key_fragments import KeyPattern, agreeing_patterns, key_patterns, keys_of
from service.numbering.mending import right_key

EYE = error_model(CameBy.EYE)
KEYS = st.integers(0, 10**6).map(lambda seed: Key.random(Random(seed)).symbols)


def best_of(read: str, count: int = 200) -> dict[str, float]:
    """The keys of the first patterns that have no open place, each with the cost of its first pattern."""
    found: dict[str, float] = {}
    for pattern in islice(key_patterns(read, EYE), count):
        if pattern.keys == 1:
            for key in keys_of(pattern):
                found.setdefault(key, pattern.cost)
    return found


@pytest.mark.parametrize(
    ("read", "slips"),
    [
        ("K7M4XRAW", 0),
        ("K7N4XRAW", 1),  # M read as N
        ("KTM4XRAW", 1),  # T stands in keys, but not here
        ("7KM4XRAW", 1),  # two swapped
        ("K7MM4XRAW", 1),  # doubled
        ("K7M4XRA?", 0),
        ("?7M4XRAW", 0),
        ("K7M4XRA", 0),  # the tail is missing
        ("7M4XRAW", 0),
        ("K7M4RAW", 1),  # one lost in the middle
    ],
)
def test_the_true_key_is_the_first_or_among_the_first(read: str, slips: int) -> None:
    found = next(pattern for pattern in key_patterns(read, EYE) if "K7M4XRAW" in keys_of(pattern))
    assert found.slips == slips
    assert found in list(islice(key_patterns(read, EYE), 40))


@given(key=KEYS, unknown=st.sets(st.integers(0, 7), max_size=3))
@settings(max_examples=60, deadline=None)
def test_what_nobody_could_read_leaves_23_to_the_number_less_one(key: str, unknown: set[int]) -> None:
    read = "".join("?" if place in unknown else symbol for place, symbol in enumerate(key))
    first = next(key_patterns(read, EYE))
    assert first.slips == 0
    assert first in agreeing_patterns(read, EYE)
    keys = list(keys_of(first))
    assert key in keys
    assert first.keys == 23 ** max(len(unknown) - 1, 0)
    assert len(keys) >= first.keys - 1  # one of them may be all of one symbol
    assert all(map(right_key, keys))


@given(read=st.text(alphabet=ALPHABET + "O05I?*", min_size=3, max_size=9))
@settings(max_examples=40, deadline=None)
def test_patterns_come_from_cheap_to_dear(read: str) -> None:
    costs = [pattern.cost for pattern in islice(key_patterns(read, EYE), 100)]
    assert all(one <= other + 1e-9 for one, other in pairwise(costs))


@given(key=KEYS, seed=st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_its_costs_are_those_of_the_alignment(key: str, seed: int) -> None:
    rng = Random(seed)
    read = list(key)
    for _ in range(2):
        read[rng.randrange(8)] = rng.choice(ALPHABET + "O05")
    found = best_of("".join(read))
    for other, cost in found.items():
        aligned = align("".join(read), other, EYE)
        assert aligned is not None
        slips = {step.slip for step in aligned.steps}
        if "lost" not in slips:
            assert cost >= aligned.cost - 1e-9
        if slips <= {"same", "misread"}:
            assert cost == pytest.approx(aligned.cost)


def test_nothing_cheaper_is_left_out() -> None:
    """Every key with one or two symbols otherwise, held against the patterns: all that is cheap is there, in order."""
    read = "K7M4XRAV"
    found = best_of(read, 150)
    dearest = max(found.values())
    for places in product(range(8), repeat=2):
        for symbols in product(ALPHABET, repeat=2):
            signs = list(read)
            for place, symbol in zip(places, symbols, strict=True):
                signs[place] = symbol
            other = "".join(signs)
            if right_key(other):
                cost = aligned_cost(read, other, EYE)
                assert cost >= dearest - 1e-9 or other in found


def test_signs_that_no_key_holds_are_misread() -> None:
    first = next(key_patterns("K7M4XRAVV", EYE), None)
    assert first is None or first.slips
    assert next(key_patterns("KTM4XR0W", EYE)).slips >= 1


def test_a_text_much_too_long_is_no_key() -> None:
    assert list(key_patterns("OSV4FC1A500SW2U342", EYE)) == []


def test_a_pattern_says_what_it_takes_to_look_it_up() -> None:
    pattern = KeyPattern(0.0, "K7M?X??W", 0)
    assert (pattern.keys, pattern.known_head) == (529, "K7M")
