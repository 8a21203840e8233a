"""Code tables, and which codes are too alike."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCode, CodeTooAlike, DesignLettersSpent, UnknownCode
from service.numbering.alike import SIGN_CLASSES, alike, letters_alike
from service.numbering.tables import CODE_LENGTHS, DEFAULT_TABLES, CodeTables, TableName
from tests.numbering.strategies import LETTERS


def test_a_shop_starts_with_the_codes_of_the_trade() -> None:
    assert {"FC": "filler-capper", "FL": "filler", "CP": "capper", "LB": "labeller", "RN": "rinser"}.items() <= (
        DEFAULT_TABLES.machine_classes.items()
    )
    assert {
        "SW": "star wheel",
        "TS": "timing screw",
        "CG": "centre guide",
        "OR": "outer guide",
        "RL": "rail",
        "BP": "bottle plate",
        "DC": "cap chute",
        "NG": "neck guide",
    }.items() <= DEFAULT_TABLES.assemblies.items()
    assert DEFAULT_TABLES.decks == {"L": "lower", "M": "middle", "U": "upper", "K": "neck", "X": "none"}


@pytest.mark.parametrize("table", list(CODE_LENGTHS))
def test_no_two_codes_of_a_starting_table_are_alike(table: TableName) -> None:
    assert not [pair for pair in combinations(DEFAULT_TABLES.codes(table), 2) if alike(*pair)]


def test_design_letters_run_from_single_to_doubled() -> None:
    letters = list(DEFAULT_TABLES.design_letters_in_order())
    assert letters[:15] == list("ACEFHJKMNPRTWXY")
    assert letters[15:18] == ["AA", "CC", "EE"]
    assert letters[-1] == "YY"
    assert [DEFAULT_TABLES.design_letter(n) for n in range(30)] == letters
    assert all(map(DEFAULT_TABLES.is_design, letters))
    assert not any(map(DEFAULT_TABLES.is_design, ("", "B", "AC", "AAA", "a")))


@pytest.mark.parametrize("n", [30, 1000, -1])
def test_design_letters_come_to_an_end(n: int) -> None:
    with pytest.raises(DesignLettersSpent):
        DEFAULT_TABLES.design_letter(n)


def test_a_shop_adds_a_code_and_the_old_tables_stay() -> None:
    grown = DEFAULT_TABLES.with_code("machine_class", "HT", "heat tunnel")
    assert grown.name_of("machine_class", "HT") == "heat tunnel"
    with pytest.raises(UnknownCode):
        DEFAULT_TABLES.name_of("machine_class", "HT")


@pytest.mark.parametrize(
    ("table", "code"),
    [
        ("machine_class", "FC"),
        ("assembly", "SW"),  # there already
        ("assembly", "OG"),  # O and C of CG look alike, both end in G
        ("assembly", "FW"),  # F sounds like the S of SW
        ("assembly", "MG"),  # M sounds like the N of NG
        ("assembly", "QR"),  # Q looks like the O of OR
        ("assembly", "VP"),  # V sounds like the B of BP
        ("machine_class", "SL"),  # S sounds like the F of FL
        ("deck", "N"),  # N sounds like M
        ("deck", "V"),  # V looks like U
        ("deck", "I"),  # I looks like L
    ],
)
def test_a_code_too_like_another_is_refused(table: TableName, code: str) -> None:
    with pytest.raises(CodeTooAlike) as refusal:
        DEFAULT_TABLES.with_code(table, code, "something new")
    assert (refusal.value.field, refusal.value.value) == (table, code)
    named = [other for other in DEFAULT_TABLES.codes(table) if f"'{other}'" in refusal.value.what]
    assert len(named) == 1
    assert alike(named[0], code)


@pytest.mark.parametrize("code", ["", "S", "SWX", "sw", "5W", "S-", "ÄÖ"])
def test_a_malformed_code_is_refused(code: str) -> None:
    with pytest.raises(BadCode):
        DEFAULT_TABLES.with_code("assembly", code, "something new")


def test_a_code_without_a_name_is_refused() -> None:
    with pytest.raises(BadCode):
        DEFAULT_TABLES.with_code("assembly", "HT", "  ")


def test_tables_that_are_wrong_cannot_be_built() -> None:
    with pytest.raises(CodeTooAlike):
        CodeTables({"FC": "filler-capper", "FG": "something"}, {}, {}, ("A",))
    with pytest.raises(BadCode):
        CodeTables({}, {}, {"UU": "upper"}, ("A",))
    for letters in (("A", "A"), ("a",), ("AA",), ("Ä",)):
        with pytest.raises(BadCode):
            CodeTables({}, {}, {}, letters)


def test_tables_do_not_change_with_the_dictionary_they_came_from() -> None:
    decks = {"U": "upper"}
    tables = CodeTables({}, {}, decks, ("A",))
    decks["L"] = "lower"
    assert tables.decks == {"U": "upper"}
    with pytest.raises(TypeError):
        tables.decks["L"] = "lower"  # type: ignore[index]  # what must not be possible is tried


@given(st.text(LETTERS, min_size=1, max_size=4), st.text(LETTERS, min_size=1, max_size=4))
@settings(max_examples=200)
def test_being_alike_is_mutual_and_holds_for_oneself(one: str, other: str) -> None:
    assert alike(one, one)
    assert alike(one, other) == alike(other, one)
    if len(one) == len(other):
        assert alike(one, other) == all(map(letters_alike, one, other))


def test_letters_that_one_digit_is_read_for_are_alike() -> None:
    for signs in SIGN_CLASSES:
        assert all(letters_alike(one, other) for one, other in combinations(signs[1:], 2))


@pytest.mark.parametrize(
    ("one", "other", "verdict"),
    [
        ("OSV", "DSV", True),
        ("OSV", "OZV", True),
        ("OSV", "MRG", False),
        ("OSV", "OSVO", True),  # plant OSVO, line 4 reads like plant OSV, line 04
        ("OSV", "OSVA", False),
        ("OSV", "MRGO", False),
        ("OS", "OSVO", False),
    ],
)
def test_plant_codes(one: str, other: str, *, verdict: bool) -> None:
    assert alike(one, other) is verdict
