"""What a release declares, held against what its outline changes."""

from __future__ import annotations

import pytest

from schemas.answers import KitAnswer
from service.work.release import show_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4, QUARTERS, file_of, make_dxf, release

LEFT, BOTTOM = QUARTERS[3]


def found(workshop: Workshop, data: bytes, **declared: str) -> list[tuple[str, object, str | None]]:
    answer = release(workshop, "SW2-U3", revision="A", data=data, **declared)
    assert all(finding.level == "warning" for finding in answer.findings)
    assert show_revision(workshop, file_of("SW2-U3"), "A").sha256 == answer.sha256, "it is released all the same"
    return [(finding.code, finding.value, finding.place) for finding in answer.findings]


def test_a_joint_that_changes_without_a_word_names_the_neighbour_and_the_picture(
    stocked: Workshop, issued: KitAnswer
) -> None:
    higher = make_dxf(corner=(LEFT, BOTTOM), height_mm=151, hole_at=(LEFT + 30, BOTTOM + 30))
    answer = release(stocked, "SW2-U3", revision="A", data=higher)
    (finding,) = answer.findings
    assert (finding.code, finding.value, finding.place) == ("change_not_declared", "SW2-U4", NUMBER_U4)
    assert "1.00 mm" in finding.message
    assert f"/api/segments/{NUMBER_U3}/locking/A/{NUMBER_U4}.svg" in finding.todo


def test_a_joint_that_is_declared_and_drawn_is_well(stocked: Workshop, issued: KitAnswer) -> None:
    assert release(stocked, "SW2-U3", revision="A", joints_changed="SW2-U4").findings == ()


@pytest.mark.parametrize("name", ["SW2-U2", NUMBER_U2])
def test_a_joint_that_is_declared_and_not_drawn_is_named(stocked: Workshop, issued: KitAnswer, name: str) -> None:
    same = make_dxf(corner=(LEFT, BOTTOM))
    assert found(stocked, same, joints_changed=name) == [("change_not_drawn", "SW2-U2", NUMBER_U2)]


def test_a_hole_that_is_wider_without_a_word_is_named(stocked: Workshop, issued: KitAnswer) -> None:
    wider = make_dxf(corner=(LEFT, BOTTOM), hole_mm=21)
    assert found(stocked, wider) == [("change_not_declared", "bolt pattern", "")]


def test_a_thickness_is_taken_at_its_word_and_a_pocket_is_not(stocked: Workshop, issued: KitAnswer) -> None:
    same = make_dxf(corner=(LEFT, BOTTOM))
    assert found(stocked, same, interfaces_changed="thickness, pocket") == [("change_not_drawn", "pocket", "")]


def test_what_nobody_is_cut_from_is_compared_too(stocked: Workshop) -> None:
    wider = make_dxf(corner=(LEFT, BOTTOM), hole_mm=22)
    assert found(stocked, wider) == [("change_not_declared", "bolt pattern", "")]
