"""Keys on record by a fragment, on both databases."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest
from sqlalchemy import Connection, select

from service.numbering.alignment import aligned_cost
from service.numbering.error_model import CameBy, ErrorModel, error_model
from service.numbering.key_fragments import KeyPattern, key_patterns
from service.store import key_fragments
from service.store.key_fragments import keys_like
from service.store.tables import IssuedKey
from tests.factories import make_kit

EYE = error_model(CameBy.EYE)


@pytest.fixture
def keys(writing: Connection) -> list[str]:
    """All keys of two kits of 60 segments."""
    for nominal in (330, 500):
        make_kit(writing, nominal=nominal, segments=60)
    return sorted(writing.scalars(select(IssuedKey.key)))


def test_up_to_three_unknown_symbols_find_the_key(
    writing: Connection, keys: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(key_fragments, "FEW", 0)
    rng = Random(7)
    for unknown in range(4):
        for key in rng.sample(keys, 3):
            signs = list(key)
            for place in rng.sample(range(8), unknown):
                signs[place] = "?"
            found = keys_like(writing, "".join(signs), EYE, limit=10)
            assert found.found[0].key == key
            assert found.agreeing == 1
            assert not found.found[0].slips


@pytest.mark.parametrize("few", [0, 500])
def test_it_finds_what_a_look_at_every_key_finds(
    writing: Connection, keys: list[str], few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(key_fragments, "FEW", few)
    rng = Random(11)
    for _ in range(6):
        signs = list(rng.choice(keys))
        signs[rng.randrange(8)] = rng.choice("O05I8BSG")
        if rng.random() < 0.3:
            del signs[rng.randrange(1, 7)]
        read = "".join(signs)
        found = keys_like(writing, read, EYE, limit=3)
        by_hand = sorted((aligned_cost(read, key, EYE), key) for key in keys)
        cheap = [(cost, key) for cost, key in by_hand[:3] if cost < min(found.beyond - 0.1, 11)]
        assert [one.key for one in found.found[: len(cheap)]] == [key for _, key in cheap]


def test_a_head_or_a_tail_of_four_finds_the_key(writing: Connection, keys: list[str]) -> None:
    for key in keys[:3]:
        for read in (key[:4], f"{key[:4]}*", key[4:], f"*{key[4:]}"):
            found = keys_like(writing, read, EYE, limit=10)
            assert key in {one.key for one in found.found}
            assert not found.too_little


def test_too_little_is_said(writing: Connection, keys: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert keys
    monkeypatch.setattr(key_fragments, "FEW", 0)
    monkeypatch.setattr(key_fragments, "MOST_LOOKED_AT", 20)
    found = keys_like(writing, "*W", EYE, limit=10)
    assert (found.found, found.agreeing, found.too_little) == ((), None, True)


def test_a_text_that_is_no_key_finds_none(writing: Connection, keys: list[str]) -> None:
    assert keys
    assert keys_like(writing, "OSV4FC1A500SW2U342", EYE, limit=10).found == ()


def test_a_text_of_too_many_slips_is_soon_given_up(
    writing: Connection, keys: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Part of a number as it was said: to be a key it needs five slips, in more than a hundred thousand ways."""
    monkeypatch.setattr(key_fragments, "FEW", 0)
    tried = 0

    def counted(read: str, model: ErrorModel) -> Iterator[KeyPattern]:
        nonlocal tried
        for pattern in key_patterns(read, model):
            tried += 1
            yield pattern

    monkeypatch.setattr(key_fragments, "key_patterns", counted)
    assert not keys_like(writing, "*LB1A30L4", error_model(CameBy.EAR), limit=40).found
    assert tried < 1000
