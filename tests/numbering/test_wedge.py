"""Scanners that act as a keyboard, on hosts that take them for another one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCharacter
from service.numbering.cleaning import Traced
from service.numbering.key import Key
from service.numbering.number import Number
from service.numbering.outcome import Repair
from service.numbering.reading import read
from service.numbering.wedge import retyped
from tests.numbering.keyboards import LAYOUTS, as_host_shows
from tests.numbering.register import SetRegister, numbered
from tests.numbering.strategies import keys, numbers

NUMBER = "OSV4-FC1-A500-SW2-U3-42"
YARD = numbered("OSY7-LB1-W330-CG1-M6")
REGISTER = SetRegister(numbers=[NUMBER, YARD], keys=["K7M4XRAW", "P3HW9TCP"])

layouts = st.sampled_from(sorted(LAYOUTS))


@given(st.text("".join(map(chr, range(33, 126))), min_size=1, max_size=30), layouts)
@settings(max_examples=200)
def test_a_layout_is_undone_sign_by_sign(sent: str, layout: str) -> None:
    shown = as_host_shows(sent, layout=layout)
    undone = [traced for traced in retyped(Traced.of(shown)) if traced.retyped == layout]
    if shown == sent:
        assert not undone or undone[0].text != shown
    else:
        assert [traced.text for traced in undone] == [sent]
        assert undone[0].at == tuple(range(len(shown)))


@pytest.mark.parametrize("layout", sorted(LAYOUTS))
@pytest.mark.parametrize("mark", [NUMBER, YARD, NUMBER.lower()])
def test_a_number_is_read_and_the_layout_said(layout: str, mark: str) -> None:
    reading = read(as_host_shows(mark, layout=layout), register=REGISTER)
    assert (reading.outcome, reading.number, reading.source) == ("repaired", mark.upper(), "number")
    assert f"on a {layout} keyboard layout" in reading.note
    assert all(repair.read != repair.as_ for repair in reading.repairs)


def test_the_signs_that_changed_are_said_by_position() -> None:
    reading = read("OSZ7ßLB1ßW330ßCG1ßM6ß" + YARD[-2:], register=REGISTER)
    assert reading.repairs[:2] == (Repair(2, "Z", "Y"), Repair(4, "ß", "-"))
    assert {repair.as_ for repair in reading.repairs[1:]} == {"-"}


@given(numbers, layouts)
@settings(max_examples=100)
def test_every_number_survives_a_foreign_keyboard(number: Number, layout: str) -> None:
    reading = read(as_host_shows(str(number), layout=layout), register=SetRegister(numbers=[str(number)]))
    assert reading.number == str(number)
    assert reading.outcome == "repaired"


@given(keys, layouts)
@settings(max_examples=100)
def test_every_key_survives_a_foreign_keyboard(key: Key, layout: str) -> None:
    shown = as_host_shows(str(key), layout=layout)
    reading = read(shown, register=SetRegister(keys=[str(key)]))
    assert reading.key == str(key)
    assert reading.outcome == ("exact" if shown == str(key) else "repaired")


@pytest.mark.parametrize("layout", sorted(LAYOUTS))
@pytest.mark.parametrize("prefix", ["", "]Q1", "]Q3"])
@pytest.mark.parametrize("link", ["HTTPS://KW.EXAMPLE/S/K7M4XRAW", "http://127.0.0.1:8000/s/k7m4xraw/"])
def test_a_link_is_read(layout: str, prefix: str, link: str) -> None:
    reading = read(as_host_shows(prefix + link, layout=layout), register=REGISTER)
    assert (reading.outcome, reading.key, reading.source) == ("repaired", "K7M4XRAW", "link")


@pytest.mark.parametrize("layout", sorted(LAYOUTS))
@pytest.mark.parametrize("gap", ["", "\x1d"])
def test_a_message_is_read(layout: str, gap: str) -> None:
    message = f"]d1[)>{gap}06{gap}1P{NUMBER}{gap}SK7M4XRAW"
    reading = read(as_host_shows(message, layout=layout), register=REGISTER)
    assert (reading.outcome, reading.number, reading.key) == ("repaired", NUMBER, "K7M4XRAW")
    assert reading.source == "message"


def test_an_accent_key_that_waited_for_its_letter_counts_as_two_keys() -> None:
    # '=' is an accent key on a German keyboard; with the O behind it one letter arrives.
    shown = as_host_shows(f"https://kw.example/read?mark={NUMBER}", layout="German").replace("´O", "Ó")
    assert "Ó" in shown
    assert read(shown, register=REGISTER).number == NUMBER


def test_a_message_whose_key_was_never_issued_is_only_offered() -> None:
    register = SetRegister(numbers=[NUMBER])
    reading = read(as_host_shows(f"[)>061P{NUMBER}SK7M4XRAW", layout="German"), register=register)
    assert (reading.outcome, reading.number) == ("candidates", None)
    assert [candidate.number for candidate in reading.candidates] == [NUMBER]


def test_a_number_that_is_well_formed_as_it_stands_is_not_taken_for_a_foreign_one() -> None:
    # Y for Z is what a German keyboard does, but also what a person misreads; the check only says that one is wrong.
    read_off = YARD.replace("Y", "Z")
    reading = read(read_off, register=REGISTER)
    assert (reading.outcome, reading.number) == ("candidates", None)
    assert [candidate.number for candidate in reading.candidates] == [YARD]


def test_a_layout_is_tried_only_when_the_straight_reading_finds_nothing() -> None:
    other = numbered("OSZ7-LB1-W330-CG1-M6")
    register = SetRegister(numbers=[YARD, other])
    assert read(other, register=register).number == other
    assert read(other.lower(), register=register).outcome == "exact"


def test_well_formed_under_a_layout_but_never_issued_is_unknown() -> None:
    reading = read(as_host_shows(numbered("OSV4-FC1-A500-SW2-U9"), layout="German"), register=REGISTER)
    assert reading.outcome == "unknown"
    assert ("place", "U9 upper deck, segment 9") in reading.groups


def test_a_sharp_s_that_no_layout_explains_is_a_bad_character() -> None:
    with pytest.raises(BadCharacter) as refusal:
        read("OSV4-FC1-A500-SW2-ß3-42", register=REGISTER)
    assert refusal.value.position == 18
