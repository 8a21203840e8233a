"""A number or key with one slip: what is offered, and that nothing is picked."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.number import Number
from service.numbering.reading import Repair, read
from tests.numbering.register import (
    LOOKS_LIKE,
    NUMBER,
    NUMBERS,
    REGISTER,
    PartSetRegister,
    SetRegister,
    numbered,
    repairs,
)
from tests.numbering.strategies import numbers


class TestWrongCheck:
    @given(numbers, st.data())
    @settings(max_examples=120)
    def test_any_wrong_sign_offers_the_number_and_picks_none(self, number: Number, data: st.DataObject) -> None:
        text = str(number)
        at = data.draw(st.sampled_from([n for n, sign in enumerate(text) if sign != "-"]))
        kind = "0123456789" if text[at].isdecimal() else "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
        other = data.draw(st.sampled_from([s for s in kind if s != text[at] and s not in LOOKS_LIKE.get(text[at], [])]))
        reading = read(text[:at] + other + text[at + 1 :], register=SetRegister(numbers=[text]))
        if other == "0" and not text[at - 1].isdecimal():
            return  # a zero in front is a zero to drop, so a digit went missing altogether
        assert (reading.outcome, reading.number) == ("candidates", None)
        offered = {candidate.number: candidate for candidate in reading.candidates}
        assert Repair(at, other, text[at]) in offered[text].repairs

    @given(numbers, st.data())
    @settings(max_examples=120)
    def test_swapped_neighbours_are_offered(self, number: Number, data: st.DataObject) -> None:
        text = number.compact
        at = data.draw(st.integers(0, len(text) - 2))
        swapped = text[:at] + text[at + 1] + text[at] + text[at + 2 :]
        if swapped == text or text[at : at + 2] in {"1B", "B1", "2M", "M2", "3X", "X3"}:
            return  # the latter have the values 11 and 1, 22 and 2, 33 and 3: the swap leaves the check as it is
        reading = read(swapped, register=SetRegister(numbers=[str(number)]))
        assert reading.outcome != "exact"
        assert str(number) in {reading.number, *(candidate.number for candidate in reading.candidates)}

    @pytest.mark.parametrize(
        "text",
        [
            "OSV4-FC1-A500-SW2-U33-42",
            "OSV4-FC1-A500-SW22-U3-42",
            "OSV4-FC1-A50-SW2-U3-42",
            "OSV4-FC1-A500-SW2-3-42",
            "OSV4-FC1-A500-W2-U3-42",
            "SV4-FC1-A500-SW2-U3-42",
            "OSV4-FC1-A500-SW2-U3-4",
            "OSV4-FC1-A500-SW2-U3-422",
        ],
    )
    def test_a_sign_dropped_or_doubled_is_offered(self, text: str) -> None:
        reading = read(text, register=SetRegister(numbers=[NUMBER]))
        assert (reading.outcome, reading.number) == ("candidates", None)
        assert [candidate.number for candidate in reading.candidates] == [NUMBER]
        assert reading.candidates[0].assumed == ("a sign was dropped or doubled",)

    def test_the_right_check_is_offered_when_both_digits_are_wrong(self) -> None:
        reading = read("OSV4-FC1-A500-SW2-U3-17", register=REGISTER)
        assert reading.outcome == "candidates"
        assert [candidate.number for candidate in reading.candidates] == [NUMBER]
        assert reading.candidates[0].repairs == repairs((21, "1", "4"), (22, "7", "2"))
        assert reading.candidates[0].assumed == ("both check digits are wrong",)

    def test_candidates_come_likeliest_first(self) -> None:
        # 39 is the check of U4: the text is U4 with a misread ordinal, or U3 with two wrong check digits.
        reading = read("OSV4-FC1-A500-SW2-U3-39", register=REGISTER)
        assert [candidate.number for candidate in reading.candidates] == ["OSV4-FC1-A500-SW2-U4-39", NUMBER]
        assert reading.candidates[0].repairs == repairs((19, "3", "4"))
        assert reading.candidates[0].assumed == ("one sign is wrong",)

    def test_a_look_alike_and_a_slip_may_come_together(self) -> None:
        reading = read("0SV4-FC1-A500-SW2-U3-43", register=REGISTER)
        assert (reading.outcome, reading.number) == ("candidates", None)
        assert reading.candidates[0].number == NUMBER
        assert reading.candidates[0].repairs == repairs((0, "0", "O"), (22, "3", "2"))

    def test_a_slip_alone_is_likelier_than_a_slip_beside_a_look_alike(self) -> None:
        # D may be a zero to drop with an E gone missing, but it is far likelier an E misread.
        number = numbered("OSV4-FC1-EE12-SW2-U3")
        reading = read(number.replace("EE12", "ED12"), register=SetRegister(numbers=[number]))
        assert reading.candidates[0].number == number
        assert reading.candidates[0].repairs == repairs((10, "D", "E"))

    def test_when_nothing_issued_is_near_the_groups_are_read_out(self) -> None:
        reading = read("MRG2-LB1-A330-CG1-L1-11", register=REGISTER)
        assert (reading.outcome, reading.candidates) == ("unknown", ())
        assert "do not fit" in reading.note
        assert reading.groups[-1] == ("check", "11")


class TestKeys:
    @pytest.mark.parametrize("text", ["K7M4XRAW", "K7M4-XRAW", "k7m4 xraw", "K7M4–XRAW", " k 7 m 4 x r a w "])
    def test_an_issued_key_is_exact(self, text: str) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.key, reading.number) == ("exact", "K7M4XRAW", None)
        assert (reading.source, reading.repairs) == ("key", ())

    @pytest.mark.parametrize(
        ("text", "key", "at"),
        [("RBCN-5JF3", "R8CN5JF3", 1), ("R8CN-SJF3", "R8CN5JF3", 5), ("rbcn sjf3", "R8CN5JF3", 1)],
    )
    def test_a_sign_outside_the_alphabet_is_read_as_what_it_looks_like(self, text: str, key: str, at: int) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.key) == ("repaired", key)
        assert reading.repairs[0] == Repair(at, text[at], key[at - text[:at].count("-") - text[:at].count(" ")])

    @pytest.mark.parametrize(
        ("text", "key"),
        [
            ("K7W4XRAW", "K7M4XRAW"),  # M turned
            ("P3HM9TCP", "P3HW9TCP"),  # W turned
            ("P3HW6TCP", "P3HW9TCP"),  # 9 turned
            ("P3HM6TCP", "P3HW9TCP"),  # both turned
            ("K7M4XR4W", "K7M4XRAW"),
            ("KM74XRAW", "K7M4XRAW"),
            ("K7M4XRA", "K7M4XRAW"),
            ("K7M4XRRAW", "K7M4XRAW"),
            ("K7M0XRAW", "K7M4XRAW"),  # a sign that no key holds
            ("K1M4XRAW", "K7M4XRAW"),
        ],
    )
    def test_a_slip_in_a_key_is_offered_and_not_picked(self, text: str, key: str) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.key) == ("candidates", None)
        assert [candidate.key for candidate in reading.candidates] == [key]
        assert reading.candidates[0].repairs

    def test_several_keys_may_be_near(self) -> None:
        # One symbol of a key misread: the check leaves one symbol for each place.
        register = SetRegister(keys=["K7M4XRAW", "P3HW9TCP", "E7M4XRAF"])
        assert {candidate.key for candidate in read("K7M4XRAF", register=register).candidates} >= {"K7M4XRAW"}

    def test_a_key_never_issued_is_unknown(self) -> None:
        reading = read("K7M4-XRAW", register=SetRegister())
        assert (reading.outcome, reading.key, reading.groups) == ("unknown", None, ())
        assert "K7M4-XRAW is a well-formed key" in reading.note


class TestKeyOrPart:
    """``FC2A2482`` is a key; it also reads as machine FC2 and container A2482."""

    KEY = "FC2A2482"
    KIT = numbered("OSV4-FC2-A2482-SW1-U1")

    def test_both_alive_are_candidates(self) -> None:
        register = PartSetRegister(numbers=[self.KIT], keys=[self.KEY])
        reading = read("FC2A-2482", register=register)
        assert (reading.outcome, reading.key, reading.number) == ("candidates", None, None)
        assert [(candidate.key, candidate.part) for candidate in reading.candidates] == [
            (self.KEY, None),
            (None, "FC2-A2482"),
        ]

    def test_the_key_alone_is_exact(self) -> None:
        assert read(self.KEY, register=PartSetRegister(numbers=NUMBERS, keys=[self.KEY])).outcome == "exact"
        assert read(self.KEY, register=SetRegister(numbers=[self.KIT], keys=[self.KEY])).outcome == "exact"

    def test_the_part_alone_is_read_out_as_such(self) -> None:
        reading = read("FC2-A2482", register=PartSetRegister(numbers=[self.KIT]))
        assert (reading.outcome, reading.key) == ("unknown", None)
        assert "FC2-A2482" in reading.note
        assert [name for name, _ in reading.groups] == ["machine", "container"]
