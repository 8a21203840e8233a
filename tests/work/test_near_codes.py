"""New codes are compared with those in use in the same plant, plants with those of the shop, on both databases."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from schemas.answers import FindingAnswer, KitAnswer
from schemas.machines import MoveRequest
from schemas.manifest_reading import read_manifest
from schemas.pieces import RetirementRequest
from schemas.requests import CodeRequest
from service.errors import BadCode, BadRequest, PlaceUnknown, UnknownCode
from service.work.check_code import check_code
from service.work.move import move_machine
from service.work.prepare import prepare_kit
from service.work.retire import retire_kit
from service.work.shop_facts import add_code
from service.work.workshop import Workshop
from tests.small_kit import as_bytes, issue_small, manifest, segment

MARROWGATE = {"code": "MRG", "name": "Marrowgate", "customer": "Pellworth Sauces"}
STAR = {"SW2": [segment("SW2-U3")]}


def container(code: str | None, nominal: int, name: str = "another one") -> dict[str, object]:
    """A container that is not on record yet."""
    given: dict[str, object] = {"name": name, "nominal": nominal, "unit": "mL"}
    return given if code is None else {"code": code, **given}


def prepared(workshop: Workshop, **changes: Any) -> KitAnswer:
    """The small kit as it would be issued, with what the test changes; a star of one segment."""
    return prepare_kit(workshop, read_manifest(as_bytes(manifest(**{"segments": STAR, **changes}))))


def issued(workshop: Workshop, **changes: Any) -> KitAnswer:
    """The same kit, issued."""
    return issue_small(workshop, **{"segments": STAR, **changes})


def near(answer: KitAnswer) -> list[FindingAnswer]:
    """The findings of the gate."""
    return [finding for finding in answer.findings if finding.code.endswith("_near")]


def test_a_container_near_one_in_use_is_told_with_its_rival_and_a_better_code(stocked: Workshop) -> None:
    issued(stocked, container=container("M500", 500, "oval 500 mL"))
    issued(stocked, container=container("A500", 500, "round 500 mL"))
    answer = prepared(stocked, container=container("N500", 500))
    (finding,) = near(answer)
    assert (finding.code, finding.level, finding.value) == ("container_code_near", "warning", "N500")
    assert "M500, which is in use in this plant, only in N for M, which look alike, sound alike" in finding.message
    assert finding.todo.startswith("Take C500 instead")
    assert answer.token
    assert near(prepared(stocked, container=container("C500", 500))) == []


def test_digits_count_too(stocked: Workshop) -> None:
    issued(stocked)
    (finding,) = near(prepared(stocked, container=container("A900", 900)))
    assert "9 for 5, which sound alike" in finding.message
    assert near(prepared(stocked, container=container("A330", 330))) == []


def test_a_container_on_record_is_not_compared_again(stocked: Workshop) -> None:
    issued(stocked, container=container("M500", 500))
    issued(stocked, container=container("N500", 500))
    assert near(prepared(stocked, container={"code": "N500"}, machine={"class": "FC", "ordinal": 2})) == []


def test_what_lives_in_another_plant_is_no_rival(stocked: Workshop) -> None:
    issued(stocked, container=container("M500", 500))
    assert near(prepared(stocked, plant=MARROWGATE, container=container("N500", 500))) == []


def test_a_machine_brings_its_containers_along(stocked: Workshop) -> None:
    sister = {**MARROWGATE, "customer": "Tarnquill Waters"}
    issued(stocked, plant=sister, container=container("M500", 500))
    issued(stocked, container=container("A330", 330))
    assert near(prepared(stocked, container=container("N500", 500))) == []
    move_machine(stocked, "MRG4-FC1", MoveRequest.model_validate({"plant": "OSV", "line": 4, "since": "2026-01-01"}))
    assert len(near(prepared(stocked, container=container("N500", 500)))) == 1


def test_a_further_container_of_a_kit_lives_too(stocked: Workshop) -> None:
    first = issued(stocked, container=container("M500", 500))
    issued(stocked, container=container("A330", 330), serves=["M500"])
    retire_kit(stocked, first.number, RetirementRequest(reason="worn out"))
    assert len(near(prepared(stocked, container=container("N500", 500)))) == 1


def test_a_retired_kit_leaves_its_codes_free(stocked: Workshop) -> None:
    issued(stocked)
    kit = issued(stocked, container=container("M500", 500))
    retire_kit(stocked, kit.number, RetirementRequest(reason="worn out"))
    assert near(prepared(stocked, container=container("N500", 500))) == []


def test_the_letter_that_the_service_gives_is_clear_of_those_in_use(stocked: Workshop) -> None:
    codes = []
    for name in ("round", "square", "oval", "flask", "jug", "jar"):
        answer = issued(stocked, container=container(None, 500, name))
        assert near(answer) == []
        codes.append(answer.container_code)
    assert codes == ["A500", "C500", "F500", "M500", "R500", "Y500"]
    assert prepared(stocked, container=container(None, 330)).container_code == "A330"


def test_a_letter_is_passed_over_when_its_digits_are_near_too(stocked: Workshop) -> None:
    issued(stocked)
    assert prepared(stocked, container=container(None, 900)).container_code == "C900"


def test_a_letter_that_no_kit_in_use_bears_is_still_not_given_twice(stocked: Workshop) -> None:
    kit = issued(stocked)
    retire_kit(stocked, kit.number, RetirementRequest(reason="worn out"))
    assert prepared(stocked, container=container(None, 500)).container_code == "C500"


def test_a_plant_near_one_of_the_shop_is_told(stocked: Workshop) -> None:
    kit = issued(stocked)
    new = {"name": "Overstead", "customer": "Pellworth Sauces"}
    (finding,) = near(prepared(stocked, plant={"code": "OVS", **new}, container=container("A500", 500)))
    assert finding.code == "plant_code_near"
    assert "OSV, which is in use in this shop, only in VS for SV, the same in the other order" in finding.message
    better = finding.todo.split()[1]
    assert near(prepared(stocked, plant={"code": better, **new}, container=container("A500", 500))) == []
    assert near(prepared(stocked, plant=MARROWGATE, container=container("A500", 500))) == []
    retire_kit(stocked, kit.number, RetirementRequest(reason="worn out"))
    assert near(prepared(stocked, plant={"code": "OVS", **new}, container=container("A500", 500))) == []


def test_an_assembly_of_the_shops_own_near_one_in_use_is_told_when_it_first_comes(stocked: Workshop) -> None:
    add_code(stocked, CodeRequest(table="assembly", code="RO", name="roller"))
    own = {"RO1": [segment("SW2-U3", deck="L")], "RO11": [segment("SW2-U4", deck="L")]}
    assert near(prepared(stocked, segments=own)) == []
    together = prepared(stocked, segments={**own, "OR1": [segment("OR1-L1")]})
    assert [finding.code for finding in near(together)] == ["assembly_code_near"]
    assert near(issued(stocked, segments={"OR1": [segment("OR1-L1")]})) == []
    second = {"segments": own, "container": container("C330", 330)}
    (finding,) = near(prepared(stocked, **second))
    assert finding.value == "RO"
    assert "OR, which is in use in this plant, only in RO for OR" in finding.message
    issued(stocked, **second)
    assert near(prepared(stocked, segments=own, container=container("F250", 250))) == []


def test_codes_that_every_shop_begins_with_are_not_held_against_each_other(stocked: Workshop) -> None:
    add_code(stocked, CodeRequest(table="assembly", code="QX", name="quick plate"))
    kit = {"SW2": [segment("SW2-U3")], "WS1": [segment("SW2-U4", deck="L")]}
    assert near(prepared(stocked, segments=kit)) == []


def test_a_code_can_be_asked_about_before_it_is_given(stocked: Workshop) -> None:
    issued(stocked)
    issued(stocked, container=container("M500", 500))
    asked = check_code(stocked, kind="container", code="n500", plant="osv")
    assert (asked.code, asked.plant, asked.in_use, asked.clear) == ("N500", "OSV", False, False)
    assert [(rival.code, rival.near) for rival in asked.rivals] == [("M500", True), ("A500", False)]
    assert Decimal(str(asked.rivals[0].distance)) == Decimal("0.15")
    assert asked.better[0] == "C500"
    assert not {"A500", "M500", "N500"} & set(asked.better)
    taken = check_code(stocked, kind="container", code="M500", plant="OSV")
    assert (taken.in_use, taken.clear) == (True, False)
    assert taken.better
    assert check_code(stocked, kind="container", code="C500", plant="OSV").clear
    plant = check_code(stocked, kind="plant", code="OSU", plant=None)
    assert (plant.plant, plant.rivals[0].code, plant.clear) == (None, "OSV", False)
    assert check_code(stocked, kind="plant", code=plant.better[0], plant=None).clear
    assembly = check_code(stocked, kind="assembly", code="RO", plant=None)
    assert assembly.rivals[0].code == "OR"
    add_code(stocked, CodeRequest(table="assembly", code=assembly.better[0], name="roller"))
    assert check_code(stocked, kind="assembly", code="RO", plant="OSV").clear is True


@pytest.mark.parametrize(
    ("kind", "code", "plant", "error"),
    [
        ("container", "500", "OSV", BadCode),
        ("container", "A0500", "OSV", BadCode),
        ("container", "B500", "OSV", UnknownCode),
        ("container", "A500", None, BadRequest),
        ("container", "A500", "XYZ", PlaceUnknown),
        ("assembly", "SW2", None, BadCode),
        ("plant", "OS", None, BadCode),
    ],
)
def test_what_is_no_code_is_refused(stocked: Workshop, kind: Any, code: str, plant: str | None, error: type) -> None:
    issued(stocked)
    with pytest.raises(error):
        check_code(stocked, kind=kind, code=code, plant=plant)
