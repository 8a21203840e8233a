"""The tolerant reader: what is exact, what is unknown, and what is refused."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCharacter, BadNumber, KitwrightError
from service.numbering.number import Number
from service.numbering.reading import LONGEST_TEXT, read
from tests.numbering.register import (
    KEYS,
    NUMBER,
    NUMBERS,
    REGISTER,
    SetRegister,
    numbered,
)
from tests.numbering.strategies import numbers

DASHES = "-‐‑‒–—−﹣－\u00ad"


class TestExact:
    def test_a_printed_number_asks_the_records_once(self) -> None:
        register = SetRegister(numbers=NUMBERS)
        reading = read(NUMBER, register=register)
        assert (reading.outcome, reading.number, reading.key) == ("exact", NUMBER, None)
        assert (reading.repairs, reading.candidates, reading.source) == ((), (), "number")
        assert register.asked == [1]

    @pytest.mark.parametrize(
        "text",
        [
            NUMBER.lower(),
            NUMBER.replace("-", ""),
            NUMBER.replace("-", " "),
            NUMBER.replace("-", " - "),
            f"\t{NUMBER}\r\n",
            "OSV 4 FC 1 A 500 SW 2 U 3 42",
            "OSV4 FC1A 500S W2U3 42",
            "ＯＳＶ４－ＦＣ１－Ａ５００－ＳＷ２－Ｕ３－４２",
            "\ufeffOSV4\u200b-FC1-A500-SW2-U3-42",
        ],
    )
    def test_case_blanks_and_hyphens_are_no_repairs(self, text: str) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.number, reading.repairs) == ("exact", NUMBER, ())

    @given(numbers, st.lists(st.sampled_from([*DASHES, " ", "", "\u00a0"]), min_size=5, max_size=5), st.booleans())
    @settings(max_examples=150)
    def test_a_number_reads_the_same_with_any_dash_blank_or_nothing(
        self,
        number: Number,
        gaps: list[str],
        lower: bool,  # noqa: FBT001 - Hypothesis fills it by name
    ) -> None:
        groups = str(number).split("-")
        text = groups[0] + "".join(gap + group for gap, group in zip(gaps, groups[1:], strict=True))
        reading = read(text.lower() if lower else text, register=SetRegister(numbers=[str(number)]))
        assert (reading.outcome, reading.number, reading.repairs) == ("exact", str(number), ())

    def test_without_hyphens_the_text_may_be_the_part_before_the_check_of_another(self) -> None:
        longer = numbered("OSV4-FC1-A500-SW2-U342")
        register = SetRegister(numbers=[NUMBER, longer])
        for text in ("OSV4FC1A500SW2U342", "OSV4-FC1-A500-SW2-U342"):
            reading = read(text, register=register)
            assert (reading.outcome, reading.number) == ("candidates", None)
            assert {candidate.number for candidate in reading.candidates} == {NUMBER, longer}
        for text in (NUMBER, NUMBER.replace("-", " "), "OSV4FC1A500SW2U3-42"):
            assert read(text, register=register).number == NUMBER
        assert read("OSV4FC1A500SW2U342", register=SetRegister(numbers=[NUMBER])).outcome == "exact"


class TestUnknown:
    def test_a_number_never_issued_is_read_out(self) -> None:
        text = numbered("OSV4-FC1-A500-SW2-U9")
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.number, reading.candidates) == ("unknown", None, ())
        assert reading.groups == (
            ("line", "OSV4 plant OSV, line 4"),
            ("machine", "FC1 filler-capper 1"),
            ("container", "A500 design A, nominal content 500"),
            ("assembly", "SW2 star wheel 2"),
            ("place", "U9 upper deck, segment 9"),
            ("check", text[-2:]),
        )
        assert "never issued" in reading.note

    def test_without_hyphens_too_its_last_two_digits_are_read_as_the_check(self) -> None:
        reading = read(numbered("OSV4-FC1-A500-SW2-U9").replace("-", ""), register=REGISTER)
        assert [text for name, text in reading.groups if name == "place"] == ["U9 upper deck, segment 9"]

    def test_no_slip_is_sought_in_a_number_whose_check_fits(self) -> None:
        # One digit dropped from the issued number happens to leave a number whose check fits as well.
        issued, text = next(
            (issued, dropped)
            for nominal in range(100, 1000)
            for ordinal in range(10, 100)
            if (dropped := numbered(f"OSV4-FC1-A{nominal}-SW2-U{ordinal // 10}"))[-2:]
            == (issued := numbered(f"OSV4-FC1-A{nominal}-SW2-U{ordinal}"))[-2:]
        )
        assert read(text, register=SetRegister(numbers=[issued])).outcome == "unknown"

    def test_a_number_on_no_deck_says_so(self) -> None:
        reading = read(numbered("MRG1-FL1-A12-TS1-X1"), register=REGISTER)
        assert ("place", "X1 no deck, segment 1") in reading.groups

    @pytest.mark.parametrize(
        ("text", "names"),
        [
            ("SW2-U3", ["assembly", "place"]),
            ("sw2 u3 42", ["assembly", "place"]),
            ("A500-SW2-U3", ["container", "assembly", "place"]),
            ("OSV4-FC1-A500", ["line", "machine", "container"]),
            ("osv4fc1", ["line", "machine"]),
            ("A500", ["container"]),
        ],
    )
    def test_a_part_of_a_number_is_read_out(self, text: str, names: list[str]) -> None:
        reading = read(text, register=REGISTER)
        assert reading.outcome == "unknown"
        assert [name for name, _ in reading.groups] == names
        assert "a part of a number" in reading.note

    @pytest.mark.parametrize("text", ["hello", "12345", "---", "A", "0" * 40, "SW2-FC1", "U3-SW2", "BRAVO 5"])
    def test_anything_else_is_neither(self, text: str) -> None:
        reading = read(text, register=REGISTER)
        assert (reading.outcome, reading.groups, reading.candidates) == ("unknown", (), ())
        assert reading.note


class TestBadInput:
    @pytest.mark.parametrize(
        ("text", "position"),
        [
            ("OSV4-FC1-A500-SW2-U3€-42", 20),
            ("€", 0),
            ("K7M4€RAW", 4),
            ("  OSV4_FC1", 6),
            ("OSV4-FC1-Ä500-SW2-U3-42", 9),
            ("OSV4-FC1-A500-SW2-U٣-42", 19),
            ("]d1OSV4-FC1-A500-SW2-U3-4é", 25),
            ("OSV4-FC1-A500-SW2-U3-4\ud800", 22),
        ],
    )
    def test_a_bad_character_is_pointed_at_in_the_text_as_given(self, text: str, position: int) -> None:
        with pytest.raises(BadCharacter) as refusal:
            read(text, register=REGISTER)
        assert refusal.value.position == position
        assert refusal.value.field == "mark"

    @pytest.mark.parametrize("text", ["", "   ", "\r\n\t"])
    def test_an_empty_text_is_refused(self, text: str) -> None:
        with pytest.raises(BadNumber):
            read(text, register=REGISTER)

    @pytest.mark.parametrize("text", ["A" * 10_000, "0" * (LONGEST_TEXT + 1), "/" * 10_000, "%41" * 4000])
    def test_a_text_too_long_is_refused_unread(self, text: str) -> None:
        register = SetRegister(numbers=NUMBERS)
        with pytest.raises(BadNumber):
            read(text, register=register)
        assert register.asked == []

    @pytest.mark.parametrize(
        "text",
        [
            "0" * 18,
            "1" * 22,
            "18" * 12,
            "0ODQ" * 5,
            "1IL" * 8,
            "T7" * 11,
            "75" * 12,
            "0123456789ABCDEF" * 2,
            "0Q5" + "1" * 17,
            "ODQ0" + "1B1" * 6,
            ("/" + "0" * 15) * 30,
            "[)>06" + "1PAAA1FC1A500SW2U3" * 28,
            "%2F" * 170,
            "S" * LONGEST_TEXT,
            "?" * LONGEST_TEXT,
            "https://a/?" + "b=K7M4XRAX&" * 40,
            "1P" * 256,
        ],
    )
    def test_hostile_texts_ask_the_records_little(self, text: str) -> None:
        register = SetRegister(numbers=NUMBERS, keys=["K7M4XRAW"])
        with suppress(BadCharacter):
            read(text, register=register)
        assert len(register.asked) <= 5
        assert all(asked <= 1000 for asked in register.asked)

    @given(st.text(st.sampled_from("0O1IL2Z5S8B7TAFCWUX4- ß/%]^[)>\x1dP"), max_size=40))
    @settings(max_examples=200)
    def test_any_text_gives_a_reading_or_an_error_of_ours(self, text: str) -> None:
        position, reading = 0, None
        try:
            reading = read(text, register=REGISTER)
        except BadCharacter as refusal:
            position = refusal.position
        except KitwrightError:
            position = 0
        if reading is None:
            assert 0 <= position <= len(text)
            return
        assert (reading.number or reading.key) is not None or reading.outcome in {"candidates", "unknown"}
        assert reading.note

    @given(st.text(max_size=60))
    @settings(max_examples=200)
    def test_any_text_at_all_gives_a_reading_or_an_error_of_ours(self, text: str) -> None:
        try:
            reading = read(text, register=REGISTER)
        except KitwrightError:
            return
        # Constants of the tested code are among the drawn texts, keys of its examples for one.
        assert reading.outcome in {"candidates", "unknown"} or text in NUMBERS or text in KEYS
