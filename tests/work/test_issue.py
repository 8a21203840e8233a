"""Preparing and issuing a kit: whole or not at all, never a number twice."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from stdnum.iso7064 import mod_97_10

from schemas.manifest_reading import read_manifest
from service.errors import IdempotencyMismatch, KitwrightError, LintFailed, TokenStale, UnknownCode
from service.store.figures import counts
from service.work import prepare as prepare_module
from service.work.issue import issue, issue_kit
from service.work.once import Retry
from service.work.prepare import Prepared, prepare, prepare_kit
from service.work.show_kit import show_kit
from service.work.withdraw import withdraw_revision
from service.work.workshop import SERVICE, Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, NUMBER_U4, as_bytes, file_of, issue_small, manifest, segment


def on_record(workshop: Workshop) -> dict[str, int]:
    """How much is on record, by name."""
    with workshop.database.read() as connection:
        return {name: count for name, _words, count in counts(connection)}


def read(**changes: Any) -> Any:
    return read_manifest(as_bytes(manifest(**changes)))


def test_a_kit_is_issued_with_numbers_keys_pieces_and_joints(stocked: Workshop) -> None:
    answer = issue_kit(stocked, read())
    by_number = {row.number: row for row in answer.segments}
    assert answer.number == "OSV4-FC1-A500"
    assert answer.status == "issued"
    assert set(by_number) >= {NUMBER_U3, NUMBER_U4, NUMBER_PLATES}
    # A segment made once has a tracked piece with a key of its own; forty like ones have the segment's key only.
    assert by_number[NUMBER_U3].pieces[0].key not in (None, by_number[NUMBER_U3].key)
    assert by_number[NUMBER_PLATES].pieces == ()
    keys = [row.key for row in answer.segments] + [piece.key for row in answer.segments for piece in row.pieces]
    assert None not in keys
    assert len(set(keys)) == len(keys)
    # Quarters that lie 0.3 mm apart touch; each has two neighbours.
    assert len(answer.joints) == 4
    assert all(joint.inferred for joint in answer.joints)


def test_the_check_of_every_number_is_that_of_an_independent_library(stocked: Workshop) -> None:
    for row in issue_kit(stocked, read()).segments:
        body, check = row.number.rsplit("-", 1)
        digits = "".join(str(int(char, 36)) for char in body.replace("-", ""))
        # python-stdnum 2.2, ISO/IEC 7064 MOD 97-10.
        assert mod_97_10.calc_check_digits(digits) == check


def test_mass_follows_from_the_outline(stocked: Workshop) -> None:
    answer = issue_kit(stocked, read())
    area_mm2 = 150 * 150 - 3.14159265 * 10**2
    expected_kg = area_mm2 * 25 * 0.93e-6  # UHMW-PE 0.93 g/cm3, see the table of materials
    assert answer.segments[0].mass_kg == pytest.approx(expected_kg, rel=1e-3)


def test_preparing_shows_all_and_reserves_nothing(stocked: Workshop) -> None:
    before = on_record(stocked)
    prepared = prepare_kit(stocked, read())
    assert prepared.status == "prepared"
    assert prepared.token
    assert NUMBER_U3 in [row.number for row in prepared.segments]
    assert all(row.key is None for row in prepared.segments)
    assert on_record(stocked) == before
    assert issue_kit(stocked, read(), token=prepared.token).segments[0].number == prepared.segments[0].number


def test_a_token_that_no_longer_holds_is_refused(stocked: Workshop) -> None:
    prepared = prepare_kit(stocked, read())
    other = read(stock_colour="blue")
    with pytest.raises(TokenStale):
        issue_kit(stocked, other, token=prepared.token)
    assert on_record(stocked)["kits"] == 0


def test_issuing_takes_only_what_preparing_returned(stocked: Workshop) -> None:
    with stocked.database.read() as connection:
        prepared = prepare(stocked, connection, read())
    with pytest.raises(TypeError, match="made by prepare"):
        Prepared(prepared.draft, (), prepared.shop, (), prepared.token, prepared.journal, object())
    assert prepare_module.Prepared is Prepared


def test_a_refused_kit_cannot_be_issued_behind_the_verb(stocked: Workshop) -> None:
    with stocked.database.read() as connection:
        prepared = prepare(stocked, connection, read(assemblies=broken_assembly(cut_file="never.dxf")))
    with pytest.raises(LintFailed), stocked.database.write() as connection:
        issue(connection, prepared, now="2026-03-09T08:15:00Z", actor=SERVICE)


def broken_assembly(**changes: object) -> list[dict[str, object]]:
    return [{"code": "SW", "ordinal": 2, "segments": [segment("SW2-U1", **changes)]}]


@pytest.mark.parametrize(
    ("changes", "rule", "place"),
    [
        (
            {"assemblies": broken_assembly(cut_file="never.dxf")},
            "cut_file_unknown",
            "assemblies[0].segments[0].cut_file",
        ),
        ({"assemblies": broken_assembly(revision="Y")}, "revision_unknown", "assemblies[0].segments[0].revision"),
        ({"assemblies": broken_assembly(material="cheese")}, "unknown_code", "assemblies[0].segments[0].material"),
        (
            {"assemblies": broken_assembly(stock_colour="mood")},
            "unknown_code",
            "assemblies[0].segments[0].stock_colour",
        ),
        ({"assemblies": broken_assembly(thickness_mm=None)}, "missing_field", "assemblies[0].segments[0].thickness_mm"),
        ({"stock_colour": "mood"}, "unknown_code", "stock_colour"),
        ({"segments": {"SW2": [segment("SW2-U1"), segment("SW2-U1")]}}, "duplicate_place", "assemblies[0].segments[1]"),
        ({"joints": [{"between": ["SW2-U1", "SW2-U9"]}]}, "joint_unknown", "joints[0].between"),
        ({"joints": [{"between": ["SW2-U1", "SW2-U1"]}]}, "joint_wrong", "joints[0].between"),
        ({"plant": {"code": "OSV"}}, "missing_the_first_time", "plant.name"),
        ({"container": {"code": "A500"}}, "missing_the_first_time", "container.name"),
        (
            {"container": {"code": "A500", "name": "x", "nominal": 330, "unit": "mL"}},
            "container_code_digits",
            "container.code",
        ),
        ({"serves": ["C500"]}, "container_unknown", "serves[0]"),
        (
            {"segments": {"SW2": [{"deck": "U", "ordinal": 1, "shares": NUMBER_U3}]}},
            "number_unknown",
            "assemblies[0].segments[0].shares",
        ),
    ],
)
def test_each_fault_is_named_with_its_place_and_nothing_is_stored(
    stocked: Workshop, changes: dict[str, Any], rule: str, place: str
) -> None:
    before = on_record(stocked)
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, read(**changes))
    faults = {(finding.rule, finding.place) for finding in caught.value.findings if finding.level == "error"}
    assert (rule, place) in faults
    assert all(finding.todo for finding in caught.value.findings)
    assert on_record(stocked) == before


@pytest.mark.parametrize(
    "changes",
    [
        {"machine": {"class": "QQ", "ordinal": 1}},
        {"assemblies": [{"code": "QQ", "ordinal": 1, "segments": [segment("SW2-U1")]}]},
        {"assemblies": [{"code": "SW", "ordinal": 2, "segments": [segment("SW2-U1", deck="Q")]}]},
        {"container": {"code": "B500", "name": "x", "nominal": 500, "unit": "mL"}},
    ],
)
def test_a_code_in_no_table_is_refused_with_those_that_are(stocked: Workshop, changes: dict[str, Any]) -> None:
    with pytest.raises(UnknownCode, match="Use one of"):
        issue_kit(stocked, read(**changes))


def test_text_that_fits_no_plate_is_refused_by_field(stocked: Workshop) -> None:
    container = {**manifest()["container"], "name": "a container with a name much too long for any nameplate to bear"}
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, read(container=container))
    assert caught.value.rule == "field_does_not_fit"
    assert caught.value.field == "container"


def test_letters_that_the_face_lacks_are_refused_by_name(stocked: Workshop) -> None:
    container = {**manifest()["container"], "name": "高圆 500 mL"}
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, read(container=container))
    assert caught.value.rule == "missing_glyph"


def test_a_kit_is_issued_once(stocked: Workshop) -> None:
    issue_small(stocked)
    before = on_record(stocked)
    with pytest.raises(LintFailed) as caught:
        issue_small(stocked)
    assert caught.value.rule == "kit_exists"
    assert on_record(stocked) == before


@pytest.mark.parametrize(
    ("part", "field"),
    [
        ({"machine": {"class": "FC", "ordinal": 1, "rotation": "anticlockwise"}}, "machine.rotation"),
        ({"plant": {"code": "OSV", "name": "Elsewhere"}}, "plant.name"),
        ({"plant": {"code": "OSV", "customer": "Pellworth Sauces"}}, "plant.customer"),
    ],
)
def test_a_record_that_says_otherwise_is_not_changed(stocked: Workshop, part: dict[str, Any], field: str) -> None:
    issue_small(stocked)
    other = {"container": {"name": "sport 330 mL", "nominal": 330, "unit": "mL"}, **part}
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, read(**other))
    assert (caught.value.rule, caught.value.field) == ("contradiction", field)
    assert show_kit(stocked, "OSV4-FC1-A500").plant == "Ostrey Vale"


def test_a_container_registered_otherwise_is_a_contradiction(stocked: Workshop) -> None:
    issue_small(stocked)
    container = {**manifest()["container"], "diameter_mm": 70.0}
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, read(container=container, machine={"class": "FC", "ordinal": 2}))
    assert ("contradiction", "container.diameter_mm") in {(f.rule, f.field) for f in caught.value.findings}


def test_the_service_finds_the_design_letter(stocked: Workshop) -> None:
    issue_small(stocked)
    square = {"name": "square 500 mL", "nominal": "0.5", "unit": "L", "shape": "square"}
    answer = issue_kit(stocked, read(container=square))
    assert answer.container_code == "C500"
    # The same container on another machine is found again by its name.
    again = issue_kit(
        stocked,
        read(container={"name": "square 500 mL", "nominal": "0.5", "unit": "L"}, machine={"class": "CP", "ordinal": 1}),
    )
    assert again.number == "OSV4-CP1-C500"


def test_a_repeated_request_gets_the_same_answer_and_issues_nothing(stocked: Workshop) -> None:
    payload = as_bytes(manifest())
    first = issue_kit(stocked, read_manifest(payload), retry=Retry.of('"k-1"', "POST /api/kits", payload))
    before = on_record(stocked)
    again = issue_kit(stocked, read_manifest(payload), retry=Retry.of("k-1", "POST /api/kits", payload))
    assert json.loads(again.model_dump_json()) == json.loads(first.model_dump_json())
    assert on_record(stocked) == before
    other = as_bytes(manifest(stock_colour="blue"))
    with pytest.raises(IdempotencyMismatch):
        issue_kit(stocked, read_manifest(other), retry=Retry.of("k-1", "POST /api/kits", other))


def test_a_refused_request_may_be_corrected_under_its_key(stocked: Workshop) -> None:
    bad = as_bytes(manifest(stock_colour="mood"))
    with pytest.raises(LintFailed):
        issue_kit(stocked, read_manifest(bad), retry=Retry.of("k-2", "POST /api/kits", bad))
    good = as_bytes(manifest())
    assert issue_kit(stocked, read_manifest(good), retry=Retry.of("k-2", "POST /api/kits", good)).status == "issued"


def test_a_shared_segment_keeps_its_number(stocked: Workshop) -> None:
    issue_small(stocked)
    shared = {
        "SW1": [segment("SW1-U1", cut_file=file_of("SW2-U1"))],
        "SW2": [{"deck": "U", "ordinal": 3, "shares": NUMBER_U3}],
    }
    other = {"name": "sport 330 mL", "nominal": 330, "unit": "mL"}
    answer = issue_kit(stocked, read(container=other, segments=shared))
    assert [row.number for row in answer.segments if row.status == "shared"] == [NUMBER_U3]
    assert on_record(stocked)["segments"] == 7


def test_a_withdrawn_revision_is_not_issued(stocked: Workshop) -> None:
    withdraw_revision(stocked, file_of("SW2-U1"), "-", "pocket drawn too deep")
    with pytest.raises(LintFailed) as caught:
        issue_small(stocked)
    assert caught.value.rule == "revision_withdrawn"
    assert "pocket drawn too deep" in str(caught.value)


def test_whatever_fails_late_leaves_nothing(stocked: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error after the rows are written, before the commit: the last thing that issuing does is to record it."""

    def fail(*_args: object, **_more: object) -> None:
        raise RuntimeError("the disk is full")

    before = on_record(stocked)
    monkeypatch.setattr("service.work.issue.events.record_many", fail)
    with pytest.raises(RuntimeError):
        issue_small(stocked)
    assert on_record(stocked) == before


def test_every_sentence_names_field_value_and_next_step(stocked: Workshop) -> None:
    calls: list[Callable[[], object]] = [
        lambda: issue_kit(stocked, read(stock_colour="mood")),
        lambda: issue_kit(stocked, read(plant={"code": "OSV"})),
        lambda: read(plant={"code": "O5V"}),
    ]
    for call in calls:
        with pytest.raises(KitwrightError) as caught:
            call()
        sentence = str(caught.value)
        assert caught.value.field in sentence
        assert sentence.endswith(f"{caught.value.todo}.")
