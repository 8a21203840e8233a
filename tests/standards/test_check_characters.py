"""The check digits against ISO/IEC 7064 as python-stdnum implements it, and against published examples."""

from __future__ import annotations

import random
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_97_10

from service.numbering.check import check_digits, is_valid

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@pytest.mark.parametrize(
    ("payload", "check"),
    [
        ("794", "44"),  # the example of ISO/IEC 7064 as public implementations of the standard quote it
        ("32142829123456987654321611", "82"),  # an IBAN, published in readme files of public implementations
        ("99991234567890121414", "90"),  # python-stdnum, doctest of stdnum.iso7064.mod_97_10
        ("4354111611551114", "31"),  # python-stdnum, doctest of stdnum.iso7064.mod_97_10
    ],
)
def test_published_mod_97_10_examples(payload: str, check: str) -> None:
    assert check_digits(payload) == check
    assert is_valid(payload + check)


def test_an_iban_is_read_with_its_letters_as_10_to_35() -> None:
    # The example IBAN of the United Kingdom's registration, GB82 WEST 1234 5698 7654 32 (from memory): the country
    # and its check stand behind the rest when the remainder is taken.
    assert check_digits("WEST12345698765432GB") == "82"


@given(st.text(LETTERS + "0123456789", min_size=1, max_size=30))
@settings(max_examples=200)
def test_the_check_is_that_of_python_stdnum(payload: str) -> None:
    assert check_digits(payload) == mod_97_10.calc_check_digits(payload)
    assert mod_97_10.is_valid(payload + check_digits(payload))


@pytest.mark.parametrize("body", ["OSV4-FC1-A500-SW2-U3", "MRG12-LB2-CC12-CG1-M17", "OSVA9-CP1-Y330-NG3-K128"])
def test_every_misread_sign_of_its_kind_and_every_swap_of_neighbours_of_a_kind_is_caught(body: str) -> None:
    # The claim of the standard's scope for numeric texts, which holds for letters as two digits once kinds are fixed.
    number = body.replace("-", "") + check_digits(body)
    assert mod_97_10.is_valid(number)
    for n, sign in enumerate(number):
        for other in LETTERS if sign.isalpha() else "0123456789":
            if other != sign:
                assert not is_valid(number[:n] + other + number[n + 1 :])
    for n in range(len(number) - 1):
        left, right = number[n], number[n + 1]
        if left != right and left.isalpha() == right.isalpha():
            assert not is_valid(number[:n] + right + left + number[n + 2 :])


def test_numbers_at_random_hide_no_misread_sign() -> None:
    chance = random.Random(97)
    for _ in range(60):
        body = "".join(
            (
                *(chance.choices(LETTERS, k=3)),
                str(chance.randint(1, 99)),
                *(chance.choices(LETTERS, k=2)),
                str(chance.randint(1, 99)),
                chance.choice(LETTERS),
                str(chance.randint(1, 999_999)),
                *(chance.choices(LETTERS, k=2)),
                str(chance.randint(1, 99)),
                chance.choice(LETTERS),
                str(chance.randint(1, 999)),
            )
        )
        number = body + mod_97_10.calc_check_digits(body)
        assert is_valid(number)
        n = chance.randrange(len(number))
        kind = LETTERS if number[n].isalpha() else "0123456789"
        for other in set(kind) - {number[n]}:
            assert not is_valid(number[:n] + other + number[n + 1 :])


@pytest.mark.parametrize("kit", ["OSV4-FC1-A500", "OSV4-FC1-A330", "OSV2-FL1-C500", "MRG1-LB1-A12"])
def test_every_slip_in_the_numbers_of_a_kit_is_judged_as_python_stdnum_judges_it(kit: str) -> None:
    """Every single sign for every other, of either kind, and every swap of two neighbours."""
    for assembly, deck, ordinal in product(("SW1", "SW2", "TS1", "CG1"), "LMU", (1, 2, 3, 12)):
        body = f"{kit}-{assembly}-{deck}{ordinal}"
        number = body.replace("-", "") + check_digits(body)
        for n, sign in enumerate(number):
            for other in LETTERS + "0123456789":
                wrong = number[:n] + other + number[n + 1 :]
                # 00, 01 and 99 leave the remainders of 97, 98 and 02 and are never given out.
                given_out = wrong[-2:].isdecimal() and 2 <= int(wrong[-2:]) <= 98
                assert is_valid(wrong) == (given_out and mod_97_10.is_valid(wrong))
                if other != sign and other.isalpha() == sign.isalpha():
                    assert not mod_97_10.is_valid(wrong)
            if n and number[n - 1].isalpha() == sign.isalpha() and number[n - 1] != sign:
                swapped = number[: n - 1] + sign + number[n - 1] + number[n + 1 :]
                assert not is_valid(swapped)
                assert not mod_97_10.is_valid(swapped)
