"""The survival card as values: what it counts, what it says of lost symbols, and what its lint finds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.marks.survival import (
    SurvivalCard,
    Trial,
    card_of,
    carried_on,
    content_of,
    floor_of,
    names_the_piece,
    taken_for_another,
    tallies,
    written_beside,
)
from service.marks.survival_lint import lint_survival
from service.rules.lint import LINT_RULES
from tests.mark_factory import KEY, NUMBER, make_facts, make_layout, make_template

OTHER_NUMBER, OTHER_KEY = "OSV4-FC1-A500-SW2-U4-39", "P3HW9TCP"


def trial(*, read: tuple[bool, ...], name: str = "loss-50-0", merged: bool = False, **others: object) -> Trial:
    facts: dict[str, object] = {
        "family": "loss",
        "sentence": "half of it is gone",
        "severity": 3,
        "identity": any(read),
        "wrong": (),
        "refused": (),
        **others,
    }
    return Trial(damage=name, read=read, merged=merged, **facts)  # type: ignore[arg-type]  # plain values by name


def card(*trials: Trial, floor: float = 0.0, symbol_floor: float = 0.0) -> SurvivalCard:
    template = make_template()
    symbols = tuple(one.model_copy(update={"least_survival": symbol_floor}) for one in template.symbols)
    template = template.model_copy(update={"least_survival": floor, "symbols": symbols})
    layout = make_layout()
    count = len(list(layout.symbols()))
    alone = [[other != gone for other in range(count)] for gone in range(count)]
    return card_of(template, layout, make_facts(), trials, alone)


COUNT = len(list(make_layout().symbols()))
ALL, NONE = (True,) * COUNT, (False,) * COUNT
FIRST_LOST = (False,) + (True,) * (COUNT - 1)


def test_shares_are_survived_over_tried() -> None:
    made = card(trial(read=ALL), trial(read=FIRST_LOST), trial(read=NONE, merged=True), trial(read=NONE))
    assert made.tried == 4
    assert [symbol.share for symbol in made.symbols] == [0.25] + [0.5] * (COUNT - 1)
    assert (made.share, made.share_unmerged) == (0.75, 0.5)
    assert made.symbols[0].lost == ("loss-50-0",) * 3


def test_tallies_stand_in_the_fixed_order_of_the_families() -> None:
    counted = tallies([("stain", True), ("loss", False), ("loss", True), ("blur", True)])
    assert [(one.family, one.tried, one.survived) for one in counted] == [
        ("loss", 2, 1),
        ("blur", 1, 1),
        ("stain", 1, 1),
    ]


def test_a_card_knows_what_each_symbol_holds_and_what_is_left_without_it() -> None:
    made = card(trial(read=ALL))
    facts = make_facts()
    for symbol, placed in zip(made.symbols, make_layout().symbols(), strict=True):
        assert symbol.content == content_of(facts, placed)
        assert symbol.without.symbols == tuple(index for index in range(1, COUNT + 1) if index != symbol.index)
        assert symbol.without.written == ("number", "key")


def test_the_sentence_names_few_symbols_and_counts_many() -> None:
    made = card(trial(read=ALL))
    first = made.symbols[0]
    assert f"any of the {COUNT - 1} other symbols" in carried_on(first, made.symbols)
    one_left = replace(first, without=replace(first.without, symbols=(2,)))
    assert carried_on(one_left, made.symbols) == (
        f"Then {made.symbols[1].name} and the number and the key in letters can say which piece it is."
    )
    letters = replace(first, without=replace(first.without, symbols=(), written=("key",)))
    assert carried_on(letters, made.symbols) == "Then only the key in letters can say which piece it is."
    nothing = replace(first, without=replace(first.without, symbols=(), written=()))
    assert carried_on(nothing, made.symbols) == "Nothing else on the mark says which piece it is."


def test_letters_under_the_damage_are_not_left() -> None:
    layout = make_layout()
    number = next(run for run in layout.texts() if run.field == "number")
    symbol = next(layout.symbols())
    onto = replace(
        symbol,
        left_dots=round(number.x_mm * layout.per_mm),
        top_dots=round((number.baseline_mm - number.rise_mm) * layout.per_mm),
    )
    assert written_beside(layout, symbol) == ("number", "key")
    assert "number" not in written_beside(layout, onto)
    check = next(run for run in layout.texts() if run.field == "number" and run is not number)
    beside = replace(onto, left_dots=round((check.x_mm - 0.1) * layout.per_mm))
    assert "number" not in written_beside(layout, beside)


def test_the_floor_is_that_of_the_room_in_which_a_symbol_lies() -> None:
    template = make_template()
    marked = template.symbols[1].model_copy(update={"least_survival": 0.77})
    template = template.model_copy(update={"symbols": (template.symbols[0], marked, *template.symbols[2:])})
    placed = list(make_layout().symbols())
    assert floor_of(template, placed[1]) == 0.77
    assert floor_of(template, replace(placed[1], left_dots=0, top_dots=0)) == 0.0


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (KEY, True),
        (NUMBER, True),
        (make_facts().link, True),
        (make_facts().message, True),
        (OTHER_KEY, False),
        ("", False),
    ],
)
def test_what_names_the_piece(text: str, *, names: bool) -> None:
    assert names_the_piece(make_facts(), text) is names


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        (OTHER_KEY, True),
        (OTHER_NUMBER, True),
        (f"HTTP://127.0.0.1:8000/S/{OTHER_KEY}", True),
        # Look-alikes are repaired and then taken, so they mislead as well.
        ("OSV4-FC1-A5OO-SW2-U4-39", True),
        ("OSV4-FC1-A5OO-SW2-U3-42", False),
        (KEY, False),
        (make_facts().link, False),
        (make_facts().message, False),
        # The check of a number catches every single misread sign, that of a key too.
        ("OSV4-FC1-A500-SW2-U3-41", False),
        ("K7M4XRAA", False),
        # What a scratched Code 128 once gave with a right check symbol of its own.
        ("OSV4UFC!W{500-SW2-U3-42", False),
        ("\x00\xff", False),
    ],
)
def test_a_text_misleads_only_when_it_reads_as_another_number_or_key(text: str, *, taken: bool) -> None:
    assert taken_for_another(make_facts(), text) is taken


def test_a_symbol_below_its_floor_is_a_finding_that_says_what_did_it() -> None:
    lost = trial(read=FIRST_LOST, name="scratches-6-1", family="scratches", severity=2, sentence="6 scratches")
    found = lint_survival(card(trial(read=ALL), lost, symbol_floor=0.6))
    assert [(index, finding.rule, finding.field, finding.value) for index, finding in found] == [
        (0, "survival_below_floor", "QR Code 1 (link)", "50 %")
    ]
    message = found[0][1].message
    assert "asks for 60 %" in message
    assert "scratches-6-1: 6 scratches" in message


def test_a_floor_that_is_just_kept_is_no_finding() -> None:
    trials = [trial(read=ALL)] * 9 + [trial(read=NONE)]
    assert lint_survival(card(*trials, floor=0.9, symbol_floor=0.9)) == []
    assert len(lint_survival(card(*trials, floor=0.91, symbol_floor=0.91))) == COUNT + 1


def test_the_identity_has_a_floor_of_its_own_and_merging_counts_for_it() -> None:
    assert lint_survival(card(trial(read=NONE, merged=True), floor=1.0)) == []
    ((index, finding),) = lint_survival(card(trial(read=NONE), floor=1.0))
    assert (index, finding.field, finding.value) == (None, "identity", "0 %")


def test_a_wrong_text_is_a_finding_and_a_garbled_one_is_not() -> None:
    assert lint_survival(card(trial(read=ALL, refused=("OSV4UFC!W{500-SW2-U3-42",)))) == []
    ((index, finding),) = lint_survival(card(trial(read=ALL, wrong=(OTHER_KEY,))))
    assert (index, finding.rule, finding.value) == (None, "survival_wrong_text", OTHER_KEY)


def test_the_rules_are_in_the_table() -> None:
    found = lint_survival(card(trial(read=NONE, wrong=(OTHER_KEY,)), floor=1.0, symbol_floor=1.0))
    assert {finding.rule for _, finding in found} == {"survival_below_floor", "survival_wrong_text"}
    assert all(LINT_RULES[finding.rule].level == finding.level for _, finding in found)
