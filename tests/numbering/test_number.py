"""Numbers and their parts: built, printed, read back, ordered, refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCharacter, BadCheck, BadNumber, KitwrightError, UnknownCode
from service.numbering.number import ContainerCode, KitNumber, LineName, MachineName, Number, Place
from service.numbering.tables import DEFAULT_TABLES
from tests.numbering.strategies import numbers, places

EXAMPLE = Number(KitNumber("OSV", 4, "FC", 1, "A", 500), Place("SW", 2, "U", 3))


def natural(text: str) -> list[tuple[str, int]]:
    """What groups are ordered by, found without the grammar: letters as letters, figures as numbers."""
    return [(letters, int(figures)) for letters, figures in re.findall(r"([A-Z]+)([0-9]+)", text)]


def test_a_number_is_built_from_parts_printed_and_read_back() -> None:
    assert str(EXAMPLE) == "OSV4-FC1-A500-SW2-U3-42"
    assert Number.parse("OSV4-FC1-A500-SW2-U3-42") == EXAMPLE
    assert EXAMPLE.body == "OSV4-FC1-A500-SW2-U3"
    assert EXAMPLE.check == "42"
    assert EXAMPLE.compact == "OSV4FC1A500SW2U342"
    assert str(EXAMPLE.kit) == "OSV4-FC1-A500"
    assert str(EXAMPLE.kit.machine_name) == "OSV4-FC1"
    assert str(EXAMPLE.kit.machine_name.line_name) == "OSV4"
    assert str(EXAMPLE.kit.container) == "A500"
    assert str(EXAMPLE.place) == "SW2-U3"


@given(numbers)
@settings(max_examples=200)
def test_what_is_printed_parses_back(number: Number) -> None:
    assert Number.parse(str(number)) == number
    assert KitNumber.parse(str(number.kit)) == number.kit
    assert Place.parse(str(number.place)) == number.place
    assert MachineName.parse(str(number.kit.machine_name)) == number.kit.machine_name
    assert LineName.parse(str(number.kit.machine_name.line_name)) == number.kit.machine_name.line_name
    assert ContainerCode.parse(str(number.kit.container)) == number.kit.container


@given(st.lists(numbers, min_size=2, max_size=12))
@settings(max_examples=100)
def test_order_is_the_natural_order_of_groups(some: list[Number]) -> None:
    assert [str(number) for number in sorted(some)] == sorted(map(str, some), key=lambda text: natural(text)[:5])


@given(st.lists(places, min_size=2, max_size=12))
@settings(max_examples=50)
def test_places_order_naturally(some: list[Place]) -> None:
    assert [natural(str(place)) for place in sorted(some)] == sorted(natural(str(place)) for place in some)


def test_star_wheel_2_comes_before_star_wheel_12() -> None:
    assert Place.parse("SW2-U3") < Place.parse("SW12-U1")
    assert Place.parse("SW2-U3") < Place.parse("SW2-U12")
    assert LineName.parse("OSV4") < LineName.parse("OSV12")
    assert KitNumber.parse("OSV4-FC1-A330") < KitNumber.parse("OSV4-FC1-A500") < KitNumber.parse("OSV4-FC1-A1500")


def test_numbers_are_values() -> None:
    assert len({EXAMPLE, Number.parse(str(EXAMPLE))}) == 1
    with pytest.raises(AttributeError):
        EXAMPLE.place = Place("SW", 2, "U", 4)  # type: ignore[misc]  # what must not be possible is tried


@pytest.mark.parametrize(
    ("parse", "text", "at"),
    [
        (Number.parse, "OSV4-FC1-A500-SW2-U3", 21),
        (Number.parse, "OSV4-FC1-A500-SW2-U3-4", 22),
        (Number.parse, "OSV4-FC1-A500-SW2-U3-423", 24),
        (Number.parse, "OSV4FC1A500SW2U342", 5),
        (Number.parse, "OSV04-FC1-A500-SW2-U3-42", 4),
        (Number.parse, "OSV4-FC1-A500-SW2-U0-42", 20),
        (Number.parse, "OS4-FC1-A500-SW2-U3-42", 1),
        (Number.parse, "OSV4-FC1-AC500-SW2-U3-42", 10),
        (Number.parse, "OSV4-FC1-A5000000-SW2-U3-42", 17),
        (Number.parse, "OSV4-FC1-A500-SW2-U1000-42", 23),
        (Number.parse, "", 1),
        (LineName.parse, "OSV100", 6),
        (LineName.parse, "OSV4-", 5),
        (MachineName.parse, "OSV4-F1", 6),
        (ContainerCode.parse, "500", 1),
        (Place.parse, "SW2", 4),
        (KitNumber.parse, "OSV4-FC1", 9),
    ],
)
def test_the_error_points_where_the_text_leaves_the_grammar(parse: Callable[[str], Any], text: str, at: int) -> None:
    with pytest.raises(BadNumber) as refusal:
        parse(text)
    assert refusal.value.place == f"character {at}"
    assert refusal.value.value == text


@pytest.mark.parametrize(("text", "position"), [("osv4-FC1-A500", 0), ("OSV4_FC1-A500", 4), ("OSV4-FC1-Ä500", 9)])
def test_a_character_no_number_holds_is_pointed_at(text: str, position: int) -> None:
    with pytest.raises(BadCharacter) as refusal:
        KitNumber.parse(text)
    assert refusal.value.position == position


@pytest.mark.parametrize(
    ("text", "field", "code", "at", "allowed"),
    [
        ("OSV4-ZZ1-A500-SW2-U3-42", "machine_class", "ZZ", 6, "FC"),
        ("OZZ4-ZZ1-A500-SW2-U3-42", "machine_class", "ZZ", 6, "FC"),
        ("OSV4-FC1-B500-SW2-U3-42", "design", "B", 10, "A, C, E"),
        ("OSV4-FC1-A500-QQ2-U3-42", "assembly", "QQ", 15, "SW"),
        ("OSV4-FC1-A500-SW2-Q3-42", "deck", "Q", 19, "L, M, U, K, X"),
    ],
)
def test_an_unknown_code_is_named_with_those_that_are_known(
    text: str, field: str, code: str, at: int, allowed: str
) -> None:
    with pytest.raises(UnknownCode) as refusal:
        Number.parse(text)
    assert (refusal.value.field, refusal.value.value) == (field, code)
    assert refusal.value.place == f"character {at}"
    assert allowed in refusal.value.todo


def test_a_code_that_the_shop_added_is_known() -> None:
    tables = DEFAULT_TABLES.with_code("assembly", "HT", "heating tube")
    assert Place.parse("HT1-X1", tables) == Place("HT", 1, "X", 1)
    with pytest.raises(UnknownCode):
        Place.parse("HT1-X1")


def test_a_wrong_check_is_refused() -> None:
    with pytest.raises(BadCheck) as refusal:
        Number.parse("OSV4-FC1-A500-SW2-U3-43")
    assert "43" in refusal.value.what
    assert refusal.value.place == "character 22"


@pytest.mark.parametrize(
    "build",
    [
        lambda: LineName("OS", 1),
        lambda: LineName("OSVAX", 1),
        lambda: LineName("osv", 1),
        lambda: LineName("OSV", 0),
        lambda: LineName("OSV", 100),
        lambda: LineName("OSV", True),
        lambda: MachineName("OSV", 4, "F", 1),
        lambda: ContainerCode("AC", 500),
        lambda: ContainerCode("AAA", 500),
        lambda: ContainerCode("", 500),
        lambda: ContainerCode("A", 1_000_000),
        lambda: KitNumber("OSV", 4, "FC", 1, "A", 0),
        lambda: Place("SW", 2, "UU", 3),
        lambda: Place("SW", 2, "U", 1000),
        lambda: Place("SW", -1, "U", 3),
    ],
)
def test_parts_outside_the_grammar_cannot_be_built(build: Callable[[], object]) -> None:
    with pytest.raises(BadNumber):
        build()


@given(st.text("ABFCUWSV0123456789- ß", max_size=30))
@settings(max_examples=200)
def test_parsing_gives_the_same_text_back_or_an_error_of_ours(text: str) -> None:
    try:
        number = Number.parse(text)
    except KitwrightError:
        return
    assert str(number) == text
