"""The invented shop: its numbers stand as issued numbers stand, and it is as irregular as a grown one."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from service.numbering.number import Number
from tests.shop_of_a_million import Shop, make_shop

SEGMENTS = 20_000


@pytest.fixture(scope="module")
def shop() -> Shop:
    return make_shop(SEGMENTS, seed=3)


def test_every_number_is_issued_once_and_parses_with_its_check(shop: Shop) -> None:
    assert len(set(shop.numbers)) == len(shop) == SEGMENTS
    for at in range(0, SEGMENTS, 7):
        number = Number.parse(shop.numbers[at])
        kit = shop.kits[shop.kit[at]]
        assert str(number.kit) == kit.number
        assert str(number.kit.container) == shop.containers[kit.container].code
        assert number.kit.plant == shop.plants[shop.lines[shop.machines[kit.machine].born].plant].code


def test_the_same_seed_gives_the_same_shop_and_another_seed_another(shop: Shop) -> None:
    assert make_shop(SEGMENTS, seed=3).numbers == shop.numbers
    assert not set(make_shop(2000, seed=4).numbers) & set(shop.numbers[:2000])


def test_kits_are_of_all_sizes_and_places_of_many_kinds(shop: Shop) -> None:
    sizes = np.bincount(shop.kit)[:-1]
    assert sizes.min() >= 10
    assert sizes.max() <= 150
    assert 60 <= sizes.mean() <= 100
    assert len(set(shop.places)) == len(shop.places) > 300


def test_containers_of_one_size_are_told_apart_by_their_design(shop: Shop) -> None:
    codes = Counter((one.customer, one.code) for one in shop.containers)
    assert set(codes.values()) == {1}
    assert len({one.design for one in shop.containers}) > 3
    assert Counter(one.nominal for one in shop.containers).most_common(3)[0][0] in (500, 330, 1000)


def test_machines_move_within_their_plant(shop: Shop) -> None:
    moved = [one for one in shop.machines if one.now != one.born]
    assert 0.02 < len(moved) / len(shop.machines) < 0.2
    assert all(shop.lines[one.now].plant == shop.lines[one.born].plant for one in moved)


def test_only_stars_have_pockets_and_every_part_has_a_length(shop: Shop) -> None:
    assert (shop.pockets[shop.family != 0] == 0).all()
    assert (shop.pockets[shop.family == 0] > 0).all()
    assert shop.length_mm.min() > 30
    assert len(np.unique(shop.thickness_mm)) > 6
