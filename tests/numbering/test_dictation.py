"""Marks as they are spoken."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.numbering.dictation import dictated
from service.numbering.spoken_words import LETTERS


@pytest.mark.parametrize(
    ("said", "signs"),
    [
        ("oscar sierra victor four", "OSV4"),
        ("Oscar Sierra Victor four dash foxtrot charlie one", "OSV4-FC1"),
        ("double u", "W"),
        ("S double you two", "SW2"),
        ("alpha five hundred", "A500"),
        ("A five oh oh", "A5OO"),
        ("A five double zero", "A500"),
        ("U three, forty-two", "U342"),
        ("x-ray yankee", "XY"),
        ("A5, something, SW", "A5*SW"),
        ("Otto Siegfried Viktor vier", "OSV4"),
        ("Berta zweiundvierzig", "B42"),
        ("Anton fünfhundert", "A500"),
        ("Anton fünfhundertzwölf", "A512"),
        ("dreiunddreißig", "33"),
        ("Stanisław Wacław czterdzieści dwa", "SW42"),
        ("adam pięćset", "A500"),
        ("zwo Bindestrich neun", "2-9"),
        ("kilo question mark mike", "K?M"),
        ("three hundred and thirty", "330"),
        ("niner fife", "95"),
    ],
)
def test_what_is_said_is_understood(said: str, signs: str) -> None:
    assert dictated(said)[0].text == signs


def test_fifty_may_be_fifteen() -> None:
    first, other = dictated("A fifty")
    assert (first.text, first.cost, first.assumed) == ("A50", 0.0, ())
    assert (other.text, other.assumed) == ("A15", ("15 heard as 50",))
    assert other.cost > 0
    assert [way.text for way in dictated("thirteen")] == ["13", "30"]


@pytest.mark.parametrize("mark", ["OSV4-FC1-A500-SW2-U3-42", "A5??-SW", "K7M4-XRAW", "EE BE", "", "?", "0SV4 FC1 A5OO"])
def test_what_is_no_word_stays_as_it_is(mark: str) -> None:
    (only,) = dictated(mark)
    assert (only.text, only.cost) == (mark, 0.0)


@given(st.lists(st.sampled_from(sorted(LETTERS)), min_size=1, max_size=12))
def test_letters_come_out_one_by_one(words: list[str]) -> None:
    said = dictated(" ".join(("kilo", *words)))
    assert said[0].text == "K" + "".join(LETTERS[word] for word in words)


@given(st.text(max_size=40))
def test_nothing_breaks_it(said: str) -> None:
    ways = dictated(said)
    assert 1 <= len(ways) <= 4
    assert ways[0].cost == 0
