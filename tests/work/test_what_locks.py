"""What will lock, on real parts of the demonstration: releases of every kind, said rightly, wrongly and not at all."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from schemas.answers import RevisionAnswer
from schemas.locking import LockingAnswer, RevisionFitAnswer
from schemas.requests import ReorderRequest
from service.demo.drawing import dxf_bytes
from service.demo.filler_stars import discharge_star
from service.demo.joints import Dovetail, Joint
from service.demo.kit_a500 import BODY_MM
from service.demo.layout import FillerCapper
from service.demo.part import Disc, Part
from service.demo.star import StarWheel
from service.errors import BadRequest, FitDisputed, NoOutline, RevisionUnknown
from service.store import pieces, segments
from service.work.history import history
from service.work.joint_picture import joint_picture
from service.work.outlines_compared import Conditions
from service.work.release import release_revision
from service.work.reorder import reorder
from service.work.what_locks import what_locks
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.demo_data import fill, open_workshop

U2, U3, U4 = "OSV4-FC1-A500-SW2-U2-45", "OSV4-FC1-A500-SW2-U3-42", "OSV4-FC1-A500-SW2-U4-39"
FILE = "osv4-fc1-a500-sw2-u3.dxf"
WHEEL = discharge_star(FillerCapper.of_line_4().discharge, BODY_MM)


@pytest.fixture(scope="module")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("stock") / "demo"
    fill(folder)
    return folder


@pytest.fixture
def shop(stocked: Path, tmp_path: Path) -> Iterator[Workshop]:
    """The demonstration, its own copy for each test."""
    workshop = open_workshop(Path(shutil.copytree(stocked, tmp_path / "demo")))
    yield workshop
    workshop.database.close()


def with_joint(joint: Joint) -> StarWheel:
    """The wheel with another joint between quarters 3 and 4."""
    return replace(WHEEL, joints=(*WHEEL.joints[:2], joint, WHEEL.joints[3]))


def released(shop: Workshop, part: Part, *, joints_changed: str = "", interfaces_changed: str = "") -> RevisionAnswer:
    """Revision C of quarter 3; what B declared of its joint to quarter 4 still counts."""
    return release_revision(
        shop,
        FILE,
        dxf_bytes(part),
        revision="C",
        note="for the test",
        joints_changed=joints_changed,
        interfaces_changed=interfaces_changed,
    )


def verdict(shop: Workshop, revision: str = "C", **more: object) -> tuple[LockingAnswer, RevisionFitAnswer]:
    answer = what_locks(shop, U3, **more)  # type: ignore[arg-type]  # fields by name
    (found,) = [row for row in answer.revisions if row.revision == revision]
    return answer, found


def shifted(part: Part, x: float) -> Part:
    """The part with its bolt holes moved along x."""
    holes = tuple(hole.moved(x, 0) if isinstance(hole, Disc) else hole for hole in part.holes)
    return replace(part, holes=holes)


@pytest.mark.parametrize(
    ("left", "verdict_is"), [(Dovetail(107.0, 1), "collides"), (Dovetail(152.0, -1), "does_not_hold")]
)
def test_a_recess_or_a_lobe_that_is_left_out(shop: Workshop, left: Dovetail, verdict_is: str) -> None:
    """Of the two dovetails one comes out of each quarter: without its recess it collides, without it nothing holds."""
    released(shop, with_joint(Joint((left,))).segment(3))
    _, found = verdict(shop)
    (joint,) = [row for row in found.joints if row.place == "SW2-U4"]
    assert (found.verdict, joint.declared, joint.computed, found.disputed) == (verdict_is, False, False, False)
    if verdict_is == "collides":
        # By hand: the lobe is 16 mm deep and 18 to 28 mm wide, so no point of it lies deeper than half of the latter.
        assert 7.0 < joint.depth_mm < 16.0


def test_a_joint_cut_back_all_along_does_not_hold(shop: Workshop) -> None:
    """Half the wheel's gap is 0.075 mm a side; cut back by 0.8 mm the gap is 0.95 mm."""
    part = WHEEL.segment(3)
    released(shop, part)
    _, plain = verdict(shop)
    assert plain.verdict == "fits"
    _, found = verdict(shop, conditions=Conditions(oversize_mm=-0.4))
    (joint,) = [row for row in found.joints if row.place == "SW2-U4"]
    assert joint.state == "too_loose"
    assert joint.clearance is not None
    assert joint.clearance.median_mm == pytest.approx(0.95, abs=0.02)
    assert found.verdict == "does_not_hold"


