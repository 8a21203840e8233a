"""What a caller says, held against what is on record: laws for every question, and examples of each."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.search import QUESTIONS, Question
from service.numbering.tables import DEFAULT_TABLES
from service.rules.colours import STOCK_COLOURS
from service.rules.evidence import (
    Fact,
    NotUnderstood,
    Tables,
    expected,
    heard,
    likelihood,
    speaks,
    worth,
)
from service.rules.evidence_figures import InUse, Thickness
from service.rules.evidence_kinds import Kind
from service.rules.evidence_names import called
from service.rules.evidence_table import ASK, TABLE, VALUES
from service.rules.next_question import NOTHING

TABLES = Tables(
    tuple(Kind(code, name) for code, name in DEFAULT_TABLES.assemblies.items()),
    tuple(Kind(code, name) for code, name in DEFAULT_TABLES.decks.items()),
)
FAMILY = {family.code: family for family in TABLES.families}
DECK = {deck.code: deck for deck in TABLES.decks}
OSTREY = called("Ostrey Vale", ["OSV", "Ostrey Vale"], ["Ostrey Works"])
MARROWGATE = called("Marrowgate", ["MRG", "Marrowgate"])
LINE_7 = called("line 7", ["OSV7", "7", "line 7", "hall B"], ["OSV4", "4", "line 4"])
A500 = called("tall round 500 mL", ["A500", "tall round 500 mL"])
A330 = called("sport 330 mL", ["A330", "sport 330 mL"])
FC1 = called("filler-capper 1", ["filler-capper 1", "OSV4-FC1", "FC1"])

FACTS: dict[Question, tuple[Fact, ...]] = {
    "plant": (OSTREY, MARROWGATE),
    "line": (LINE_7, called("line 4", ["OSV4", "4", "line 4"])),
    "running": (A500, A330),
    "machine": (FC1, called("labeller 1", ["labeller 1", "MRG1-LB1", "LB1"])),
    "stock_colour": tuple(STOCK_COLOURS),
    "shape_family": TABLES.families,
    "pockets": tuple(range(13)),
    "overall_length_mm": (85.0, 308.5, 309.0, 740.5),
    "thickness_mm": (Thickness(25.0, None), Thickness(25.0, 24.6), Thickness(12.0, None)),
    "hand": ("LEFT", "RIGHT", "none"),
    "deck": TABLES.decks,
    "date": (InUse(2015, 2026), InUse(2020, 2021)),
}


def likely(question: Question, answer: str, fact: Fact, tolerance_mm: float | None = None) -> float:
    said = heard(question, answer, tolerance_mm, TABLES)
    assert not isinstance(said, NotUnderstood), said
    return likelihood(question, said, fact, TABLES)


@settings(max_examples=200, deadline=None)
@given(data=st.data(), question=st.sampled_from(sorted(FACTS)), answer=st.text(max_size=40))
def test_nothing_that_is_said_rules_anything_out(data: st.DataObject, question: Question, answer: str) -> None:
    """Any text is understood or refused with a reason; what is understood leaves every fact possible."""
    said = heard(question, answer, None, TABLES)
    if isinstance(said, NotUnderstood):
        assert said.reason
        return
    one = likelihood(question, said, data.draw(st.sampled_from(FACTS[question])), TABLES)
    assert 0 < one <= 1.5
    assert math.isfinite(math.log(one))


@pytest.mark.parametrize(
    ("question", "fact"), [(question, fact) for question, facts in FACTS.items() for fact in facts]
)
def test_the_right_answer_speaks_for_its_own_fact_more_than_for_any_other(question: Question, fact: Fact) -> None:
    answer = expected(question, fact)
    own = likely(question, answer, fact)
    for other in FACTS[question]:
        if expected(question, other) != answer:
            assert likely(question, answer, other) <= own, (answer, other)


@pytest.mark.parametrize("question", sorted(FACTS))
def test_a_question_that_tells_facts_apart_is_worth_asking(question: Question) -> None:
    facts = FACTS[question]
    shares = {fact: 1 / len(facts) for fact in facts}
    found = worth(question, shares, TABLES, unknown=0.0)
    assert 0 < found.gain_bits <= math.log2(len(facts))
    assert sum(share for _, share in found.answers) == pytest.approx(1)
    assert worth(question, shares, TABLES, unknown=0.5).gain_bits == pytest.approx(found.gain_bits / 2)


@pytest.mark.parametrize("question", sorted(FACTS))
def test_nothing_is_worth_asking_of_which_nothing_is_on_record(question: Question) -> None:
    assert worth(question, {}, TABLES, unknown=1.0) == NOTHING


def test_a_place_is_found_by_its_names_of_now_and_then() -> None:
    now, then, never = (likely("line", text, LINE_7) for text in ("line 7", "line 4", "line 9"))
    assert now > then > 10 * never
    assert likely("plant", "ostrey works", OSTREY) > 10 * likely("plant", "ostrey works", MARROWGATE)
    assert likely("line", "Hall B", LINE_7) == now
    assert likely("line", "7", LINE_7) == now
    assert likely("line", "osv-7", LINE_7) == now


@pytest.mark.parametrize("text", ["A500", "a 500", "Tall Round 500 mL", "tall round 500ml"])
def test_a_container_is_found_by_code_and_name(text: str) -> None:
    assert likely("running", text, A500) == pytest.approx(1 - VALUES["running.wrong"], abs=0.01)
    assert likely("running", text, A330) < 0.05


def test_part_of_a_name_and_a_misspelling_count_for_less() -> None:
    whole = likely("running", "tall round 500 mL", A500)
    for text in ("500 mL", "the tall round", "tall rownd 500 mL"):
        assert 10 * likely("running", text, A330) < likely("running", text, A500) < whole, text


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("star wheel", "SW"),
        ("starwheel", "SW"),
        ("a star", "SW"),
        ("worm", "TS"),
        ("feed screw", "TS"),
        ("rail", "RL"),
        ("bottle plate", "BP"),
        ("inner guide", "CG"),
        ("outside guide", "OR"),
        ("SW", "SW"),
    ],
)
def test_families_are_found_by_the_words_of_the_trade(text: str, code: str) -> None:
    others = [likely("shape_family", text, family) for family in TABLES.families if family.code != code]
    assert likely("shape_family", text, FAMILY[code]) > 4 * max(others)


def test_a_guide_is_any_guide_and_may_be_a_rail() -> None:
    centre, outer, rail, star = (likely("shape_family", "guide", FAMILY[code]) for code in ("CG", "OR", "RL", "SW"))
    assert centre == outer
    assert centre > rail
    assert rail > 10 * likely("shape_family", "guide", FAMILY["TS"])
    assert star == rail  # a star with its pockets worn away looks like a guide


def test_pockets_may_be_one_out() -> None:
    exact, one_out, two_out = (likely("pockets", str(count), 6) for count in (6, 7, 8))
    assert exact > 5 * one_out > 5 * two_out
    assert likely("pockets", "six", 6) == exact
    assert sum(likely("pockets", str(count), 6) for count in range(20)) == pytest.approx(1, abs=0.01)


def test_a_length_may_be_out_by_what_the_caller_says() -> None:
    near, far = likely("overall_length_mm", "311", 309.0), likely("overall_length_mm", "330", 309.0)
    assert near > 5 * far
    assert likely("overall_length_mm", "330", 309.0, 30.0) > 3 * far
    assert likely("overall_length_mm", "31 cm", 310.0) == likely("overall_length_mm", "310", 310.0)
    assert likely("overall_length_mm", "12.2 inches", 310.0) > near / 2


def test_a_broken_part_is_shorter_rather_than_longer() -> None:
    assert likely("overall_length_mm", "200", 309.0) > 2 * likely("overall_length_mm", "450", 309.0)


def test_lengths_told_to_the_millimetre_add_up_to_one() -> None:
    total = sum(likely("overall_length_mm", str(mm), 309.0) for mm in range(5, 5001))
    assert total == pytest.approx(1, abs=0.03)


def test_a_measured_thickness_counts_and_so_does_the_nominal_one() -> None:
    worn = Thickness(25.0, 23.8)
    plain = Thickness(25.0, None)
    assert likely("thickness_mm", "23.8", worn) > 10 * likely("thickness_mm", "23.8", plain)
    assert likely("thickness_mm", "25", worn) > 10 * likely("thickness_mm", "26.5", worn)


def test_left_and_right_are_mixed_up_now_and_then() -> None:
    assert likely("hand", "left", "LEFT") > 5 * likely("hand", "right", "LEFT") > 0.1
    assert likely("hand", "LH", "LEFT") == likely("hand", "left hand", "LEFT")
    assert likely("hand", "none", "none") > 5 * likely("hand", "left", "none")


def test_the_deck_beside_is_likelier_than_one_farther_off() -> None:
    upper, middle, lower = (likely("deck", "top", DECK[code]) for code in "UML")
    assert upper > 5 * middle > 5 * lower


def test_a_date_speaks_for_kits_that_were_in_use() -> None:
    assert likely("date", "it came in 2015", InUse(2015, 2026)) > likely("date", "2017", InUse(2015, 2026))
    assert likely("date", "2017", InUse(2015, 2026)) > 5 * likely("date", "2017", InUse(2020, 2021))


@pytest.mark.parametrize(
    ("question", "answer"),
    [
        ("plant", "?!"),
        ("stock_colour", "shiny"),
        ("shape_family", "thing"),
        ("pockets", "a few"),
        ("pockets", "6.5"),
        ("pockets", "600"),
        ("overall_length_mm", "long"),
        ("overall_length_mm", "0"),
        ("thickness_mm", "900"),
        ("hand", "up"),
        ("deck", "third"),
        ("date", "last year"),
    ],
)
def test_what_cannot_be_used_is_told_with_a_way_to_put_it(question: Question, answer: str) -> None:
    said = heard(question, answer, None, TABLES)
    assert isinstance(said, NotUnderstood)
    assert "write" in said.reason or "no year" in said.reason


def test_for_and_against() -> None:
    assert [speaks(one, 0.5) for one in (0.9, 0.5, 0.1)] == ["for", "silent", "against"]
    assert speaks(0.9, 0.0) == "silent"


def test_every_row_of_the_table_is_a_share_or_a_spread_and_is_said_once() -> None:
    assert len({row.name for row in TABLE}) == len(TABLE)
    for row in TABLE:
        assert row.says
        assert row.value > 0
        if not row.name.endswith(("spread", "spread_mm", "shape")):
            assert row.value < 1, row
    for question in QUESTIONS:
        assert f"{question}.wrong" in VALUES
        assert f"{question}.unsure" in VALUES
        assert ASK[question].endswith("?")
