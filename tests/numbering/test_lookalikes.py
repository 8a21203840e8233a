"""Look-alikes, leading zeros and missing checks: what is repaired, and what settles it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.number import Number
from service.numbering.outcome import merged
from service.numbering.reading import Repair, read
from service.numbering.tables import DEFAULT_TABLES
from tests.numbering.register import (
    LOOKS_LIKE,
    NUMBER,
    REGISTER,
    SetRegister,
    numbered,
    repairs,
)
from tests.numbering.strategies import numbers


class TestLookAlikes:
    def test_position_tables_and_check_settle_them(self) -> None:
        text = "0SV4 FC1 A5OO 5W2 U3 42"
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.number) == ("repaired", NUMBER)
        assert reading.repairs == repairs((0, "0", "O"), (11, "O", "0"), (12, "O", "0"), (14, "5", "S"))
        assert "'0' read as 'O' at character 1" in reading.note

    def test_small_letters_are_said_as_they_were_given(self) -> None:
        reading = read("0sv4 fc1 a5oo 5w2 u3 42", register=REGISTER)
        assert reading.number == NUMBER
        assert reading.repairs == repairs((0, "0", "O"), (11, "o", "0"), (12, "o", "0"), (14, "5", "S"))

    @pytest.mark.parametrize("text", ["0SV4FC1A5OO5W2U342", "O5V4FCIASOOSW2U34Z", "osv4fclas00swzu342"])
    def test_hyphens_may_be_lost_too(self, text: str) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.number) == ("repaired", NUMBER)

    @given(numbers, st.data(), st.booleans())
    @settings(max_examples=150)
    def test_signs_of_the_other_kind_are_read_back(
        self,
        number: Number,
        data: st.DataObject,
        compact: bool,  # noqa: FBT001 - Hypothesis fills it by name
    ) -> None:
        given_signs, expected = [], []
        text = number.compact if compact else str(number)
        for n, sign in enumerate(text):
            others = [other for other in LOOKS_LIKE.get(sign, []) if other.isalpha() != sign.isalpha()]
            other = data.draw(st.sampled_from([sign, *others]))
            given_signs.append(other)
            if other != sign:
                expected.append(Repair(n, other, sign))
        reading = read("".join(given_signs), register=SetRegister(numbers=[str(number)]))
        assert reading.number == str(number)
        assert reading.repairs == tuple(expected)
        assert reading.outcome == ("repaired" if expected else "exact")

    def test_a_letter_that_fits_its_place_is_settled_by_the_check(self) -> None:
        reading = read("DSV4-FC1-A500-SW2-U3-42", register=REGISTER)
        assert (reading.outcome, reading.number) == ("repaired", NUMBER)
        assert reading.repairs == repairs((0, "D", "O"))

    def test_but_it_is_only_offered_when_another_slip_explains_the_check_too(self) -> None:
        text = "DSV4-FC1-A500-SW2-U3-42"
        near = numbered("DSV4-FC1-A500-SW2-U3")
        reading = read(text, register=SetRegister(numbers=[NUMBER, near]))
        assert (reading.outcome, reading.number) == ("candidates", None)
        assert [candidate.number for candidate in reading.candidates] == [NUMBER, near]

    def test_a_code_is_settled_by_its_table(self) -> None:
        chute = numbered("MRG1-CP1-A12-DC1-X1")
        reading = read(chute.replace("DC1", "OC1"), register=SetRegister(numbers=[chute]))
        assert (reading.outcome, reading.number) == ("repaired", chute)
        assert [(repair.read, repair.as_) for repair in reading.repairs] == [("O", "D")]

    def test_what_was_issued_settles_the_rest(self) -> None:
        # Without its check two plants fit; one of them has such a segment.
        one, other = numbered("OSV4-FC1-A500-SW2-U3"), numbered("QSV4-FC1-A500-SW2-U3")
        text = "0SV4-FC1-A500-SW2-U3"
        assert read(text, register=SetRegister(numbers=[one])).number == one
        assert read(text, register=SetRegister(numbers=[other])).number == other
        both = read(text, register=SetRegister(numbers=[one, other]))
        assert (both.outcome, both.number) == ("candidates", None)
        assert [candidate.number for candidate in both.candidates] == sorted([one, other])

    @pytest.mark.parametrize(("sign", "latin", "at"), [("О", "O", 0), ("Ѕ", "S", 1), ("А", "A", 9), ("а", "A", 9)])
    def test_letters_of_another_alphabet_are_read_as_what_they_look_like(self, sign: str, latin: str, at: int) -> None:
        reading = read(NUMBER[:at] + sign + NUMBER[at + 1 :], register=REGISTER)
        assert (reading.outcome, reading.number) == ("repaired", NUMBER)
        assert reading.repairs == repairs((at, sign, latin))

    def test_leading_zeros_are_dropped_and_said(self) -> None:
        reading = read("OSV04-FC1-A0500-SW02-U03-42", register=REGISTER)
        assert (reading.outcome, reading.number) == ("repaired", NUMBER)
        assert reading.repairs == repairs((3, "0", ""), (11, "0", ""), (18, "0", ""), (22, "0", ""))

    def test_a_zero_of_the_check_is_kept(self) -> None:
        number = next(n for n in (numbered(f"OSV4-FC1-A500-SW2-U{k}") for k in range(1, 999)) if n[-2] == "0")
        register = SetRegister(numbers=[number])
        assert read(number.replace("-", ""), register=register).outcome == "exact"
        assert read(number[:-2] + "O" + number[-1], register=register).number == number

    def test_a_code_the_shop_added_is_read(self) -> None:
        tables = DEFAULT_TABLES.with_code("assembly", "ZT", "heating tube")
        number = numbered("OSV4-FC1-A500-ZT1-X1")
        register = SetRegister(numbers=[number])
        assert read("osv4fc1a500" + number[14:], register=register, tables=tables).number == number
        assert read("osv4fc1a500-2T1-X1" + number[-3:], register=register, tables=tables).number == number
        assert read("osv4fc1a500-2T1-X1" + number[-3:], register=register).number is None


class TestRepairs:
    def test_they_run_from_left_to_right_and_the_last_at_a_sign_counts(self) -> None:
        first, again, put_in, later = repairs((3, "0", "O"), (3, "0", "D"), (3, "", "S"), (5, "1", "I"))
        assert merged(later, first, put_in, again) == (put_in, again, later)

    @pytest.mark.parametrize(
        ("repair", "sentence"),
        [
            (Repair(0, "0", "O"), "'0' read as 'O' at character 1"),
            (Repair(3, "0", ""), "'0' dropped at character 4"),
            (Repair(9, "", "A"), "'A' put in at character 10"),
        ],
    )
    def test_each_is_said_in_words(self, repair: Repair, sentence: str) -> None:
        assert str(repair) == sentence


class TestMissingCheck:
    @pytest.mark.parametrize("text", ["OSV4-FC1-A500-SW2-U3", "osv4fc1a500sw2u3", "OSV4 FC1 A5OO SW2 U3"])
    def test_a_number_without_its_check_is_repaired(self, text: str) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.number) == ("repaired", NUMBER)
        assert "check digits are missing" in reading.note

    def test_a_wrong_check_without_a_hyphen_is_not_taken_for_a_missing_one(self) -> None:
        # U343 without check is on record, but U3-42 with its last digit misread is as likely.
        register = SetRegister(numbers=[NUMBER, numbered("OSV4-FC1-A500-SW2-U343")])
        reading = read("OSV4FC1A500SW2U343", register=register)
        assert (reading.outcome, reading.number) == ("candidates", None)
        assert {candidate.number for candidate in reading.candidates} == register.numbers

    def test_a_blank_in_front_of_the_check_speaks_against_a_missing_one(self) -> None:
        # With the blank it is U3 and its check, never issued; only without it does it name an issued segment.
        longer = numbered("OSV4-FC1-A500-SW2-U342")
        reading = read("OSV4FC1A500SW2U3 42", register=SetRegister(numbers=[longer]))
        assert (reading.outcome, reading.number) == ("candidates", None)
        assert [candidate.number for candidate in reading.candidates] == [longer]
