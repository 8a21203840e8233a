"""What is left of a number, from a text as a person gives it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import BadCharacter, BadInput, BadNumber
from service.numbering.fragment import LONGEST_FRAGMENT, parse_fragment
from tests.numbering.strategies import numbers


@pytest.mark.parametrize(
    ("text", "signs"),
    [
        ("??V4-FC1-A5??-SW", "??V4-FC1-A5??-SW"),
        ("A5 something SW", "A5*SW"),
        ("a5, SOMETHING, sw".replace(",", ""), "A5*SW"),
        ("A5 unreadable-SW", "A5*-SW"),
        ("…W2-U3-42", "*W2-U3-42"),
        ("...W2-U3", "*W2-U3"),
        ("SW2 * 42", "SW2*42"),
        ("SW2**42", "SW2*42"),
        ("OSV4FC1A5", "OSV4FC1A5"),
        ("osv4 fc1  a500", "OSV4-FC1-A500"),
        ("OSV4 – FC1 — A500", "OSV4-FC1-A500"),
        ("O S V 4 F C 1", "OSV4FC1"),
        ("SW2 dash U3", "SW2-U3"),
        ("SW2_U3", "SW2?U3"),
        ("  42 ", "42"),
        ("\u041e\u0405V4", "OSV4"),  # letters of another alphabet that look the same
    ],
)
def test_what_people_write_for_what_they_cannot_read(text: str, signs: str) -> None:
    assert parse_fragment(text).signs == signs


def test_each_sign_knows_where_it_stood() -> None:
    fragment = parse_fragment("a5 something SW")
    assert [fragment.text[at] for at in fragment.at] == ["a", "5", "s", "S", "W"]
    assert (fragment.read, fragment.known, fragment.unknown, fragment.has_hyphens) == ("A5*SW", 4, 0, False)


@pytest.mark.parametrize("text", ["", "   ", "???", "*", "something", "- ? -", "…"])
def test_nothing_known_is_refused(text: str) -> None:
    with pytest.raises(BadNumber) as refused:
        parse_fragment(text)
    assert refused.value.field == "mark"


def test_a_sign_that_no_number_holds_is_pointed_at() -> None:
    with pytest.raises(BadCharacter) as refused:
        parse_fragment("SW2-Ü3")
    assert refused.value.place == "character 5"


def test_too_much_for_one_number_is_refused() -> None:
    assert len(parse_fragment("A" * LONGEST_FRAGMENT).signs) == LONGEST_FRAGMENT
    with pytest.raises(BadNumber) as refused:
        parse_fragment("A" * (LONGEST_FRAGMENT + 1))
    assert refused.value.place == f"character {LONGEST_FRAGMENT + 1}"


@given(numbers)
def test_a_whole_number_is_read_as_it_stands(number: object) -> None:
    assert parse_fragment(str(number)).signs == str(number)
    assert parse_fragment(str(number).lower().replace("-", " ")).signs == str(number)


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        fragment = parse_fragment(text)
    except BadInput:
        return
    assert fragment.known > 0
    assert len(fragment.at) == len(fragment.signs)
    assert set(fragment.signs) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789?*-")
