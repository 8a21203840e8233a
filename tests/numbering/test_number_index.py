"""The search among issued numbers: exact against the plain way, on every kind of damage."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from service.errors import BadCheck, BadInput
from service.numbering.alignment import aligned_cost
from service.numbering.error_model import CameBy, ErrorModel, error_model
from service.numbering.fragment import Fragment, parse_fragment
from service.numbering.grid_costs import CHECK_LEFT_OUT, STEP
from service.numbering.number import Number
from service.numbering.number_index import NumberIndex
from tests.numbering.damage import damaged, near_numbers, registers
from tests.numbering.plain_alignment import plain_cost
from tests.numbering.register import numbered
from tests.shop_of_a_million import make_shop

WAYS = [CameBy.EYE, CameBy.EAR, CameBy.KEYBOARD, None]
PLACES = ("SW1-U1", "SW2-U1", "SW2-U2", "SW2-U3", "SW12-L3", "CG1-M1", "NG1-K2", "OR1-X1")
KITS = ("OSV4-FC1-A500", "OSV4-FC1-C500", "OSV7-FL1-A330", "MRG2-LB1-A12")
INDEX = NumberIndex.from_numbers(numbered(f"{kit}-{place}") for kit in KITS for place in PLACES)
TRUE = "OSV4-FC1-A500-SW2-U3-42"


def in_order(numbers: Iterable[str]) -> list[str]:
    """Numbers in natural order."""
    return sorted(numbers, key=Number.parse)


def agreeing(fragment: Fragment, numbers: Iterable[str]) -> list[str]:
    """The numbers that agree with a fragment, by a pattern over the written text, in natural order."""
    as_written = {"?": "[A-Z0-9]", "*": ".*"}
    pattern = re.compile(f".*{'-?'.join(as_written.get(sign, sign) for sign in fragment.signs)}.*")
    return in_order(number for number in numbers if pattern.fullmatch(number))


def ranked(fragment: Fragment, numbers: Iterable[str], model: ErrorModel) -> list[tuple[float, str]]:
    """All numbers with their costs, by the plain way, the cheapest first and equal ones in natural order."""
    costs = [(round(plain_cost(fragment, number, model), 6), Number.parse(number)) for number in numbers]
    return [(cost, str(number)) for cost, number in sorted(costs)]


def fragment_of(text: str) -> Fragment:
    """A fragment; damage that left nothing to read is no example."""
    try:
        return parse_fragment(text)
    except BadInput:
        reject()


@given(st.data(), registers, st.sampled_from(WAYS), st.sampled_from([1, 3, 10]), st.sampled_from([0.0, 6.0, 25.0]))
@settings(max_examples=70, deadline=None)
def test_the_ranking_is_that_of_the_plain_way(
    data: st.DataObject, numbers: list[str], came_by: CameBy | None, limit: int, within: float
) -> None:
    fragment = fragment_of(data.draw(damaged(data.draw(st.sampled_from(numbers)))))
    model = error_model(came_by)
    found = NumberIndex.from_numbers(numbers).search(fragment, model, limit, within=within)
    plain = ranked(fragment, numbers, model)
    expected = [(cost, number) for cost, number in plain if cost <= plain[0][0] + within + STEP / 100][:limit]
    assert [(round(match.cost, 6), match.number) for match in found] == expected


@pytest.mark.parametrize("number", [TRUE, numbered("MRG2-LB1-A12-SW12-L3")])
def test_every_two_neighbours_in_the_other_order(number: str) -> None:
    others = [numbered(f"{kit}-{place}") for kit in KITS for place in PLACES]
    model = error_model(CameBy.EYE)
    for written in (number, number.replace("-", "")):
        for at in range(len(written) - 1):
            pair = written[at : at + 2]
            fragment = parse_fragment(written[:at] + pair[::-1] + written[at + 2 :])
            found = INDEX.search(fragment, model, 3, within=9)
            plain = ranked(fragment, others, model)
            expected = [(cost, one) for cost, one in plain if cost <= plain[0][0] + 9][:3]
            assert [(round(match.cost, 6), match.number) for match in found] == expected


@given(st.data(), registers, st.sampled_from(WAYS))
@settings(max_examples=60, deadline=None)
def test_every_number_is_found_first_from_itself(
    data: st.DataObject, numbers: list[str], came_by: CameBy | None
) -> None:
    number = data.draw(st.sampled_from(numbers))
    written = data.draw(st.sampled_from([number, number.lower(), number.replace("-", " ")]))
    index = NumberIndex.from_numbers(numbers)
    assert number in index
    [best] = index.search(parse_fragment(written), error_model(came_by), 1)
    assert (best.number, best.assumed) == (number, ())


@given(st.data(), registers)
@settings(max_examples=80, deadline=None)
def test_masked_signs_leave_the_true_number_among_the_consistent(data: st.DataObject, numbers: list[str]) -> None:
    number = data.draw(st.sampled_from(numbers))
    signs = [at for at, sign in enumerate(number) if sign != "-"]
    masked = data.draw(st.sets(st.sampled_from(signs), max_size=len(signs) - 1))
    mask = data.draw(st.sampled_from("?*"))
    text = "".join(mask if at in masked else sign for at, sign in enumerate(number))
    fragment = parse_fragment(text)
    consistent = NumberIndex.from_numbers(numbers).consistent(fragment)
    assert number in set(consistent)
    assert list(consistent) == agreeing(fragment, numbers)
    assert consistent.count == len(list(consistent))


@given(st.data(), registers)
@settings(max_examples=80, deadline=None)
def test_the_consistent_are_those_of_a_pattern(data: st.DataObject, numbers: list[str]) -> None:
    fragment = fragment_of(data.draw(damaged(data.draw(st.sampled_from(numbers)))))
    consistent = NumberIndex.from_numbers(numbers).consistent(fragment)
    assert list(consistent) == agreeing(fragment, numbers)
    assert consistent.count == len(agreeing(fragment, numbers))


@given(registers, st.randoms(use_true_random=False))
@settings(max_examples=50, deadline=None)
def test_one_by_one_is_all_at_once(numbers: list[str], chance: random.Random) -> None:
    bulk = NumberIndex.from_numbers(numbers)
    shuffled = chance.sample(numbers, len(numbers))
    single = NumberIndex()
    for number in [*shuffled, *shuffled[:3]]:
        single.add(number)
    assert len(single) == len(bulk) == len(numbers)
    for number in numbers:
        assert number in single
        cut = parse_fragment(number[: len(number) // 2])
        assert list(single.consistent(cut)) == list(bulk.consistent(cut))
        for model in (error_model(CameBy.EYE), error_model(None)):
            found, expected = single.search(cut, model, 8), bulk.search(cut, model, 8)
            assert [(match.number, match.cost) for match in found] == [(match.number, match.cost) for match in expected]


@given(near_numbers, near_numbers)
def test_what_was_not_issued_is_not_in_it(issued: Number, other: Number) -> None:
    index = NumberIndex.from_numbers([str(issued)])
    assert (str(other) in index) == (issued == other)
    assert str(issued)[:-1] not in index
    assert str(issued).replace("-", "") not in index
    assert f"{str(issued)[:-2]}00" not in index


@given(st.data(), near_numbers, st.sampled_from(WAYS))
@settings(max_examples=60, deadline=None)
def test_without_hyphens_it_is_the_alignment_that_keys_and_aliases_use(
    data: st.DataObject, number: Number, came_by: CameBy | None
) -> None:
    text = data.draw(damaged(str(number))).replace("-", "")
    fragment, model = fragment_of(text), error_model(came_by)
    [match] = NumberIndex.from_numbers([str(number)]).search(fragment, model, 1)
    other = aligned_cost(fragment.read, number.compact, model)
    # Each slip is rounded to half a step at most, and a check left out may be cheaper here than a tail broken off.
    rounded = STEP / 2 * (len(fragment.read) + 6)
    assert other - (model.lost_tail - CHECK_LEFT_OUT) - rounded <= match.cost <= other + rounded


@pytest.mark.parametrize(
    ("text", "assumed"),
    [
        (TRUE, ()),
        (TRUE.lower(), ()),
        ("…W2-U3-42", ("head missing",)),
        ("W2-U3-42", ("head missing",)),
        ("OSV4-FC1-A500-SW2-U3", ("check not given",)),
        ("OSV4-FC1-A500-5W2-U3-42", ("S read as 5",)),
        ("OVS4-FC1-A500-SW2-U3-42", ("SV read as VS",)),
        ("OSSV4-FC1-A500-SW2-U3-42", ("S read twice",)),
        ("OSV4-FC1-A00-SW2-U3-42", ("5 missing",)),
        ("OSV4F1CA500SW2U342", ("C1 read as 1C", "hyphens lost")),
        ("OSV4-??1-A500-SW2-U?-42", ("3 symbols unknown",)),
        ("OSV4-FC1-A500-SW2-U3-4?", ("1 symbol unknown",)),
        ("OSV4 something U3 42", ("a gap between",)),
    ],
)
def test_damage_of_every_kind(text: str, assumed: tuple[str, ...]) -> None:
    best = INDEX.search(parse_fragment(text), error_model(CameBy.EYE), 3)[0]
    assert (best.number, best.assumed) == (TRUE, assumed)


@pytest.mark.parametrize(("text", "count"), [("??V4-FC1-A5??-SW", 5), ("A5 something SW", 5), ("OSV4FC1A5", 8)])
def test_what_many_agree_with_offers_them_all_alike(text: str, count: int) -> None:
    fragment = parse_fragment(text)
    assert INDEX.consistent(fragment).count == count
    matches = INDEX.search(fragment, error_model(CameBy.EYE), count + 1)
    assert [match.number for match in matches[:count]] == list(INDEX.consistent(fragment))
    assert len({match.cost for match in matches[:count]}) == 1
    assert "tail missing" in matches[0].assumed


def test_the_check_is_evidence_and_rules_nothing_out() -> None:
    wrong_check = parse_fragment("OSV4-FC1-A500-SW2-U3-48")
    found = INDEX.search(wrong_check, error_model(CameBy.EYE), 3, within=20)
    # 48 is the check of SW2-U1: one misread place explains it as well as one misread check digit.
    assert {match.number for match in found[:2]} == {TRUE, "OSV4-FC1-A500-SW2-U1-48"}
    assert INDEX.consistent(wrong_check).count == 0


def test_the_way_in_decides_what_is_likely() -> None:
    numbers = [numbered("OSV4-FC1-A500-SW1-M1"), numbered("OSV4-FC1-A500-SW1-K1")]
    index = NumberIndex.from_numbers(numbers)
    heard = index.search(parse_fragment("OSV4-FC1-A500-SW1-N1"), error_model(CameBy.EAR), 2, within=20)
    assert heard[0].number == numbers[0]
    assert heard[0].assumed[0] == "M heard as N"


@pytest.mark.parametrize(
    ("number", "error"),
    [
        ("OSV4-FC1-A500-SW2-U3-43", BadCheck),
        ("OSV4-FC1-A500-SW2-U3", BadInput),
        ("OSV4-FC1-A500-SW2-U03-42", BadInput),
        ("osv4-fc1-a500-sw2-u3-42", BadInput),
        ("OSV4-FC1-A500-SW2-U3-4\u00b2", BadInput),
        ("", BadInput),
    ],
)
def test_what_is_no_number_is_refused_and_nothing_taken_in(number: str, error: type[BadInput]) -> None:
    index = NumberIndex()
    with pytest.raises(error):
        index.add_all([TRUE, number])
    assert len(index) == 0
    index.add_all([TRUE])
    with pytest.raises(error):
        index.add(number)
    assert len(index) == 1


def test_without_end_every_number_is_weighed() -> None:
    found = INDEX.search(parse_fragment(TRUE), error_model(CameBy.EYE), 100, within=math.inf)
    assert len({match.number for match in found}) == len(found) == len(INDEX)


def test_an_empty_index_finds_nothing() -> None:
    index = NumberIndex()
    assert index.search(parse_fragment("OSV4"), error_model(CameBy.EYE)) == []
    assert index.consistent(parse_fragment("OSV4")).count == 0
    assert TRUE not in index


def test_threads_search_while_one_adds() -> None:
    numbers = make_shop(4_000, seed=3).numbers
    index = NumberIndex.from_numbers(numbers[:1000])
    model = error_model(CameBy.EYE)

    def look(at: int) -> bool:
        number = numbers[at]
        [best] = index.search(parse_fragment(number), model, 1)
        consistent = index.consistent(parse_fragment(number[:12]))
        return best.number == number and consistent.count == len(list(consistent))

    with ThreadPoolExecutor(4) as pool:
        right = pool.map(look, range(0, 1000, 3))
        for at in range(1000, 4000, 50):
            index.add_all(numbers[at : at + 50])
        assert all(right)
    assert len(index) == 4000
