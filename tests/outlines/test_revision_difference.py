"""In which features two revisions differ, against changes that were made on purpose."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import MultiPolygon, Point, Polygon, box

from service.demo.drawing import dxf_bytes
from service.demo.filler_stars import discharge_star
from service.demo.joints import Dovetail, Joint
from service.demo.kit_a500 import BODY_MM
from service.demo.layout import FillerCapper
from service.demo.part import Part
from service.demo.plates import bottle_plate
from service.outlines.drawing import Drawing, read_drawing
from service.outlines.features import holes_of
from service.outlines.revision_difference import revision_differences

WHEEL = discharge_star(FillerCapper.of_line_4().discharge, BODY_MM)


def drawn(part: Part) -> Drawing:
    return read_drawing(dxf_bytes(part), name="part.dxf")


QUARTER, BESIDE = drawn(WHEEL.segment(3)), {"U2": drawn(WHEEL.segment(2)), "U4": drawn(WHEEL.segment(4))}


def found(after: Drawing, before: Drawing = QUARTER) -> dict[tuple[str, str], float]:
    return {
        (difference.interface, difference.neighbour): difference.size_mm
        for difference in revision_differences(before, after, BESIDE)
    }


def test_nothing_differs_from_itself_however_it_is_drawn() -> None:
    assert found(drawn(WHEEL.segment(3))) == {}
    assert found(read_drawing(dxf_bytes(WHEEL.segment(3), entities="lines and arcs"), name="a.dxf")) == {}
    assert found(read_drawing(dxf_bytes(WHEEL.segment(3), unit="in"), name="a.dxf")) == {}


@pytest.mark.parametrize("wider", [0.2, 0.8, 2.0])
def test_pockets(wider: float) -> None:
    """By hand: the radius of a pocket grows by half of what it is wider."""
    after = found(drawn(replace(WHEEL, pocket_mm=WHEEL.pocket_mm + wider).segment(3)))
    assert after == {("pocket", ""): pytest.approx(wider / 2, abs=0.02)}


@pytest.mark.parametrize("wider", [0.3, 1.0, 4.0])
def test_the_bore_of_a_star(wider: float) -> None:
    hub = replace(WHEEL.hub, bore_mm=WHEEL.hub.bore_mm + wider)
    after = found(drawn(replace(WHEEL, hub=hub).segment(3)))
    assert after == {("hub bore", ""): pytest.approx(wider / 2, abs=0.02)}


def test_bolts_that_are_wider_or_on_another_circle() -> None:
    """By hand: a hole 1 mm wider is 0.5 mm wider all round; a bolt circle 2 mm wider moves each hole by 1 mm."""
    wider = replace(WHEEL, hub=replace(WHEEL.hub, bolt_mm=WHEEL.hub.bolt_mm + 1.0))
    assert found(drawn(wider.segment(3))) == {("bolt pattern", ""): pytest.approx(0.5, abs=0.01)}
    moved = replace(WHEEL, hub=replace(WHEEL.hub, bolt_circle_mm=WHEEL.hub.bolt_circle_mm + 2.0))
    assert found(drawn(moved.segment(3))) == {("bolt pattern", ""): pytest.approx(1.0, abs=0.01)}


@pytest.mark.parametrize("wider", [0.4, 1.0, 4.0])
def test_a_joint_is_named_by_its_neighbour(wider: float) -> None:
    """By hand: a dovetail wider by this reaches out by half of it on each side."""
    lobe = Dovetail(107.0, 1, width_mm=28.0 + wider, neck_mm=18.0 + wider)
    joints = (*WHEEL.joints[:2], Joint((lobe, Dovetail(152.0, -1))), WHEEL.joints[3])
    after = found(drawn(replace(WHEEL, joints=joints).segment(3)))
    assert list(after) == [("joint", "U4")]
    # The flank leans, so square to it the way is a little shorter; at the corner of the head it is the whole way.
    assert wider / 2 * 0.9 <= after["joint", "U4"] <= wider / 2 + 0.02


def test_a_hand_slot_is_an_opening() -> None:
    assert WHEEL.hand_slot is not None
    after = found(drawn(replace(WHEEL, hand_slot=replace(WHEEL.hand_slot, width_mm=28.0)).segment(3)))
    assert after == {("opening", ""): pytest.approx(1.0, abs=0.05)}


def test_the_outside_contour() -> None:
    plate, wider = drawn(bottle_plate(108.0)), drawn(bottle_plate(109.0))
    after = revision_differences(plate, wider)
    # The bolts of this plate stand at a share of its diameter.
    assert {difference.interface for difference in after} == {"outside contour", "bolt pattern"}
    assert next(row.size_mm for row in after if row.interface == "outside contour") == pytest.approx(0.5, abs=0.02)


def test_holes_that_come_and_go() -> None:
    plain = MultiPolygon([box(0, 0, 200, 100)])
    bored = MultiPolygon([Polygon(box(0, 0, 200, 100).exterior, [Point(40, 40).buffer(5).exterior])])
    before, after = (Drawing(shape, (), (), (), "mm", 1.0) for shape in (plain, bored))
    (added,) = revision_differences(before, after)
    assert (added.interface, added.what) == ("bolt pattern", "Ø 10.0 mm added")
    (gone,) = revision_differences(after, before)
    assert gone.what == "Ø 10.0 mm gone"


def test_holes_are_told_by_form() -> None:
    plate = holes_of(drawn(bottle_plate(108.0)))
    assert sorted(hole.interface for hole in plate) == ["bolt pattern"] * 3 + ["hub bore"]
    assert sorted(hole.interface for hole in holes_of(QUARTER)) == ["bolt pattern", "bolt pattern", "opening"]
