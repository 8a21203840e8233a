"""A number of which parts were passed over is found all the same, and it is said that parts were left out."""

from __future__ import annotations

import math

import pytest

from service.numbering.error_model import CameBy, error_model
from service.numbering.fragment import parse_fragment
from service.numbering.left_out import PARTS_LEFT_OUT, search_left_out, with_runs
from service.numbering.number_index import NumberIndex
from tests.shop_of_a_million import make_shop

MODEL = error_model(CameBy.EAR)
SHOP = make_shop(2000, seed=5)
INDEX = NumberIndex.from_numbers(SHOP.numbers)


def best(text: str) -> float:
    return INDEX.search(parse_fragment(text), MODEL, 1)[0].cost


@pytest.mark.parametrize("passed_over", [1, 2, 3])
def test_a_number_with_a_group_passed_over_is_the_cheapest_then(passed_over: int) -> None:
    for number in SHOP.numbers[::97]:
        groups = number.split("-")
        said = " ".join(groups[:passed_over] + groups[passed_over + 1 :])
        found = search_left_out(INDEX, parse_fragment(said), MODEL, 20, within=10.0, best=math.inf)
        alike = [match for match in found if match.cost <= found[0].cost + 0.2]
        assert number in [match.number for match in alike]
        assert found[0].cost < best(said) + PARTS_LEFT_OUT


def test_parts_left_out_are_cheaper_than_sign_by_sign_and_are_said() -> None:
    number = next(one for one in SHOP.numbers if "-A500-" in one)
    plant, machine, _, assembly, place, check = number.split("-")
    said = f"{plant} {machine} {assembly} {place} {check}"
    found = {m.number: m for m in search_left_out(INDEX, parse_fragment(said), MODEL, 50, within=14.0, best=best(said))}
    strict = {match.number: match for match in INDEX.search(parse_fragment(said), MODEL, 2000, within=40.0)}
    assert found[number].cost < strict[number].cost
    assert found[number].assumed[0] == "parts left out between groups"


def test_what_explains_itself_needs_no_parts_left_out() -> None:
    number = SHOP.numbers[40]
    assert search_left_out(INDEX, parse_fragment(number), MODEL, 10, within=10.0, best=best(number)) == []


def test_where_nothing_parts_the_groups_nothing_can_be_left_out_between_them() -> None:
    assert with_runs(parse_fragment("A500SW2U3")) is None
    assert str(with_runs(parse_fragment("OSV4 * A500 U3"))) == "OSV4*A500*U3"