def test_a_bolt_circle_that_moved_is_named_with_how_far(shop: Workshop) -> None:
    released(shop, shifted(WHEEL.segment(3), 0.5), interfaces_changed="bolt pattern")
    _, found = verdict(shop)
    assert found.verdict == "fits_but_differs"
    (difference,) = found.differences
    assert (difference.interface, difference.declared) == ("bolt pattern", True)
    assert difference.size_mm == pytest.approx(0.5, abs=0.01)


def test_a_wider_bore_is_named(shop: Workshop) -> None:
    wheel = replace(WHEEL, hub=replace(WHEEL.hub, bore_mm=101.0))
    released(shop, wheel.segment(3), interfaces_changed="hub bore")
    _, found = verdict(shop)
    assert found.verdict == "fits_but_differs"
    assert [row.interface for row in found.differences] == ["hub bore"]
    assert found.differences[0].size_mm == pytest.approx(0.5, abs=0.02)


def test_a_thickness_is_known_by_what_was_declared(shop: Workshop) -> None:
    released(shop, WHEEL.segment(3), interfaces_changed="thickness")
    _, found = verdict(shop)
    assert found.verdict == "fits_but_differs"
    assert [(row.interface, row.size_mm) for row in found.differences] == [("thickness", None)]


def test_a_withdrawn_revision_is_shown_and_in_no_set(shop: Workshop) -> None:
    withdraw_revision(shop, FILE, "B", "neck too thin")
    answer, found = verdict(shop, "B")
    assert found.withdrawn
    assert {row.revision for row in answer.sets} == {"A"}


def test_a_change_that_was_declared_and_not_made_is_disputed(shop: Workshop) -> None:
    released(shop, WHEEL.segment(3), joints_changed="SW2-U2")
    answer, found = verdict(shop)
    (joint,) = [row for row in found.joints if row.place == "SW2-U2"]
    assert (joint.declared, joint.computed, found.disputed) == (False, True, True)
    assert len(answer.disputes) >= 1


def test_a_pocket_that_was_widened_and_not_declared_is_disputed(shop: Workshop) -> None:
    released(shop, replace(WHEEL, pocket_mm=WHEEL.pocket_mm + 0.8).segment(3))
    answer, found = verdict(shop)
    assert (found.verdict, found.disputed) == ("fits_but_differs", True)
    assert any("pocket" in said for said in answer.disputes)
    with pytest.raises(FitDisputed, match="pocket"):
        order(shop, prefer="newest")


def test_who_is_no_survivor_stops_nothing(shop: Workshop) -> None:
    _, found = verdict(shop, "B", survivors=[U2])
    assert found.verdict == "fits_but_differs"
    assert [row.survives for row in found.joints] == [True, False]


def test_a_neighbour_of_unknown_build_is_unknown_and_leaves_the_exact_copy(shop: Workshop) -> None:
    with shop.database.write() as connection:
        neighbour = segments.find_segment(connection, U4)
        assert neighbour is not None
        connection.exec_driver_sql(f"UPDATE piece SET revision_id = NULL WHERE segment_id = {neighbour.id}")
        assert pieces.as_built(connection, [neighbour.id])[neighbour.id][0].revision is None
    answer = what_locks(shop, U3)
    assert [(row.revision, row.verdict) for row in answer.revisions] == [
        ("B", "unknown"),
        ("A", "exact"),
        ("-", "unknown"),
    ]
    assert answer.disputes == ()


