"""How easily one code is taken for another, and what the gate lets pass."""

from __future__ import annotations

from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.alike import alike
from service.numbering.confusable import THRESHOLD, distance, farther, farther_by_a_letter, first_clear, nearest, rivals
from service.numbering.tables import DEFAULT_TABLES
from service.numbering.weights import CLEAR, NEARNESS, SIGNS, SWAPPED, signs_near, weight_between

CODES = st.text(alphabet=SIGNS, min_size=1, max_size=6)
NEAR_LETTERS = st.sampled_from("MNHBDPTVCZ")


@given(first=CODES, second=CODES)
def test_the_distance_is_the_same_both_ways_and_0_for_equal_codes_alone(first: str, second: str) -> None:
    assert distance(first, second) == distance(second, first)
    assert (distance(first, second) == 0) == (first == second)
    assert distance(first, first) == 0


def test_every_weight_lies_between_equal_and_clear() -> None:
    for one, other in product(SIGNS, repeat=2):
        assert weight_between(one, other) == weight_between(other, one)
        assert (weight_between(one, other) == 0) == (one == other)
        assert weight_between(one, other) <= CLEAR
        assert bool(signs_near(one, other)) == (one != other and weight_between(one, other) < CLEAR)


def test_every_weight_says_where_it_comes_from() -> None:
    assert all(nearness.source and 0 < nearness.weight < CLEAR for nearness in NEARNESS)
    assert all(set(group) <= set(SIGNS) for nearness in NEARNESS for group in nearness.groups)


@pytest.mark.parametrize("signs", ["0ODQ", "1IL", "2Z", "5S", "6G", "8B", "7T", "69", "MW", "MN", "BDPTVECGZ", "FSX",
                                   "AHJK"[:2], "AJK", "A8", "59", "IY", "QU"])  # fmt: skip
def test_signs_that_look_or_sound_alike_are_near(signs: str) -> None:
    assert all(weight_between(one, other) < THRESHOLD for one, other in combinations(signs, 2))


@pytest.mark.parametrize(
    ("pair", "near"), [("AS", True), ("GH", True), ("QW", True), ("AL", False), ("QP", False), ("45", False)]
)
def test_a_wrong_key_of_the_same_row_is_near(pair: str, *, near: bool) -> None:
    assert (weight_between(*pair) < THRESHOLD) is near


def test_keys_above_one_another_count_less_than_keys_side_by_side() -> None:
    assert weight_between("A", "S") < weight_between("A", "W") < CLEAR
    assert weight_between("A", "E") == CLEAR


@given(first=st.text(alphabet=NEAR_LETTERS, min_size=3, max_size=4), data=st.data())
@settings(max_examples=200)
def test_plant_codes_that_are_alike_are_near(first: str, data: st.DataObject) -> None:
    letters = [[c for c in SIGNS[10:] if c == sign or alike(c, sign)] for sign in first]
    second = "".join(data.draw(st.sampled_from(options)) for options in letters)
    assert alike(first, second)
    assert distance(first, second) < THRESHOLD


def test_a_plant_code_that_reads_on_into_its_line_is_near() -> None:
    assert alike("NZDO", "MSB")
    assert distance("NZDO", "MSB") < THRESHOLD
    assert distance("OSVO", "OSV") < THRESHOLD <= distance("OSVA", "OSV")


@pytest.mark.parametrize(
    ("first", "second"),
    [("A500", "C500"), ("A500", "A330"), ("A330", "C500"), ("A12", "A500"), ("A12", "A330"), ("OSV", "MRG")],
)
def test_the_codes_of_the_demonstration_are_clear(first: str, second: str) -> None:
    assert distance(first, second) >= THRESHOLD


def test_one_clearly_different_sign_is_enough() -> None:
    assert SWAPPED < THRESHOLD <= CLEAR
    assert not rivals("A500", ["F500"])


@pytest.mark.parametrize(
    ("code", "living", "words"),
    [
        ("N500", "M500", "N for M, which look alike, sound alike and lie side by side on a keyboard"),
        ("A500", "A900", "5 for 9, which sound alike"),
        ("A600", "A900", "6 for 9, which turn into each other on a turned piece"),
        ("AA500", "A500", "one A more"),
        ("A500", "A5000", "one 0 less"),
        ("OSV", "OVS", "SV for VS, the same in the other order"),
        ("PFV", "BSV", "P for B, which sound alike, and F for S, which sound alike"),
    ],
)
def test_what_tells_two_codes_apart_is_said(code: str, living: str, words: str) -> None:
    (rival,) = rivals(code, [living])
    assert rival.code == living
    assert rival.words == words


@given(first=CODES, second=CODES)
def test_the_differences_that_are_said_make_one_code_of_the_other(first: str, second: str) -> None:
    if first == second:
        assert nearest(first, [second]) == ()
        return
    (found,) = nearest(first, [second])
    gone = sum(len(difference.first) for difference in found.differences)
    come = sum(len(difference.second) for difference in found.differences)
    assert len(first) - gone == len(second) - come
    assert sorted(first + "".join(d.second for d in found.differences)) == sorted(
        second + "".join(d.first for d in found.differences)
    )


def test_rivals_come_nearest_first() -> None:
    found = rivals("N500", ["P500", "A500", "M500", "H500", "N500"])
    assert [(rival.code, rival.near) for rival in found] == [("M500", True), ("H500", True)]


def test_the_first_letter_that_is_clear_is_given() -> None:
    free = [f"{letter}500" for letter in DEFAULT_TABLES.design_letters_in_order()]
    assert first_clear(free, []) == "A500"
    assert first_clear(free[1:], ["A500"]) == "C500"
    # E sounds like C, so it is left out; F is clear of both.
    assert first_clear(free[2:], ["A500", "C500"]) == "F500"


def test_where_none_is_clear_the_farthest_is_given() -> None:
    near = ["N500", "W500", "MM500", "WW500"]
    assert first_clear(near, ["M500"]) == "WW500"
    assert distance("WW500", "M500") == max(distance(code, "M500") for code in near) < THRESHOLD
    assert first_clear([], ["M500"]) is None


def test_choices_that_are_farther_come_farthest_first() -> None:
    assert farther("N500", ["M500", "N500", "NN500", "F500", "WW500", "C500"], ["M500"]) == (
        "F500",
        "C500",
        "NN500",
        "WW500",
    )
    assert farther("C500", ["F500", "A500"], ["M500"]) == ()
    assert farther("M500", ["F500"], ["M500", "F330"]) == ("F500",)


@given(
    code=st.text(alphabet=SIGNS[10:], min_size=3, max_size=4),
    letter=st.sampled_from(SIGNS[10:]),
    at=st.integers(0, 2),
    living=st.lists(st.text(alphabet="ABMNOSV", min_size=3, max_size=4), max_size=6),
)
def test_far_codes_can_be_left_out_when_one_letter_changes(code: str, letter: str, at: int, living: list[str]) -> None:
    choices = [code[:at] + letter + code[at + 1 :]]
    assert farther_by_a_letter(code, choices, living) == farther(code, choices, living)
