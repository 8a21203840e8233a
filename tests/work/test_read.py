"""Reading marks against the records, and everything about the segment that was found."""

from __future__ import annotations

import pytest

from schemas.answers import KitAnswer
from service.errors import BadCharacter
from service.marks.content import link, message_15434
from service.numbering.key import Key
from service.store import pieces, segments
from service.work.print_marks import print_segment
from service.work.read import read_mark, read_marks
from service.work.resolve import resolve_mark
from service.work.show_kit import list_kits, show_kit
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4, issue_small, segment


def key_of(kit: KitAnswer, number: str = NUMBER_U3) -> str:
    """The key of the segment's piece."""
    row = next(row for row in kit.segments if row.number == number)
    return row.pieces[0].key or ""


def test_the_damaged_example_comes_out_as_one_and_says_what_it_repaired(stocked: Workshop, issued: KitAnswer) -> None:
    answer = read_mark(stocked, "0sv4 fc1 a5oo 5w2 u3 42")
    assert (answer.outcome, answer.number) == ("repaired", NUMBER_U3)
    assert [(repair.position, repair.read, repair.as_) for repair in answer.repairs] == [
        (0, "0", "O"),
        (11, "o", "0"),
        (12, "o", "0"),
        (14, "5", "S"),
    ]


def test_a_wrong_check_offers_repairs_and_picks_none(stocked: Workshop, issued: KitAnswer) -> None:
    answer = read_mark(stocked, "OSV4-FC1-A500-SW2-U3-43")
    assert (answer.outcome, answer.number) == ("candidates", None)
    assert NUMBER_U3 in [candidate.number for candidate in answer.candidates]


def test_every_form_of_a_mark_leads_to_the_segment(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_of(issued)
    for text in (
        NUMBER_U3,
        NUMBER_U3.replace("-", ""),
        NUMBER_U3.lower(),
        key,
        f"{key[:4]}-{key[4:]}",
        link("http://parts.example", key),
        f"https://elsewhere.example/s/{key.lower()}/?from=phone",
        f"]d1{key}",
        message_15434(NUMBER_U3, key, "-", 1),
    ):
        answer = read_mark(stocked, text)
        assert (answer.outcome, answer.number) == ("exact", NUMBER_U3), text
        assert resolve_mark(stocked, text).number == NUMBER_U3


def test_well_formed_but_never_issued_is_read_out(stocked: Workshop, issued: KitAnswer) -> None:
    answer = read_mark(stocked, "MRG7-LB2-C330-TS1-X9-38")
    assert (answer.outcome, answer.number) == ("unknown", None)
    assert any("MRG" in group.says for group in answer.groups)


def test_a_bad_character_is_pointed_at(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(BadCharacter) as caught:
        read_mark(stocked, "OSV4-FC1-A5€0")
    assert caught.value.position == 11


def test_many_marks_are_answered_as_if_each_came_alone(stocked: Workshop, issued: KitAnswer) -> None:
    texts = [NUMBER_U3, "0sv4 fc1 a5oo 5w2 u3 42", key_of(issued), "OSV4€", NUMBER_U4, NUMBER_U3]
    answers = read_marks(stocked, texts).readings
    assert [answer.outcome for answer in answers] == ["exact", "repaired", "exact", "unknown", "exact", "exact"]
    assert [answer.number for answer in answers] == [NUMBER_U3, NUMBER_U3, NUMBER_U3, None, NUMBER_U4, NUMBER_U3]
    assert "€" in answers[3].note
    for text, answer in zip(texts, answers, strict=True):
        if "€" not in text:
            assert read_mark(stocked, text) == answer


def test_a_number_is_found_in_the_moment_after_it_was_issued(stocked: Workshop) -> None:
    assert read_mark(stocked, NUMBER_U3).outcome == "unknown"
    issue_small(stocked)
    assert read_mark(stocked, NUMBER_U3).outcome == "exact"


def test_a_segment_is_shown_with_all_that_is_known(stocked: Workshop, issued: KitAnswer) -> None:
    print_segment(stocked, NUMBER_U3, form="png")
    answer = resolve_mark(stocked, NUMBER_U3)
    assert answer.machine.born_on == answer.machine.now_on == "line 4"
    assert (answer.assembly, answer.deck, answer.segment_of) == ("discharge star wheel", "upper", "segment 3 of 4")
    assert {neighbour.number: neighbour.locks for neighbour in answer.neighbours} == {NUMBER_U2: True, NUMBER_U4: True}
    assert [(mark.kind, mark.state) for mark in answer.marks] == [("nameplate", "made")]
    assert any("does not authorise work" in caution for caution in answer.cautions)


def test_the_other_kits_of_a_shared_segment_are_named(stocked: Workshop, issued: KitAnswer) -> None:
    issue_small(
        stocked,
        container={"name": "sport 330 mL", "nominal": 330, "unit": "mL"},
        segments={"SW2": [{"deck": "U", "ordinal": 3, "shares": NUMBER_U3}, segment("SW2-U4")]},
        serves=["A500"],
    )
    assert resolve_mark(stocked, NUMBER_U3).serves == ("OSV4-FC1-A330",)
    assert show_kit(stocked, "osv4-fc1-a330").serves == ("A500",)
    assert [kit.number for kit in list_kits(stocked, after=None, limit=9).kits] == ["OSV4-FC1-A330", "OSV4-FC1-A500"]


def test_a_message_whose_key_is_anothers_is_never_taken(stocked: Workshop, issued: KitAnswer) -> None:
    answer = read_mark(stocked, message_15434(NUMBER_U3, key_of(issued, NUMBER_U4), "-", 1))
    assert (answer.outcome, answer.number, answer.key) == ("candidates", None, None)
    assert {candidate.number for candidate in answer.candidates} == {NUMBER_U3, NUMBER_U4}
    assert "no such mark was made" in answer.note


def test_a_key_that_is_part_of_a_number_too_is_offered_as_both(stocked: Workshop, issued: KitAnswer) -> None:
    """The eight signs FC2A2482 are a whole key and also the machine and container of an issued number."""
    assert str(Key.parse("FC2A2482")) == "FC2A2482"
    with stocked.database.write() as connection:
        row = segments.find_segment(connection, NUMBER_U3)
        assert row is not None
        pieces.add_piece(
            connection,
            segment_id=row.id,
            key="FC2A2482",
            set_number=1,
            revision_id=row.revision_id,
            condition="ordered",
        )
    assert read_mark(stocked, "FC2A2482").outcome == "exact"
    container = {"name": "jar 2482 mL", "nominal": 2482, "unit": "mL"}
    issue_small(stocked, container=container, machine={"class": "FC", "ordinal": 2})
    answer = read_mark(stocked, "FC2A2482")
    assert (answer.outcome, answer.key) == ("candidates", None)
    assert {(candidate.key, candidate.part) for candidate in answer.candidates} == {
        ("FC2A2482", None),
        (None, "FC2-A2482"),
    }
