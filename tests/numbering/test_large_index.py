"""The search in a shop of many kits, where sets are large: who agrees, what is cheapest, how much memory it takes."""

from __future__ import annotations

import gc
import re
import sys
from _thread import LockType
from random import Random
from types import FunctionType, ModuleType

import pytest

from service.numbering.error_model import CameBy, error_model
from service.numbering.fragment import parse_fragment
from service.numbering.number import Number
from service.numbering.number_index import NumberIndex
from tests.numbering.plain_alignment import plain_cost
from tests.shop_of_a_million import make_shop

NUMBERS = make_shop(40_000, seed=7).numbers
INDEX = NumberIndex.from_numbers(NUMBERS)


def agreeing(signs: str) -> list[str]:
    """The numbers that agree with a fragment, by a pattern over the written text, in natural order."""
    as_written = {"?": "[A-Z0-9]", "*": ".*"}
    pattern = re.compile(f".*{'-?'.join(as_written.get(sign, sign) for sign in signs)}.*")
    return [str(number) for number in sorted(Number.parse(number) for number in NUMBERS if pattern.fullmatch(number))]


def fragments_of(number: str) -> list[str]:
    """What may be left of a number, from nearly all to nearly nothing."""
    line, machine, container, assembly, place, check = number.split("-")
    return [
        f"*{assembly[1:]}-{place}-{check}",
        f"*{assembly[1:]}-{place}",
        f"{place}-{check}",
        f"*-{place}",
        f"{container[:2]}*{assembly[:2]}",
        f"??{line[2:]}-{machine}-{container[0]}{'?' * (len(container) - 1)}-{assembly[:2]}",
        f"{line}{machine}{container[:2]}",
        f"*-{machine}-*-{assembly}-*-{check}",
        f"?{number[1:-4]}?{number[-3:]}",
        f"*{check}",
    ]


@pytest.mark.parametrize("which", range(10))
def test_who_agrees_with_what_is_left(which: int) -> None:
    for number in Random(which).sample(NUMBERS, 6):
        fragment = parse_fragment(fragments_of(number)[which])
        expected = agreeing(fragment.signs)
        consistent = INDEX.consistent(fragment)
        assert number in expected
        assert list(consistent) == expected
        assert consistent.count == len(expected)
        # Nobody can be cheaper than the cheapest of those who agree, and some of them may be dearer than others.
        model = error_model(CameBy.EYE)
        first = INDEX.search(fragment, model, 5)
        cheapest = min(plain_cost(fragment, one, model) for one in expected[:20])
        assert first[0].number in expected
        assert first[0].cost <= cheapest + 1e-9
        assert len(expected) > 20 or first[0].cost == pytest.approx(cheapest)


@pytest.mark.parametrize("seed", range(3))
def test_nothing_cheaper_is_left_out(seed: int) -> None:
    draw = Random(seed)
    model = error_model(CameBy.EYE)
    sample = draw.sample(NUMBERS, 300)
    index = NumberIndex.from_numbers(sample)
    for number in draw.sample(sample, 1):
        signs = list(number)
        for at in draw.sample([at for at, sign in enumerate(signs) if sign != "-"], 3):
            signs[at] = draw.choice("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ?")
        fragment = parse_fragment("".join(signs))
        found = index.search(fragment, model, 10, within=12)
        plain = sorted((round(plain_cost(fragment, one, model), 6), Number.parse(one)) for one in sample)
        plain = [(cost, one) for cost, one in plain if cost <= plain[0][0] + 12][:10]
        assert [(round(match.cost, 6), match.number) for match in found] == [(cost, str(one)) for cost, one in plain]


def test_many_new_kits_are_sorted_in_together() -> None:
    one_way = NumberIndex.from_numbers(NUMBERS[:3000])
    one_way.add_all(NUMBERS[3000:])
    assert len(one_way) == len(INDEX)
    for text in ("*SW2-U3", "A500", "*FC1*42"):
        assert list(one_way.consistent(parse_fragment(text))) == list(INDEX.consistent(parse_fragment(text)))


def taken(thing: object) -> int:
    """Bytes of an object and of all that it alone leads to, with what Python adds to each."""
    seen: set[int] = set()
    left, size = [thing], 0
    while left:
        one = left.pop()
        # What a class and its methods take is there without any number.
        if id(one) in seen or isinstance(one, type | ModuleType | FunctionType | LockType):
            continue
        seen.add(id(one))
        size += sys.getsizeof(one)
        left += gc.get_referents(one)
    return size


def test_a_million_numbers_take_less_than_a_megabyte() -> None:
    index = NumberIndex.from_numbers(make_shop().numbers)
    assert len(index) == 1_000_000
    size = taken(index)
    assert 300_000 < size < 1_000_000, "or it was not all counted"
