"""The check digits of a number."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from service.errors import BadCharacter, BadCheck
from service.numbering.check import check_digits, is_valid
from service.numbering.number import Number
from tests.numbering.strategies import numbers


def test_the_examples_of_the_trade_number() -> None:
    assert check_digits("OSV4-FC1-A500-SW2-U3") == "42"
    assert check_digits("OSV4-FC1-A500-SW2-U4") == "39"


def test_hyphens_are_left_out() -> None:
    assert check_digits("OSV4FC1A500SW2U3") == check_digits("OSV4-FC1-A500-SW2-U3")
    assert is_valid("OSV4FC1A500SW2U342")


@given(numbers)
@settings(max_examples=200)
def test_a_check_is_two_digits_from_02_to_98_and_fits(number: Number) -> None:
    check = check_digits(number.body)
    assert len(check) == 2
    assert 2 <= int(check) <= 98
    assert is_valid(f"{number.body}-{check}")


@given(numbers)
@settings(max_examples=100)
def test_no_other_two_digits_fit(number: Number) -> None:
    fitting = [f"{digits:02d}" for digits in range(100) if is_valid(f"{number.body}{digits:02d}")]
    assert fitting == [number.check]


def test_remainders_that_are_never_given_out_do_not_fit() -> None:
    # 00, 01 and 99 leave the remainders of 97, 98 and 02.
    for given_out, never in (("97", "00"), ("98", "01"), ("02", "99")):
        body = next(f"A{n}" for n in range(1, 1000) if check_digits(f"A{n}") == given_out)
        assert is_valid(body + given_out)
        assert not is_valid(body + never)


def test_a_digit_swapped_with_a_letter_of_twice_that_digit_is_the_swap_that_is_not_caught() -> None:
    # M counts as 22: the digits behind one another are the same. Hyphens in their places tell the two apart.
    assert check_digits("OSV4-FC1-A500-SW12-M3") == check_digits("OSV4-FC1-A500-SW1-M23")
    assert check_digits("OSV4-FC1-A500-SW12-U3") != check_digits("OSV4-FC1-A500-SW1-U23")


def test_leading_zeros_count_as_they_stand() -> None:
    assert check_digits("OSV04") != check_digits("OSV4")


@pytest.mark.parametrize(("text", "position"), [("OSVß4", 3), ("osv4", 0), ("OSV4 FC1", 4), ("OSV4-٣", 5)])
def test_a_character_no_number_holds_is_pointed_at(text: str, position: int) -> None:
    with pytest.raises(BadCharacter) as refusal:
        check_digits(text)
    assert refusal.value.position == position
    assert refusal.value.underlined().splitlines()[1] == " " * position + "^"


@pytest.mark.parametrize("text", ["", "---"])
def test_nothing_has_no_check(text: str) -> None:
    with pytest.raises(BadCheck):
        check_digits(text)


@pytest.mark.parametrize("text", ["1", "01", "A", "98"])
def test_a_check_alone_is_no_checked_text(text: str) -> None:
    assert not is_valid(text)
