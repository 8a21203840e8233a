"""Surveys of machines, kits to check before they are used again, and parts that serve two machines."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from schemas.answers import KitAnswer
from schemas.answers.machines import SurveyAnswer
from schemas.machines import ReuseCheckRequest, SameInterfaceRequest, SurveyRequest, WithdrawWordRequest
from schemas.manifest_reading import read_manifest
from service.errors import (
    BadRequest,
    Contradiction,
    LintFailed,
    MachineUnknown,
    SameInterfaceUnknown,
    UnknownCode,
)
from service.work.check_kit import check_kit
from service.work.history import history
from service.work.issue import issue_kit
from service.work.once import Retry
from service.work.prepare import prepare_kit
from service.work.same_interface import record_same_interface, withdraw_same_interface
from service.work.show_kit import show_kit
from service.work.survey import survey_machine
from service.work.where import show_machine
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U3, as_bytes, issue_small, manifest, segment

FC1, FC2 = "OSV4-FC1", "OSV4-FC2"
PITCH = {"pitch_mm": {"value": 104.72, "grade": "measured"}}


def surveyed(workshop: Workshop, **stated: object) -> SurveyAnswer:
    """A survey of the small kit's machine."""
    return survey_machine(workshop, FC1, SurveyRequest.model_validate(stated))


def for_fc2(*segments: dict[str, object]) -> bytes:
    """A kit for a second machine of the line."""
    return as_bytes(
        manifest(segments={"SW2": segments}, machine={"class": "FC", "ordinal": 2}, container={"code": "A500"})
    )


def test_a_survey_is_kept_as_a_revision_with_the_grade_of_each_dimension(stocked: Workshop, issued: KitAnswer) -> None:
    first = surveyed(
        stocked,
        surveyed_at="2026-03-02",
        by="fitter",
        note="with the guards off",
        rotation={"value": "Clockwise ", "grade": "measured"},
        infeed_hand={"value": "left", "grade": "copied_from_part"},
        pocket_count={"value": 24, "grade": "measured"},
        deck_heights_mm={"u": {"value": 182.5, "grade": "from_drawing"}},
        **PITCH,
    )
    second = surveyed(stocked, surveyed_at="2026-05-02", pocket_count={"value": 30, "grade": "from_drawing"})
    assert (first.revision, second.revision) == (1, 2)
    machine = show_machine(stocked, FC1)
    assert machine.surveys[0].model_dump(exclude={"check_before_reuse"}) == first.model_dump(
        exclude={"check_before_reuse"}
    )
    assert (first.by, second.by, first.surveyed_at) == ("fitter", "service", "2026-03-02T00:00:00Z")
    assert {row.name: (row.value, row.grade) for row in machine.known} == {
        "rotation": ("clockwise", "measured"),
        "infeed_hand": ("LEFT", "copied_from_part"),
        "pitch_mm": (104.72, "measured"),
        "pocket_count": (30.0, "from_drawing"),
        "deck_height_mm U": (182.5, "from_drawing"),
    }
    assert [event.verb for event in history(stocked, FC1).events] == ["survey", "survey"]
    assert issued.number in machine.kits


def test_a_survey_that_disagrees_with_itself_is_kept_and_says_so(stocked: Workshop, issued: KitAnswer) -> None:
    wrong = {
        **PITCH,
        "pocket_count": {"value": 24, "grade": "measured"},
        "pitch_diameter_mm": {"value": 805.0, "grade": "from_drawing"},
    }
    answer = surveyed(stocked, **wrong)
    (finding,) = answer.findings
    assert (finding.code, finding.level) == ("survey_disagrees", "warning")
    assert [one.code for one in show_machine(stocked, FC1).findings] == ["survey_disagrees"]
    right = {**wrong, "pitch_diameter_mm": {"value": 800.1, "grade": "measured"}}
    assert surveyed(stocked, **right).findings == ()
    assert show_machine(stocked, FC1).findings == ()
    assert issued.number


def test_a_rotation_that_marks_deny_is_pointed_out(stocked: Workshop, issued: KitAnswer) -> None:
    answer = surveyed(stocked, rotation={"value": "anticlockwise", "grade": "measured"})
    assert [finding.code for finding in answer.findings] == ["rotation_differs"]
    assert answer.check_before_reuse == (issued.number,)


