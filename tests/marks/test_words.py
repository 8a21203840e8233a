"""The trade's fixed words, and what is never translated."""

from __future__ import annotations

from typing import get_args

import pytest

from schemas.label_template import FieldName
from service.marks import words
from service.marks.content import field_text
from service.numbering.tables import DEFAULT_TABLES
from service.rules.colours import STOCK_COLOURS
from tests.mark_factory import make_facts

GERMAN: dict[FieldName, str] = {
    "deck": "obere Ebene",
    "segment": "Segment 3 von 4",
    "segment_count": "3 von 4",
    "hand": "LEFT · LINKS",
    "rotation": "rechtsdrehend von oben gesehen",
    "quantity": "40 Stück",
    "thickness": "31,75 mm",
    "mass": "3,21 kg",
    "revision": "Rev. B",
    "colour": "grün",
    "serves": "bleibt drin für OSV4-FC1-C500",
    "kit_pieces": "10 Stück",
    "kit_mass": "38,2 kg",
}
POLISH: dict[FieldName, str] = {
    "deck": "poziom górny",
    "segment": "segment 3 z 4",
    "segment_count": "3 z 4",
    "hand": "LEFT · LEWA",
    "rotation": "w prawo patrząc z góry",
    "quantity": "40 szt.",
    "thickness": "31,75 mm",
    "mass": "3,21 kg",
    "revision": "rew. B",
    "colour": "zielony",
    "serves": "zostaje dla OSV4-FC1-C500",
    "kit_pieces": "10 szt.",
    "kit_mass": "38,2 kg",
}


@pytest.mark.parametrize(("language", "expected"), [("de", GERMAN), ("de-AT", GERMAN), ("pl", POLISH)])
def test_only_the_trades_words_are_translated(language: str, expected: dict[FieldName, str]) -> None:
    facts = make_facts(quantity=40, thickness_mm=31.75)
    for name in get_args(FieldName):
        english = field_text(facts, name)
        assert field_text(facts, name, language) == expected.get(name, english)


@pytest.mark.parametrize("language", words.WORDINGS)
@pytest.mark.parametrize("hand", ["LEFT", "RIGHT"])
def test_the_hand_is_always_there_whole_as_the_shop_says_it(hand: str, language: str) -> None:
    said = field_text(make_facts(hand=hand), "hand", language)
    assert said.split()[0] == hand
    assert (said == hand) == (language == "en")


def test_every_deck_hand_and_colour_of_the_trade_has_its_word_in_every_language() -> None:
    for language, wording in words.WORDINGS.items():
        if language == words.SHOP_LANGUAGE:
            continue
        assert set(wording.decks) == set(DEFAULT_TABLES.decks.values()) - {"none"}
        assert set(wording.hands) == {"LEFT", "RIGHT"}
        assert set(wording.colours) == set(STOCK_COLOURS)


def test_words_of_one_kind_differ_in_each_language() -> None:
    for wording in words.WORDINGS.values():
        for table in (wording.decks, wording.hands, wording.colours):
            assert len(set(table.values())) == len(table)


def test_what_the_shop_added_to_its_tables_is_said_as_it_wrote_it() -> None:
    assert words.deck_words("mezzanine", "de") == "Ebene mezzanine"
    assert words.colour_word("teal", "pl") == "teal"
    assert words.rotation_words("back and forth seen from above", "de") == "back and forth von oben gesehen"


def test_a_language_that_is_not_at_hand_leaves_the_trades_words_english() -> None:
    assert not words.at_hand("fr")
    assert words.at_hand("de-CH")
    assert words.deck_words("upper", "fr") == "upper deck"
    assert words.hand_words("LEFT", "fr") == "LEFT"


@pytest.mark.parametrize(("mass_kg", "said"), [(0.004, "unter 0,01 kg"), (3.214, "3,21 kg"), (112.4, "112 kg")])
def test_decimals_stand_behind_a_comma_where_the_language_has_one(mass_kg: float, said: str) -> None:
    assert words.mass_words(mass_kg, "de") == said


def test_nothing_stays_nothing_in_any_language() -> None:
    for language in words.WORDINGS:
        assert not words.deck_words("", language)
        assert not words.segment_words("", language)
        assert not words.revision_words("", language)
        assert not words.stays_on_words((), language)
        assert not words.rotation_words("", language)
        assert not words.hand_words("", language)
