"""The tolerant reader: what is exact, repaired, a candidate or unknown."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCharacter, BadNumber, KitwrightError
from service.numbering.alike import SIGN_CLASSES
from service.numbering.number import Number
from service.numbering.outcome import merged
from service.numbering.reading import LONGEST_TEXT, Repair, read
from service.numbering.tables import DEFAULT_TABLES
from tests.numbering.register import PartSetRegister, SetRegister, numbered
from tests.numbering.strategies import numbers

NUMBER = "OSV4-FC1-A500-SW2-U3-42"
NUMBERS = [numbered(f"OSV4-FC1-A500-SW2-{place}") for place in ("U1", "U2", "U3", "U4", "L1", "L2")]
REGISTER = SetRegister(numbers=NUMBERS, keys=["K7M4XRAW", "P3HW9TCP", "R8CN5JF3"])

DASHES = "-‐‑‒–—−﹣－\u00ad"
LOOKS_LIKE = {sign: [other for other in signs if other != sign] for signs in SIGN_CLASSES for sign in signs}


def repairs(*triples: tuple[int, str, str]) -> tuple[Repair, ...]:
    return tuple(Repair(*triple) for triple in triples)


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
        assert reading.outcome in {"candidates", "unknown"}


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