@pytest.mark.parametrize(
    "stated",
    [
        {},
        {"note": "nothing was looked at"},
        {"pitch_mm": {"value": 0, "grade": "measured"}},
        {"pitch_mm": {"value": 104.72}},
        {"pitch_mm": {"value": 104.72, "grade": "guessed"}},
        {"pitch_mm": 104.72},
        {"pocket_count": {"value": 2.5, "grade": "measured"}},
        {"rotation": {"value": "left", "grade": "measured"}},
        {"deck_heights_mm": {"U": {"value": float("nan"), "grade": "measured"}}},
        {**PITCH, "colour": "green"},
    ],
)
def test_what_states_nothing_or_no_dimension_is_no_survey(stated: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        SurveyRequest.model_validate(stated)


def test_a_survey_of_no_machine_no_deck_or_tomorrow_is_refused(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(MachineUnknown):
        survey_machine(stocked, "OSV4-LB1", SurveyRequest.model_validate(PITCH))
    with pytest.raises(UnknownCode):
        surveyed(stocked, deck_heights_mm={"Q": {"value": 1.0, "grade": "measured"}})
    with pytest.raises(BadRequest):
        surveyed(stocked, surveyed_at="2999-01-01", **PITCH)
    assert show_machine(stocked, FC1).surveys == ()
    assert issued.number


def test_a_survey_after_the_kit_marks_it_until_somebody_held_it_against_the_machine(
    stocked: Workshop, issued: KitAnswer
) -> None:
    assert show_kit(stocked, issued.number).check_before_reuse == ()
    assert surveyed(stocked, **PITCH).check_before_reuse == (issued.number,)
    (reason,) = show_kit(stocked, issued.number).check_before_reuse
    assert "104.72 mm" in reason
    later = issue_kit(
        stocked,
        read_manifest(
            as_bytes(
                manifest(
                    segments={"SW2": [segment("SW2-U3")]},
                    container={"name": "square 500 mL", "nominal": 500, "unit": "mL"},
                )
            )
        ),
    )
    assert show_kit(stocked, later.number).check_before_reuse == (), "it was made by what the survey says"
    assert show_machine(stocked, FC1).check_before_reuse == (issued.number,)
    checked = check_kit(stocked, issued.number, ReuseCheckRequest(by="fitter", note="runs"))
    assert checked.check_before_reuse == ()
    assert "check" in [event.verb for event in history(stocked, issued.number).events]
    assert surveyed(stocked, **PITCH).check_before_reuse == (), "it only confirms"
    changed = surveyed(stocked, pitch_mm={"value": 105.5, "grade": "measured"})
    assert changed.check_before_reuse == (issued.number, later.number)


def test_a_kit_is_checked_against_a_survey_or_not_at_all(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(Contradiction, match="no survey"):
        check_kit(stocked, issued.number, ReuseCheckRequest())


def test_a_survey_sent_twice_is_one_revision(stocked: Workshop, issued: KitAnswer) -> None:
    asked, retry = SurveyRequest.model_validate(PITCH), Retry.of("survey-1", "POST", b"pitch")
    assert survey_machine(stocked, FC1, asked, retry=retry) == survey_machine(stocked, FC1, asked, retry=retry)
    assert len(show_machine(stocked, FC1).surveys) == 1
    assert issued.number


def same(workshop: Workshop, *assemblies: str) -> int:
    """The id of a word that both machines are the same where these assemblies meet them."""
    request = SameInterfaceRequest.model_validate(
        {"machines": [FC1.lower(), FC2], "assemblies": assemblies, "interface": "hub bore", "by": "fitter"}
    )
    return record_same_interface(workshop, request).same_interfaces[0].id


@pytest.mark.parametrize(("said", "may"), [("SW2", True), ("SW", True), ("SW1", False), ("BP", False)])
def test_a_part_serves_two_machines_only_where_somebody_said_that_they_are_the_same(
    stocked: Workshop, *, said: str, may: bool
) -> None:
    issue_small(stocked)
    issue_kit(stocked, read_manifest(for_fc2(segment("SW2-U4"))))
    shared = read_manifest(
        for_fc2({"deck": "U", "ordinal": 3, "shares": NUMBER_U3}).replace(
            b'"code": "A500"', b'"name": "square 500 mL", "nominal": 500, "unit": "mL"'
        )
    )
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, shared)
    assert caught.value.rule == "shared_across_machines"
    id_ = same(stocked, said)
    assert ("shared_across_machines" not in [one.code for one in prepare_kit(stocked, shared).findings]) == may
    withdraw_same_interface(stocked, id_, WithdrawWordRequest(reason="measured again: 0.4 mm off"))
    with pytest.raises(LintFailed):
        issue_kit(stocked, shared)
    same(stocked, "SW2")
    assert [row.number for row in issue_kit(stocked, shared).segments] == [NUMBER_U3]


def test_a_new_machine_shares_nothing_yet(stocked: Workshop, issued: KitAnswer) -> None:
    answer = prepare_kit(stocked, read_manifest(for_fc2({"deck": "U", "ordinal": 3, "shares": NUMBER_U3})))
    assert [finding.code for finding in answer.findings] == ["shared_across_machines"]
    assert issued.number


def test_words_about_machines_are_kept_with_who_said_them_and_withdrawn_ones_too(stocked: Workshop) -> None:
    issue_small(stocked)
    issue_kit(stocked, read_manifest(for_fc2(segment("SW2-U4"))))
    id_ = same(stocked, "SW2", "BP")
    with pytest.raises(Contradiction, match="already"):
        same(stocked, "BP")
    withdrawn = withdraw_same_interface(stocked, id_, WithdrawWordRequest(reason="measured again"))
    assert (withdrawn.withdrawn_reason, withdrawn.by) == ("measured again", "fitter")
    with pytest.raises(Contradiction, match="withdrawn"):
        withdraw_same_interface(stocked, id_, WithdrawWordRequest(reason="once more"))
    with pytest.raises(SameInterfaceUnknown):
        withdraw_same_interface(stocked, 99, WithdrawWordRequest(reason="no such word"))
    for designation in (FC1, FC2):
        words = show_machine(stocked, designation).same_interfaces
        assert [(word.assembly, word.withdrawn_at is None) for word in words] == [("SW2", False), ("BP", True)]
        assert [event.verb for event in history(stocked, designation).events] == ["same interface", "withdraw"]


def test_one_machine_twice_no_assembly_and_no_such_machine_are_refused(stocked: Workshop, issued: KitAnswer) -> None:
    def record(*machines: str, assembly: str = "SW2") -> None:
        asked = {"machines": machines, "assemblies": [assembly], "interface": "hub bore"}
        record_same_interface(stocked, SameInterfaceRequest.model_validate(asked))

    with pytest.raises(BadRequest, match="twice"):
        record(FC1, FC1)
    with pytest.raises(MachineUnknown):
        record(FC1, FC2)
    with pytest.raises(ValidationError):
        record(FC1, FC2, assembly="star wheel")
    issue_kit(stocked, read_manifest(for_fc2(segment("SW2-U4"))))
    with pytest.raises(UnknownCode):
        record(FC1, FC2, assembly="ZQ")
    assert issued.number
