"""The worked examples of the paper book against python-stdnum and against the figures themselves."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_97_10

from service.marks.worked_check import LETTER_VALUES, Division, worked_key, worked_number
from service.numbering.key import ALPHABET, Key

BODIES = st.from_regex(
    r"[A-Z]{3}[1-9]-[A-Z]{2}[1-9]-[ACEFHJK][1-9][0-9]{0,4}-[A-Z]{2}[1-9][0-9]?-[LMUKX][1-9][0-9]{0,2}", fullmatch=True
)


def follows(steps: tuple[Division, ...], digits: str) -> int:
    """Redo a long division with a pencil's rules; the last rest."""
    brought_down = ""
    rest = ""
    for step in steps:
        assert step.dividend.startswith(rest)
        brought_down += step.dividend[len(rest) :]
        assert len(step.dividend) <= 8, "a pocket calculator takes eight digits"
        assert step.rest == int(step.dividend) % 97
        rest = str(step.rest)
    assert brought_down == digits
    return int(rest)


@pytest.mark.parametrize("body", ["OSV4-FC1-A500-SW2-U3", "MRG1-LB1-A12-CG1-X1", "OSV4-FC1-AA500-SW12-U123"])
def test_the_worked_number_ends_in_the_check_of_the_reference_library(body: str) -> None:
    check = mod_97_10.calc_check_digits(body.replace("-", ""))
    worked = worked_number(f"{body}-{check}")
    assert worked.check == check
    assert 98 - follows(worked.steps, worked.digits) == int(check)
    assert follows(worked.proof, worked.digits[:-2] + check) == 1


@settings(max_examples=100)
@given(BODIES)
def test_every_number_can_be_worked(body: str) -> None:
    check = mod_97_10.calc_check_digits(body.replace("-", ""))
    worked = worked_number(f"{body}-{check}")
    assert worked.check == check
    assert follows(worked.proof, worked.digits[:-2] + check) == 1
    assert "".join(sign for sign, _ in worked.signs) == body.replace("-", "")


def test_letters_count_as_the_standard_says() -> None:
    # ISO/IEC 7064:2003: A to Z count as 10 to 35 (public table, and python-stdnum).
    assert dict(LETTER_VALUES) == {letter: str(int(letter, 36)) for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}


@pytest.mark.parametrize("key", ["K7M4XRAW", "P3HW9TCP", "R8CN5JF3"])
def test_the_worked_key_adds_up(key: str) -> None:
    worked = worked_key(key)
    assert [row[0] for row in worked.rows] == list(key)
    assert [row[2] for row in worked.rows] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert all(
        ALPHABET[value] == symbol and product == value * weight for symbol, value, weight, product in worked.rows
    )
    assert worked.total == 23 * worked.multiple


def test_every_key_can_be_worked() -> None:
    rng = random.Random(7)
    for _ in range(50):
        worked = worked_key(str(Key.random(rng)))
        assert worked.total == sum(row[3] for row in worked.rows) == 23 * worked.multiple
