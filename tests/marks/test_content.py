"""What marks say."""

from __future__ import annotations

import pytest

from schemas.label_template import FieldName
from service.errors import SymbolDoesNotFit
from service.marks.content import FIELD_NAMES, MarkFacts, field_text, link, message_15434, symbol_text
from service.marks.symbols import QR_ALPHANUMERIC
from tests.mark_factory import KEY, NUMBER, make_facts

EXPECTED: dict[FieldName, str] = {
    "number": NUMBER,
    "key": "K7M4 XRAW",
    "kit": "OSV4-FC1-A500",
    "place": "SW2-U3",
    "container": "tall round 500 mL",
    "container_code": "A500",
    "assembly": "discharge star wheel",
    "assembly_code": "SW2",
    "deck": "upper deck",
    "segment": "segment 3 of 4",
    "segment_count": "3 of 4",
    "hand": "LEFT",
    "rotation": "clockwise seen from above",
    "quantity": "",
    "material": "UHMW-PE",
    "thickness": "25 mm",
    "mass": "3.21 kg",
    "revision": "rev B",
    "colour": "green",
    "customer": "Tarnquill Waters",
    "plant": "Ostrey Vale",
    "line": "line 4",
    "machine": "filler-capper 1",
    "machine_code": "OSV4-FC1",
    "serves": "stays on for OSV4-FC1-C500",
    "contents": "SW1 ×4, SW2 ×4, CG1 ×2",
    "kit_pieces": "10 pieces",
    "kit_mass": "38.2 kg",
    "shop": "Kitwright demo shop",
    "telephone": "+44 1632 960118",
    "address": "3 Mill Lane",
}


def test_every_field_has_its_text() -> None:
    assert {name: field_text(make_facts(), name) for name in FIELD_NAMES} == EXPECTED


def test_what_is_not_on_record_is_empty() -> None:
    bare = MarkFacts(number=NUMBER, key=KEY, link="", message="")
    assert {name for name in FIELD_NAMES if field_text(bare, name)} == {"number", "key"}


def test_many_pieces_of_one_segment_are_counted() -> None:
    assert field_text(make_facts(quantity=40), "quantity") == "40 pieces"


def test_line_breaks_and_tabs_become_blanks() -> None:
    assert field_text(make_facts(container_words=" tall\tround\n500 mL "), "container") == "tall round 500 mL"


@pytest.mark.parametrize(
    ("mass_kg", "text"),
    [(0.0, "under 0.01 kg"), (0.014, "0.01 kg"), (3.214, "3.21 kg"), (12.34, "12.3 kg"), (112.4, "112 kg")],
)
def test_mass_has_three_figures_at_most(mass_kg: float, text: str) -> None:
    assert field_text(make_facts(mass_kg=mass_kg), "mass") == text


@pytest.mark.parametrize("public_url", ["http://127.0.0.1:8000", "http://127.0.0.1:8000/", " http://127.0.0.1:8000 "])
def test_the_link_is_in_capitals_and_ends_in_the_key(public_url: str) -> None:
    assert link(public_url, KEY) == "HTTP://127.0.0.1:8000/S/K7M4XRAW"
    assert set(link(public_url, KEY)) <= QR_ALPHANUMERIC


def test_the_message_has_the_envelope_and_identifiers() -> None:
    # Envelope: ISO/IEC 15434 format 06 as public strings show it; 1P, 2P, S, Q of ANSI MH10.8.2 from memory.
    assert message_15434(NUMBER, KEY, "B", 40) == (
        "[)>\x1e06\x1d1POSV4-FC1-A500-SW2-U3-42\x1d2PB\x1dSK7M4XRAW\x1dQ40\x1e\x04"
    )


def test_an_unknown_revision_is_left_out_of_the_message() -> None:
    assert "2P" not in message_15434(NUMBER, KEY, "", 1)


@pytest.mark.parametrize("revision", ["B\x1d", "Ω", "\x04"])
def test_a_field_that_would_break_the_message_is_refused(revision: str) -> None:
    with pytest.raises(SymbolDoesNotFit, match="printable ASCII"):
        message_15434(NUMBER, KEY, revision, 1)


def test_symbols_hold_what_the_template_asks() -> None:
    facts = make_facts()
    assert symbol_text(facts, "key") == KEY
    assert symbol_text(facts, "number") == NUMBER
    assert symbol_text(facts, "link") == facts.link
    assert symbol_text(facts, "message") == facts.message


def test_very_many_assemblies_are_told_by_their_kind() -> None:
    few = tuple((f"SW{index}", 4) for index in range(1, 25))
    assert field_text(make_facts(contents=few), "contents").startswith("SW1 ×4, SW2 ×4")
    many = (*few, ("CG1", 2), ("CG2", 3))
    assert field_text(make_facts(contents=many), "contents") == "SW ×96, CG ×5"


def test_a_crate_holds_the_number_of_its_kit_and_its_pieces() -> None:
    assert symbol_text(make_facts(), "contents") == "[)>\x1e06\x1d1POSV4-FC1-A500\x1dQ10\x1e\x04"
    assert symbol_text(make_facts(kit_pieces=None), "contents") == "[)>\x1e06\x1d1POSV4-FC1-A500\x1e\x04"
    with pytest.raises(SymbolDoesNotFit):
        symbol_text(make_facts(kit="OSV4\x1d"), "contents")
