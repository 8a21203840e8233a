"""Links, scanner identifiers and messages around a mark."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import quote

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCharacter
from service.numbering.key import Key
from service.numbering.number import Number
from service.numbering.reading import read
from tests.numbering.register import SetRegister, numbered
from tests.numbering.strategies import keys, numbers

NUMBER = "OSV4-FC1-A500-SW2-U3-42"
KEY = "K7M4XRAW"
REGISTER = SetRegister(numbers=[NUMBER], keys=[KEY, "P3HW9TCP"])

RS, GS, EOT = "\x1e", "\x1d", "\x04"


@pytest.mark.parametrize(
    "link",
    [
        "https://kw.example/S/K7M4XRAW",
        "HTTPS://KW.EXAMPLE/S/K7M4XRAW",
        "http://127.0.0.1:8000/s/k7m4xraw",
        "https://kw.example/S/K7M4XRAW/",
        "https://kw.example/S/K7M4XRAW//",
        "https://kw.example/S/K7M4-XRAW?utm=a&b=c#top",
        "https://kw.example/S/K7M4%2DXRAW",
        "https://kw.example/S/%4B7M4XRAW",
        "https://kw.example/S/K7M4%E2%80%93XRAW",
        "https://kw.example/S/K7M4%20XRAW",
        "kw.example/S/K7M4XRAW",
        "//kw.example/S/K7M4XRAW",
        "/S/K7M4XRAW",
        "S/K7M4XRAW",
        "https://another.example/deep/er/K7M4XRAW",
        "https://user@kw.example:8443/S/K7M4XRAW",
        "https://kw.example/S/K7M4XRAW/plan",
        "https://kw.example/#/S/K7M4XRAW",
        "https://kw.example/read?mark=K7M4XRAW",
        "https://kw.example/read?mark=K7M4XRAW&from=desk",
        "https://filter.example/?url=https%3A%2F%2Fkw.example%2FS%2FK7M4XRAW&data=05",
        "  https://kw.example/S/K7M4XRAW\r\n",
    ],
)
def test_a_link_gives_its_key(link: str) -> None:
    reading = read(link, register=REGISTER)
    assert (reading.outcome, reading.key, reading.number, reading.source) == ("exact", KEY, None, "link")
    assert reading.repairs == ()


@pytest.mark.parametrize(
    "link",
    [
        f"https://kw.example/api/segments/{NUMBER}",
        f"https://kw.example/segments/{NUMBER.lower()}/",
        f"https://kw.example/segments/{NUMBER.replace('-', '%2d')}",
        f"https://kw.example/read?mark={NUMBER.replace('-', '+')}",
        f"https://kw.example/api/segments/{NUMBER}/nameplate.pdf",
    ],
)
def test_a_link_gives_its_number(link: str) -> None:
    reading = read(link, register=REGISTER)
    assert (reading.outcome, reading.number, reading.source) == ("exact", NUMBER, "link")


@given(st.one_of(numbers.map(str), keys.map(str)), st.sampled_from(["", "/", "?a=b", "/#x"]), st.booleans())
@settings(max_examples=100)
def test_any_mark_survives_any_link(mark: str, tail: str, escaped: bool) -> None:  # noqa: FBT001 - Hypothesis fills it by name
    shown = "".join(f"%{ord(sign):02X}" for sign in mark) if escaped else quote(mark)
    register = SetRegister(numbers=[mark], keys=[mark])
    reading = read(f"https://kw.example/S/{shown}{tail}", register=register)
    assert (reading.outcome, reading.number or reading.key) == ("exact", mark)


def test_repairs_in_a_link_stand_where_the_sign_stands_in_the_text() -> None:
    link = "https://kw.example/segments/0SV4%2DFC1-A500-SW2-U3-42"
    reading = read(link, register=REGISTER)
    assert reading.outcome == "repaired"
    assert [(repair.position, repair.read, repair.as_) for repair in reading.repairs] == [(28, "0", "O")]
    assert link[28] == "0"


def test_a_bad_character_in_a_link_is_pointed_at_in_the_text_as_given() -> None:
    link = "https://kw.example/S/K7M4€XRAW?x=1"
    with pytest.raises(BadCharacter) as refusal:
        read(link, register=REGISTER)
    assert link[refusal.value.position] == "€"
    assert refusal.value.value == link


def test_a_bad_character_behind_an_escape_is_pointed_at_where_the_escape_begins() -> None:
    link = "https://kw.example/S/K7M4%E2%82%ACXRAW"
    with pytest.raises(BadCharacter) as refusal:
        read(link, register=REGISTER)
    assert refusal.value.position == link.index("%E2")


@pytest.mark.parametrize("link", ["https://kw.example/S/", "https://kw.example/S/hello", "/", "a/b/c", "%41%42"])
def test_a_link_without_a_mark_is_unknown(link: str) -> None:
    assert read(link, register=REGISTER).outcome == "unknown"


def test_a_bad_character_elsewhere_in_a_link_is_nobodys_business() -> None:
    assert read("https://kw.example/S/hello?greeting=Grüße aus dem Werk", register=REGISTER).outcome == "unknown"
    assert read("https://kw.example/S/K7M4XRAW?greeting=Grüße aus dem Werk", register=REGISTER).outcome == "exact"


def test_slashes_may_stand_for_hyphens() -> None:
    assert read(NUMBER.replace("-", "/"), register=REGISTER).number == NUMBER


@pytest.mark.parametrize("identifier", ["]d1", "]d2", "]Q1", "]Q3", "]C0", "]C1", "]A0", "]X0"])
@pytest.mark.parametrize("mark", [NUMBER, KEY, "K7M4-XRAW", "https://kw.example/S/K7M4XRAW"])
def test_a_symbology_identifier_is_taken_off(identifier: str, mark: str) -> None:
    # ISO/IEC 15424: ']', the code character, a modifier.
    reading = read(identifier + mark, register=REGISTER)
    assert reading.outcome == "exact"
    assert (reading.number or reading.key) in (NUMBER, KEY)


SHOWN = {
    "as sent": (RS, GS, EOT),
    "swallowed": ("", "", ""),
    "as pictures": ("␞", "␝", "␄"),
    "with a caret": ("^^", "^]", "^D"),
    "spelled": ("<RS>", "<GS>", "<EOT>"),
    "in braces": ("{RS}", "{GS}", "{EOT}"),
    "escaped": (r"\x1e", r"\x1d", r"\x04"),
    "as unicode escapes": (r"\u001e", r"\u001d", r"\u0004"),
    "half swallowed": ("", GS, ""),
    "as blanks": (" ", " ", ""),
}


def message(*fields: str, shown: str = "as sent") -> str:
    """Format 06 of ISO/IEC 15434: header, format, fields of data identifiers, trailers."""
    rs, gs, eot = SHOWN[shown]
    return f"[)>{rs}06{gs}{gs.join(fields)}{rs}{eot}"


@pytest.mark.parametrize("shown", SHOWN)
@pytest.mark.parametrize("number", [NUMBER, NUMBER.replace("-", "")])
@pytest.mark.parametrize(
    ("before", "behind"), [((), ("2PB", "Q1")), (("Q1",), ()), ((), ()), (("2P-",), ("4LDE",)), (("17V0CVA5",), ())]
)
def test_a_message_gives_its_number_and_its_key(
    shown: str, number: str, before: tuple[str, ...], behind: tuple[str, ...]
) -> None:
    text = message(*before, f"1P{number}", f"S{KEY}", *behind, shown=shown)
    reading = read(text, register=REGISTER)
    assert (reading.outcome, reading.number, reading.key) == ("exact", NUMBER, KEY)
    assert reading.source == "message"


@pytest.mark.parametrize("shown", SHOWN)
def test_the_order_of_the_fields_does_not_matter(shown: str) -> None:
    text = message(f"S{KEY}", f"1P{NUMBER}", shown=shown)
    reading = read(text, register=REGISTER)
    assert (reading.outcome, reading.number, reading.key) == ("exact", NUMBER, KEY)


@pytest.mark.parametrize("shown", SHOWN)
def test_a_message_may_hold_one_of_them_only(shown: str) -> None:
    assert read(message(f"1P{NUMBER}", "Q1", shown=shown), register=REGISTER).number == NUMBER
    assert read(message(f"S{KEY}", "Q1", shown=shown), register=REGISTER).key == KEY


@given(numbers, keys, st.sampled_from(sorted(SHOWN)), st.booleans())
@settings(max_examples=150)
def test_every_message_is_read(number: Number, key: Key, shown: str, hyphens: bool) -> None:  # noqa: FBT001 - Hypothesis fills it by name
    text = message(f"1P{number if hyphens else number.compact}", f"S{key}", shown=shown)
    reading = read(text, register=SetRegister(numbers=[str(number)], keys=[str(key)]))
    assert (reading.outcome, reading.number, reading.key) == ("exact", str(number), str(key))


@pytest.mark.parametrize("case", [str.upper, str.lower, str.swapcase])
def test_letter_case_of_a_message_does_not_matter(case: Callable[[str], str]) -> None:
    reading = read(case(message(f"1P{NUMBER}", f"S{KEY}", shown="swallowed")), register=REGISTER)
    assert (reading.number, reading.key) == (NUMBER, KEY)


@pytest.mark.parametrize("shown", SHOWN)
def test_a_message_of_which_one_half_was_never_issued_is_only_offered(shown: str) -> None:
    text = message(f"1P{NUMBER}", "SR8CN5JF3", shown=shown)
    reading = read(text, register=REGISTER)
    assert (reading.outcome, reading.number, reading.key) == ("candidates", None, None)
    assert [candidate.number for candidate in reading.candidates] == [NUMBER]
    assert "the key of the message is wrong" in reading.candidates[0].assumed[0]


def test_a_message_without_its_header_is_read_by_its_separators() -> None:
    assert read(f"06{GS}1P{NUMBER}{GS}S{KEY}{RS}{EOT}", register=REGISTER).key == KEY


@pytest.mark.parametrize(("text", "number", "key"), [(f"1P{NUMBER}", NUMBER, None), (f"S{KEY}", None, KEY)])
def test_a_lone_data_identifier_is_taken_off(text: str, number: str | None, key: str | None) -> None:
    # ISO/IEC 15418: 1P is an item number given by the supplier, S a serial number.
    reading = read(text, register=REGISTER)
    assert (reading.outcome, reading.number, reading.key) == ("exact", number, key)


def test_a_message_that_holds_something_else_is_unknown() -> None:
    assert read(message("17V0CVA5", "1P1234", "S786950"), register=REGISTER).outcome == "unknown"


def test_a_number_never_issued_in_a_message_is_read_out() -> None:
    reading = read(message(f"1P{numbered('OSV4-FC1-A500-SW2-U9')}"), register=REGISTER)
    assert (reading.outcome, reading.source) == ("unknown", "message")
    assert ("assembly", "SW2 star wheel 2") in reading.groups
