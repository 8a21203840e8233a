"""Star wheels: the pitch circle, the pockets, the split, and the order of the segments."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import hypot, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point as Spot
from shapely import unary_union

from service.demo.contour import bearing, polar
from service.demo.filler_stars import POCKET_CLEARANCE_MM, capper_star, discharge_star, small_star
from service.demo.joints import CUTTER_RADIUS_MM, Dovetail, Joint
from service.demo.layout import FillerCapper
from service.demo.shapes import rectangle
from service.demo.star import KEYWAY_DEG, EngravingZone, StarWheel, pitch_diameter_mm
from tests.demo.flattened import material, polygon, walked

BODY_MM = 65.8
MACHINE = FillerCapper.of_line_4()
WHEELS = {
    "infeed": small_star(MACHINE.infeed, BODY_MM),
    "discharge": discharge_star(MACHINE.discharge, BODY_MM),
    "capper": capper_star(MACHINE.capper, BODY_MM),
    "labeller": small_star(MACHINE.exit, BODY_MM, "clockwise"),
}
SQUARE = replace(small_star(MACHINE.infeed, 62.4), pocket_corner_mm=10.0)
EACH = pytest.mark.parametrize("wheel", WHEELS.values(), ids=WHEELS)


def test_the_pitch_diameter_is_pockets_times_pitch_over_pi() -> None:
    # Geometry of a circle: its circumference holds the pockets. 12 pockets at 4½ in (114.3 mm): 436.6 mm.
    assert pitch_diameter_mm(12, 114.3) == pytest.approx(436.59, abs=0.005)
    assert pitch_diameter_mm(40, 114.3) * pi == pytest.approx(40 * 114.3)


@pytest.mark.parametrize(
    ("name", "tip_mm", "bottom_mm"),
    # Circumference over 2π by hand: 8, 12, 16 × 114.3 mm; the bottom of a pocket of 67.3 mm lies half of it further in.
    [("infeed", 145.531, 111.881), ("discharge", 218.297, 184.647), ("capper", 291.063, 257.413)],
)
def test_lands_lie_on_the_pitch_circle_and_pockets_reach_half_a_container_in(
    name: str, tip_mm: float, bottom_mm: float
) -> None:
    radii = [hypot(*spot) for spot in walked(WHEELS[name].whole()[0], steps=60)]
    assert max(radii) == pytest.approx(tip_mm, abs=0.001)
    assert min(radii) == pytest.approx(bottom_mm, abs=0.02)


@EACH
def test_a_container_fits_every_pocket_with_half_the_clearance_all_round(wheel: StarWheel) -> None:
    rim = polygon(wheel.whole()[0])
    step = 360 / wheel.pockets
    places = [polar(wheel.pitch_radius_mm, KEYWAY_DEG + (index + 0.5) * step) for index in range(wheel.pockets)]
    shift = 0.0 if (wheel.pockets // wheel.pieces) % 2 == 0 else step / 2
    for place in places:
        angle = bearing((0, 0), place) + shift
        container = Spot(polar(wheel.pitch_radius_mm, angle)).buffer(BODY_MM / 2, quad_segs=100)
        assert container.distance(rim) == pytest.approx(POCKET_CLEARANCE_MM / 2, abs=0.01)


@EACH
def test_the_segments_make_the_whole_wheel_but_for_the_joints(wheel: StarWheel) -> None:
    rim, bore = (polygon(contour, steps=150) for contour in wheel.whole())
    ring = rim - bore
    outlines = [polygon(wheel.segment(ordinal).outline, steps=150) for ordinal in range(1, wheel.pieces + 1)]
    for first, second in combinations(outlines, 2):
        assert first.intersection(second).area < 0.01
    for first, second in zip(outlines, outlines[1:] + outlines[:1], strict=True):
        assert 0.05 < first.distance(second) <= 0.15 + 1e-3
    together = unary_union(outlines)
    assert together.difference(ring).area < 0.05  # both are flattened, each with its own points
    # Closing the gaps closes the wheel; the mouth of each gap at rim and bore is left.
    closed = together.buffer(0.1).buffer(-0.1)
    assert ring.difference(closed).area < 0.5 * wheel.pieces
    assert ring.area - together.area < 0.15 * wheel.pieces * (wheel.tip_radius_mm + 60)


@pytest.mark.parametrize("index", range(8))
def test_a_square_container_fits_every_square_pocket_with_half_the_clearance_on_three_sides(index: int) -> None:
    rim = polygon(SQUARE.whole()[0], steps=200)
    assert rim.is_valid
    towards = KEYWAY_DEG - 67.5 + 45 * index
    core = polygon(rectangle(polar(SQUARE.pitch_radius_mm, towards), 62.4 - 24, 62.4 - 24, towards))
    container = core.buffer(12, quad_segs=60)
    assert container.distance(rim) == pytest.approx(POCKET_CLEARANCE_MM / 2, abs=0.01)
    assert container.buffer(POCKET_CLEARANCE_MM / 2 - 0.01).intersection(rim).area < 0.01
    shifted = polygon(rectangle(polar(SQUARE.pitch_radius_mm - 1, towards), 62.4 - 24, 62.4 - 24, towards))
    assert shifted.buffer(12, quad_segs=60).intersection(rim).area > 5


def test_no_corner_of_a_square_pocket_is_tighter_than_the_cutter() -> None:
    assert min(edge.radius_mm for edge in SQUARE.whole()[0].edges()) >= CUTTER_RADIUS_MM


@EACH
def test_segment_1_holds_the_keyway_and_the_others_follow_in_the_direction_of_rotation(wheel: StarWheel) -> None:
    turn = 1 if wheel.rotation == "anticlockwise" else -1
    for ordinal in range(1, wheel.pieces + 1):
        outline = polygon(wheel.segment(ordinal).outline)
        middle = KEYWAY_DEG + turn * (ordinal - 1) * 360 / wheel.pieces
        assert outline.contains(Spot(polar(wheel.hub.seat_mm / 2, middle)))
        keyway = Spot(polar(wheel.hub.bore_mm / 2 + wheel.hub.keyway_depth_mm / 2, middle))
        assert outline.contains(keyway) is (ordinal != 1)


@EACH
def test_bolts_and_slots_lie_inside_their_segment_and_under_the_hub(wheel: StarWheel) -> None:
    count = 0
    for ordinal in range(1, wheel.pieces + 1):
        part = wheel.segment(ordinal)
        assert material(part).is_valid
        bolts = [hole for hole in part.holes if polygon(hole).area < 100]
        count += len(bolts)
        for bolt in bolts:
            assert polygon(part.hubs[0]).contains(polygon(bolt))
            assert polygon(bolt).distance(polygon(part.outline).exterior) > 3
    assert count == wheel.hub.bolts


@EACH
def test_splits_run_through_lands_and_clear_of_the_hand_slots(wheel: StarWheel) -> None:
    for ordinal in range(1, wheel.pieces + 1):
        part = wheel.segment(ordinal)
        corners = [vertex.point for vertex in part.outline.vertices]  # type: ignore[union-attr] # a star is a contour
        at_tip = [corner for corner in corners if hypot(*corner) > wheel.tip_radius_mm - 0.01]
        assert len(at_tip) == 2 + 2 * wheel.pockets // wheel.pieces
        for hole in part.holes:
            assert polygon(hole).distance(polygon(part.outline).exterior) > 3


def test_the_engraving_zone_stands_upright_seen_from_the_rim_and_inside_the_material() -> None:
    wheel = replace(WHEELS["discharge"], zone=EngravingZone(165, 84, 22))
    for ordinal in range(1, 5):
        part = wheel.segment(ordinal)
        (zone,) = part.engraving
        assert material(part).contains(polygon(zone))
        assert polygon(zone).area == pytest.approx(84 * 22)


def test_a_new_joint_between_3_and_4_leaves_every_other_edge_alone() -> None:
    wheel = WHEELS["discharge"]
    other = Joint((Dovetail(107, 1, width_mm=32, neck_mm=22),))
    changed = replace(wheel, joints=(*wheel.joints[:2], other, wheel.joints[3]))
    assert wheel.segment(1) == changed.segment(1)
    assert wheel.segment(2) == changed.segment(2)
    third, fourth = polygon(changed.segment(3).outline), polygon(changed.segment(4).outline)
    assert third.intersection(fourth).area < 0.01
    assert third.intersection(polygon(wheel.segment(4).outline)).area > 5
    assert third.intersection(polygon(wheel.segment(2).outline)).area < 0.01


@settings(max_examples=40, deadline=None)
@given(
    pockets=st.sampled_from([8, 12, 16, 20, 24]),
    pitch_mm=st.floats(90, 140),
    body_mm=st.floats(40, 70),
    rotation=st.sampled_from(["clockwise", "anticlockwise"]),
)
def test_any_wheel_splits_into_four_that_make_it_whole(
    pockets: int, pitch_mm: float, body_mm: float, rotation: str
) -> None:
    radius = pitch_diameter_mm(pockets, pitch_mm) / 2
    hub = replace(WHEELS["infeed"].hub, bore_mm=50, bolt_circle_mm=70, seat_mm=90)
    joint = Joint((Dovetail((45 + radius - body_mm / 2) / 2, 1, width_mm=24, neck_mm=15, depth_mm=13),))
    wheel = replace(
        WHEELS["infeed"],
        pockets=pockets,
        pitch_mm=pitch_mm,
        pocket_mm=body_mm + 1.5,
        rotation="clockwise" if rotation == "clockwise" else "anticlockwise",
        hub=hub,
        joints=(joint,) * 4,
    )
    rim, bore = (polygon(contour, steps=40) for contour in wheel.whole())
    assert rim.is_valid
    areas = [polygon(wheel.segment(ordinal).outline, steps=40).area for ordinal in range(1, 5)]
    assert sum(areas) == pytest.approx(rim.area - bore.area, rel=4e-3)
    assert sum(areas) < rim.area - bore.area


def test_pockets_that_cannot_be_shared_out_evenly_are_refused() -> None:
    with pytest.raises(ValueError, match="14 pockets cannot be split evenly into 4"):
        replace(WHEELS["discharge"], pockets=14)
