"""From a validation error to sentences that people can act on."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from schemas.faults import findings_of, place_in_json
from schemas.manifest import KitManifest
from service.findings import Finding
from tests.small_kit import manifest, segment


def faults(document: object) -> tuple[Finding, ...]:
    with pytest.raises(ValidationError) as caught:
        KitManifest.model_validate(document)
    return findings_of(caught.value, rule="bad_manifest")


def one_fault(**changes: Any) -> Finding:
    (finding,) = faults(manifest(**changes))
    return finding


def star(**changes: object) -> dict[str, object]:
    return {"segments": {"SW2": [segment("SW2-U1", **changes)]}}


@pytest.mark.parametrize(
    ("location", "place"),
    [
        ((), ""),
        (("plant",), "plant"),
        (("plant", "code"), "plant.code"),
        (("assemblies", 0, "segments", 12, "hand"), "assemblies[0].segments[12].hand"),
        ((3,), "[3]"),
    ],
)
def test_a_place_is_written_as_people_write_it(location: tuple[int | str, ...], place: str) -> None:
    assert place_in_json(location) == place


UNPRINTABLE = "character 2 is U+0000, which can be neither printed nor kept"
A_PLACE = "a place is the assembly with its ordinal, then the deck with the segment's ordinal"
A_PLANT = "a plant code is 3 letters, or 4 once those are used up"
A_CONTAINER = "a container is its design letter and its nominal content"
AN_OBJECT = "an object with named fields is wanted here"
IN_STAR = "assemblies[0].segments[0]"
MANY = ["A500"] * 51


@pytest.mark.parametrize(
    ("changes", "place", "value", "message", "todo"),
    [
        ({"hue": 1}, "hue", "1", "no such field is known here", "Correct the name of 'hue' or take it out"),
        ({"plant": None}, "plant", "null", AN_OBJECT, "Give 'plant' as an object in braces"),
        ({"plant": {"code": "O5V"}}, "plant.code", "O5V", A_PLANT, "Write it like OSV"),
        (
            {"stock_colour": " "},
            "stock_colour",
            "",
            "string should have at least 1 character",
            "Correct 'stock_colour'",
        ),
        ({"stock_colour": "a\x00b"}, "stock_colour", "a·b", UNPRINTABLE, "Correct 'stock_colour'"),
        ({"line": {}}, "line.ordinal", "(not given)", "this field is missing", "Add 'ordinal'"),
        (
            {"line": {"ordinal": 100}},
            "line.ordinal",
            "100",
            "input should be less than or equal to 99",
            "Correct 'ordinal'",
        ),
        (
            {"assemblies": "SW2"},
            "assemblies",
            "SW2",
            "a list is wanted here",
            "Give 'assemblies' as a list in brackets",
        ),
        ({"assemblies": []}, "assemblies", "[]", "at least 1 item is wanted here", "Put more into 'assemblies'"),
        (
            {"serves": MANY},
            "serves",
            str(MANY)[:57] + "…",
            "at most 50 items are wanted here",
            "Take some out of 'serves'",
        ),
        ({"serves": ["A500", "500"]}, "serves[1]", "500", A_CONTAINER, "Write it like A500"),
        (
            star(hand="MIDDLE"),
            f"{IN_STAR}.hand",
            "MIDDLE",
            "input should be 'LEFT' or 'RIGHT'",
            "Use 'LEFT' or 'RIGHT'",
        ),
        (
            star(thickness_mm=float("nan")),
            f"{IN_STAR}.thickness_mm",
            "nan",
            "input should be a finite number",
            "Correct 'thickness_mm'",
        ),
        ({"joints": [{"between": ["SW2-U1", "U2"]}]}, "joints[0].between[1]", "U2", A_PLACE, "Write it like SW2-U3"),
    ],
)
def test_a_fault_is_a_sentence_with_its_place_and_the_next_thing_to_do(
    changes: dict[str, Any], place: str, value: str, message: str, todo: str
) -> None:
    finding = one_fault(**changes)
    said = (finding.place, finding.value, finding.message, finding.todo)
    assert said == (place, value, message, todo)
    assert finding.sentence() == f"{finding.field} '{value}' at {place}: {message}. {todo}."
    assert (finding.rule, finding.level) == ("bad_manifest", "error")


def test_every_fault_is_told_in_the_order_of_the_input() -> None:
    found = faults(manifest(plant={"code": "1"}, stock_colour="", segments={"SW2": [segment("SW2-U1", quantity=0)]}))
    assert [finding.place for finding in found] == [
        "plant.code",
        "stock_colour",
        "assemblies[0].segments[0].quantity",
    ]


def test_a_document_that_is_no_object_is_a_fault_of_the_whole() -> None:
    (finding,) = faults(["SW2"])
    assert (finding.field, finding.place) == ("body", "")


def test_a_value_is_cut_and_printable() -> None:
    finding = one_fault(stock_colour="\u202e" + "green" * 30)
    assert len(finding.value) <= 60
    assert finding.value.isprintable()
