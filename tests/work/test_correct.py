"""Correcting an issued kit: in place before a mark exists, by giving places up after; both on record."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text

from schemas.answers import KitAnswer
from schemas.requests import CorrectionRequest
from service.errors import (
    BadRequest,
    KitUnknown,
    KitwrightError,
    LintFailed,
    MarkExists,
    PlaceVoided,
    SegmentShared,
    StaleEdit,
)
from service.work.correct import correct_kit
from service.work.history import history
from service.work.print_marks import print_segment
from service.work.resolve import resolve_mark
from service.work.show_kit import kit_version, show_kit
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, NUMBER_U4, file_of, issue_small, release, segment

KIT = "OSV4-FC1-A500"


def correction(**parts: Any) -> CorrectionRequest:
    return CorrectionRequest.model_validate({"reason": "typed wrong", **parts})


def facts(number: str = NUMBER_U3, **changed: object) -> CorrectionRequest:
    return correction(correct=[{"number": number, "facts": changed}])


def void(number: str = NUMBER_U3, *replacements: dict[str, object]) -> CorrectionRequest:
    return correction(void=[{"number": number, "replacements": list(replacements)}])


def replacement(**changes: object) -> dict[str, object]:
    body = {**segment("SW2-U3"), **changes}
    del body["ordinal"]
    return body


def test_a_fact_is_corrected_before_a_mark_exists(stocked: Workshop, issued: KitAnswer) -> None:
    answer = correct_kit(stocked, KIT, facts(hand="LEFT", thickness_mm=50.0))
    row = next(row for row in answer.segments if row.number == NUMBER_U3)
    before = next(row for row in issued.segments if row.number == NUMBER_U3)
    assert (row.hand, row.thickness_mm, row.key) == ("LEFT", 50.0, before.key)
    # Rounded to a tenth of a gram, so twice the thickness is twice the mass within that.
    assert row.mass_kg == pytest.approx(2 * before.mass_kg, abs=2e-4)
    event = history(stocked, NUMBER_U3).events[-1]
    assert event.verb == "correct"
    assert event.before == {"hand": None, "mass_kg": before.mass_kg, "thickness_mm": 25.0}
    assert isinstance(event.after, dict)
    assert event.after["reason"] == "typed wrong"


def test_another_revision_is_corrected_on_the_pieces_too(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A")
    correct_kit(stocked, KIT, facts(revision="A"))
    assert [piece.revision for piece in resolve_mark(stocked, NUMBER_U3).pieces] == ["A"]


def test_once_a_mark_may_exist_the_place_has_to_be_given_up(stocked: Workshop, issued: KitAnswer) -> None:
    print_segment(stocked, NUMBER_U3, form="png")
    with pytest.raises(MarkExists, match="void"):
        correct_kit(stocked, KIT, facts(hand="LEFT"))
    # Its neighbour has no mark yet.
    correct_kit(stocked, KIT, facts(NUMBER_U4, hand="LEFT"))


def test_a_voided_number_is_spent_and_the_next_ordinals_are_taken(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A")
    halves = [replacement(revision="A"), replacement(revision="A", deck="L")]
    answer = correct_kit(stocked, KIT, void(NUMBER_U3, *halves))
    numbers = {row.number: row.status for row in answer.segments}
    assert numbers[NUMBER_U3] == "voided"
    new = sorted(set(numbers) - {row.number for row in issued.segments})
    assert [number.rsplit("-", 1)[0] for number in new] == [f"{KIT}-SW2-L1", f"{KIT}-SW2-U5"]
    assert resolve_mark(stocked, NUMBER_U3).void_reason == "typed wrong"
    # The replacement lies where the old one lay, so it has the old one's neighbours.
    upper = next(number for number in new if "-U5-" in number)
    assert {neighbour.place for neighbour in resolve_mark(stocked, upper).neighbours} == {"SW2-U2", "SW2-U4"}
    assert NUMBER_U3 not in {neighbour.number for neighbour in resolve_mark(stocked, NUMBER_U4).neighbours}
    with pytest.raises(PlaceVoided):
        print_segment(stocked, NUMBER_U3, form="png")
    with pytest.raises(PlaceVoided):
        correct_kit(stocked, KIT, void(NUMBER_U3))
    assert [event.verb for event in history(stocked, NUMBER_U3).events][-1] == "void"


def test_a_place_that_other_kits_lean_on_is_kept(stocked: Workshop, issued: KitAnswer) -> None:
    issue_small(
        stocked,
        container={"name": "sport 330 mL", "nominal": 330, "unit": "mL"},
        segments={"SW2": [{"deck": "U", "ordinal": 3, "shares": NUMBER_U3}, segment("SW2-U4")]},
    )
    with pytest.raises(SegmentShared, match="OSV4-FC1-A330"):
        correct_kit(stocked, KIT, void())


def test_a_correction_is_whole_or_not_at_all(stocked: Workshop, issued: KitAnswer) -> None:
    both = correction(
        correct=[{"number": NUMBER_U4, "facts": {"hand": "LEFT"}}],
        void=[{"number": NUMBER_U3, "replacements": [replacement(cut_file="never.dxf")]}],
    )
    before = show_kit(stocked, KIT)
    with pytest.raises(LintFailed) as caught:
        correct_kit(stocked, KIT, both)
    assert caught.value.findings[0].place == "void[0].replacements[0].cut_file"
    assert show_kit(stocked, KIT) == before


def test_two_people_do_not_overwrite_each_other(stocked: Workshop, issued: KitAnswer) -> None:
    seen = kit_version(stocked, KIT)
    correct_kit(stocked, KIT, facts(hand="LEFT"), seen=frozenset({str(seen)}))
    with pytest.raises(StaleEdit):
        correct_kit(stocked, KIT, facts(hand="RIGHT"), seen=frozenset({str(seen)}))


@pytest.mark.parametrize(
    ("kit", "request_", "kind"),
    [
        ("OSV4-FC1-A330", facts(hand="LEFT"), KitUnknown),
        (KIT, correction(), BadRequest),
        (KIT, facts(), BadRequest),
        (KIT, facts(NUMBER_PLATES, quantity=41), BadRequest),
        (KIT, facts(material="cheese"), LintFailed),
        (KIT, facts(cut_file=file_of("XX1-X1")), LintFailed),
        (KIT, facts("OSV4-FC1-A500-SW9-U9-99", hand="LEFT"), KitwrightError),
    ],
)
def test_a_wrong_correction_changes_nothing(
    stocked: Workshop, issued: KitAnswer, kit: str, request_: CorrectionRequest, kind: type[KitwrightError]
) -> None:
    with pytest.raises(kind):
        correct_kit(stocked, kit, request_)
    assert kit_version(stocked, KIT) == 1


def kit_facts(**facts: object) -> CorrectionRequest:
    return correction(kit=facts)


def test_facts_of_the_kit_itself_are_corrected_before_a_mark_exists(stocked: Workshop, issued: KitAnswer) -> None:
    answer = correct_kit(
        stocked,
        KIT,
        kit_facts(
            stock_colour="Blue",
            assemblies=[{"assembly": "sw2", "name": "transfer star wheel"}],
            container={"name": "tall round 0.5 L", "diameter_mm": 66.0},
            machine={"rotation": "counter-clockwise"},
        ),
    )
    assert (answer.stock_colour, answer.container, answer.rotation) == ("blue", "tall round 0.5 L", "anticlockwise")
    assert {row.stock_colour for row in answer.segments} == {"blue"}
    assert {row.assembly for row in answer.segments if row.place.startswith("SW2")} == {"transfer star wheel"}
    event = history(stocked, "container A500").events[-1]
    assert event.before == {"name": "tall round 500 mL", "diameter_mm": 65.3}


@pytest.mark.parametrize(
    "facts_",
    [
        {"stock_colour": "blue"},
        {"assemblies": [{"assembly": "SW2", "name": "transfer star wheel"}]},
        {"container": {"name": "square 500 mL"}},
        {"machine": {"name": "the big one"}},
    ],
)
def test_what_a_mark_bears_is_not_corrected(stocked: Workshop, issued: KitAnswer, facts_: dict[str, object]) -> None:
    print_segment(stocked, NUMBER_U3, form="png")
    with pytest.raises(MarkExists):
        correct_kit(stocked, KIT, kit_facts(**facts_))
    # No mark of the guide exists, so its assembly may still get its right name.
    correct_kit(stocked, KIT, kit_facts(assemblies=[{"assembly": "OR1", "name": "outer guide, infeed"}]))


@pytest.mark.parametrize(
    ("facts_", "kind"),
    [
        ({"stock_colour": "mood"}, LintFailed),
        ({"assemblies": [{"assembly": "SW9", "name": "none"}]}, BadRequest),
        ({"container": {"name": "a container with a name much too long for any nameplate to bear"}}, LintFailed),
    ],
)
def test_a_wrong_fact_of_the_kit_changes_nothing(
    stocked: Workshop, issued: KitAnswer, facts_: dict[str, object], kind: type[KitwrightError]
) -> None:
    with pytest.raises(kind):
        correct_kit(stocked, KIT, kit_facts(**facts_))
    assert show_kit(stocked, KIT).container == "tall round 500 mL"
    assert kit_version(stocked, KIT) == 1


def test_no_statement_of_the_program_could_delete_a_number(stocked: Workshop, issued: KitAnswer) -> None:
    for statement in ("DELETE FROM segment", "UPDATE segment SET number = 'X'", "DELETE FROM issued_key"):
        with pytest.raises(Exception, match="kept for ever"), stocked.database.write() as connection:
            connection.execute(text(statement))
    assert resolve_mark(stocked, NUMBER_U3).number == NUMBER_U3