def test_a_piece_from_a_warm_bench_is_tight_in_a_cold_machine(shop: Workshop) -> None:
    """By hand: 120 mm of joint, 45 K apart, 200e-6 / K: 1.1 mm, 0.5 mm at each end, more than 0.15 mm of gap."""
    _, cold = verdict(shop, "A", conditions=Conditions(temperature_c=4.0, piece_temperature_c=4.0))
    assert [row.state for row in cold.joints] == ["locks", "locks"]
    _, warm = verdict(shop, "A", conditions=Conditions(temperature_c=0.0, piece_temperature_c=45.0))
    assert {row.state for row in warm.joints} == {"collides"}
    assert warm.verdict == "exact"


def test_a_temperature_beyond_plastic_is_refused(shop: Workshop) -> None:
    with pytest.raises(BadRequest) as caught:
        what_locks(shop, U3, conditions=Conditions(temperature_c=400.0, piece_temperature_c=400.0))
    assert caught.value.field == "temperature_c"


def order(shop: Workshop, **more: object) -> tuple[str, str | None, tuple[str, ...], tuple[str, ...]]:
    answer = reorder(shop, ReorderRequest.model_validate({"mark": U3, "reason": "crushed", **more}))
    cut = answer.cut.revision if answer.cut else None
    return answer.outcome, cut, tuple(also.place for also in answer.also_cut), answer.reasons


def test_a_person_decides_a_dispute_and_it_goes_on_record(shop: Workshop) -> None:
    released(shop, with_joint(Joint((Dovetail(107.0, 1, width_mm=30.0, neck_mm=20.0), Dovetail(152.0, -1)))).segment(3))
    with pytest.raises(FitDisputed) as caught:
        order(shop, prefer="newest")
    assert "By the record" in caught.value.what
    assert "By the outlines" in caught.value.what
    for alone in ({"decide": "declared"}, {"decide_reason": "traced"}):
        with pytest.raises(BadRequest):
            order(shop, prefer="newest", **alone)
    outcome, cut, _, reasons = order(
        shop, prefer="newest", decide="declared", decide_reason="edges traced at the plant"
    )
    assert (outcome, cut) == ("current_needs_neighbours", "C")
    assert "edges traced at the plant" in reasons[-1]
    (event,) = [row for row in history(shop, U3).events if row.verb == "decide fit"]
    assert "traced" in str(event.after)


def test_an_exact_copy_is_never_held_up(shop: Workshop) -> None:
    released(shop, WHEEL.segment(3), joints_changed="SW2-U4,SW2-U2")
    assert order(shop)[:3] == ("exact", "A", ())


def test_the_picture_shows_both_pieces_the_overlap_and_figures(shop: Workshop) -> None:
    picture = joint_picture(shop, U3, "b", "sw2-u4")
    root = ElementTree.fromstring(picture)  # noqa: S314  our own picture
    shapes = [element.get("class") for element in root.iter() if element.get("class")]
    assert {"new-piece", "neighbour", "overlap", "whole", "gap"} <= set(shapes)
    texts = [element.text for element in root.iter() if element.tag.endswith("text")]
    assert {"SW2-U3 rev B", "SW2-U4 rev A", "1.85 mm deep", "10 mm"} <= set(texts)
    locked = joint_picture(shop, U3, "A", U4)
    assert "overlap" not in locked
    assert ">0.15<" in locked


def test_what_has_no_picture_is_said(shop: Workshop) -> None:
    with pytest.raises(RevisionUnknown):
        joint_picture(shop, U3, "K", "SW2-U4")
    with pytest.raises(BadRequest):
        joint_picture(shop, U3, "A", "SW2-U1")
    released(shop, WHEEL.segment(3).moved(600.0, 0.0))
    with pytest.raises(NoOutline):
        joint_picture(shop, U3, "C", "SW2-U4")
