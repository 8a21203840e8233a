"""How two pieces meet along their joint, against cases worked by hand."""

from __future__ import annotations

import math

import pytest
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box

from service.demo.joints import Dovetail, Joint, split
from service.demo.shapes import rectangle
from service.outlines.joint_fit import JointFit, Piece, as_cut, joint_fit
from service.rules.materials import MATERIALS, growth
from tests.demo.flattened import walked


def piece(shape: shapely.Geometry, **more: float) -> Piece:
    assert isinstance(shape, Polygon)
    return Piece(MultiPolygon([shape]), **more)


def met(one: Piece, other: Piece) -> JointFit:
    fit = joint_fit(one, other)
    assert fit is not None
    return fit


@pytest.mark.parametrize("depth", [0.1, 0.5, 1.0, 3.0])
def test_two_rectangles_that_overlap_by_a_strip(depth: float) -> None:
    """By hand: a strip of 50 mm by the depth, so 50 × depth mm², and nowhere deeper than its width."""
    fit = met(piece(box(0, 0, 100, 50)), piece(box(100 - depth, 0, 200, 50)))
    assert fit.overlap_mm2 == pytest.approx(50 * depth)
    assert fit.depth_mm == pytest.approx(depth)
    assert fit.least_mm == pytest.approx(-depth)
    assert fit.depth_at is not None
    assert fit.depth_at[0] in (pytest.approx(100), pytest.approx(100 - depth))


@pytest.mark.parametrize("gap", [0.05, 0.15, 0.6, 2.0])
def test_two_rectangles_with_a_gap_between_them(gap: float) -> None:
    """By hand: the same gap along 50 mm of edge, nothing that overlaps, and nothing that hooks in."""
    fit = met(piece(box(0, 0, 100, 50)), piece(box(100 + gap, 0, 200, 50)))
    assert (fit.least_mm, fit.median_mm, fit.greatest_mm) == pytest.approx((gap, gap, gap))
    assert fit.length_mm == pytest.approx(50)
    assert (fit.overlaps, fit.depth_mm, fit.play_mm) == ((), 0.0, None)


@pytest.mark.parametrize("clearance", [0.2, 0.5])
def test_a_circle_in_a_slot(clearance: float) -> None:
    """By hand: half of what the slot is wider lies on either side of a disc of 20 mm; along the slot it is free."""
    radius = 10.0 + clearance / 2
    slot = shapely.union_all([box(0, -radius, 40, radius), Point(0, 0).buffer(radius, quad_segs=400)])
    plate = box(-30, -30, 40, 30).difference(slot)
    fit = met(piece(Point(0, 0).buffer(10.0, quad_segs=400)), piece(plate))
    assert fit.least_mm == pytest.approx(clearance / 2, abs=2e-3)
    assert fit.play_mm is None
    assert fit.depth_mm == 0


def test_a_disc_in_a_round_hole_can_be_shifted_by_half_of_what_is_free() -> None:
    """By hand: Ø 20 in Ø 20.4 leaves 0.2 mm all round, and 0.2 mm to either side."""
    hole = box(-30, -30, 30, 30).difference(Point(0, 0).buffer(10.2, quad_segs=400))
    fit = met(piece(Point(0, 0).buffer(10.0, quad_segs=400)), piece(hole))
    assert (fit.least_mm, fit.median_mm, fit.greatest_mm) == pytest.approx((0.2, 0.2, 0.2), abs=2e-3)
    assert fit.play_mm == pytest.approx(0.2, abs=5e-3)


def test_the_play_of_a_dovetail_is_its_gap_over_the_lean_of_its_flanks() -> None:
    """By hand: flanks lean by atan(5 / 16) = 17.35°; 0.15 mm of gap let the lobe out by 0.15 / sin 17.35° = 0.503."""
    joint = Joint((Dovetail(40, 1),))
    left, right = (Polygon(walked(side)) for side in split(rectangle((40, 0), 60, 60), joint, (0, 0), 0, 80))
    fit = met(piece(left), piece(right))
    assert fit.play_mm is not None
    assert fit.play_mm == pytest.approx(0.15 / math.sin(math.atan(5 / 16)), rel=0.01)
    # Drawn by less than that it is free, by more it runs into the flank.
    for pulled, free in ((0.45, True), (0.60, False)):
        moved = met(piece(affinity.translate(left, 0, pulled)), piece(right))
        assert (moved.depth_mm == 0) is free


def test_parts_that_stand_apart_do_not_meet() -> None:
    assert joint_fit(piece(box(0, 0, 10, 10)), piece(box(20, 0, 30, 10))) is None
    assert joint_fit(piece(box(0, 0, 100, 100)), piece(box(101, 101, 200, 200))) is None


def test_which_piece_comes_first_does_not_matter() -> None:
    one, other = piece(box(0, 0, 100, 50)), piece(box(99.6, 10, 200, 60))
    there, back = met(one, other), met(other, one)
    assert (there.overlap_mm2, there.depth_mm) == pytest.approx((back.overlap_mm2, back.depth_mm))


def test_the_cutter_fills_inner_corners_and_leaves_everything_else() -> None:
    """By hand: a disc of radius r leaves (1 - π / 4) r² in a square inner corner."""
    angle = box(0, 0, 100, 100).difference(box(50, 50, 100, 100))
    for diameter in (6.0, 10.0):
        cut = as_cut(piece(angle, cutter_mm=diameter))
        assert cut.area - angle.area == pytest.approx((1 - math.pi / 4) * (diameter / 2) ** 2, rel=2e-2)
        assert cut.covers(angle.buffer(-1e-5))
    rounded = angle.buffer(8).buffer(-16).buffer(8)
    assert as_cut(piece(rounded, cutter_mm=6.0)).equals(rounded)


def test_a_corner_that_the_cutter_cannot_reach_stands_in_the_way_of_a_sharp_one() -> None:
    """By hand: an arc of 3 mm leaves 3 (√2 - 1) = 1.243 mm along the diagonal, less 0.2 √2 of gap is 0.960 mm."""
    angle = box(0, 0, 100, 100).difference(box(50, 50, 100, 100))
    sharp = box(50.2, 50.2, 100, 100)
    assert met(piece(angle, cutter_mm=0.0), piece(sharp, cutter_mm=0.0)).depth_mm == 0
    fit = met(piece(angle, cutter_mm=6.0), piece(sharp, cutter_mm=6.0))
    assert fit.depth_mm == pytest.approx(3 * (math.sqrt(2) - 1) - 0.2 * math.sqrt(2), abs=0.02)


def test_what_a_cutter_leaves_on_comes_off_the_gap_on_both_sides() -> None:
    """By hand: 0.15 mm of gap less 0.05 mm on each side is 0.05 mm; less 0.1 mm on each side is 0.05 mm too much."""
    one, other = box(0, 0, 100, 50), box(100.15, 0, 200, 50)
    assert met(piece(one, oversize_mm=0.05), piece(other, oversize_mm=0.05)).least_mm == pytest.approx(0.05)
    assert met(piece(one, oversize_mm=0.1), piece(other, oversize_mm=0.1)).depth_mm == pytest.approx(0.05)


def test_a_warm_tongue_in_a_cold_slot() -> None:
    """By hand: 100 mm UHMW-PE (200e-6 / K) grow by 0.4 mm in 20 K, 0.2 mm a side; 0.15 mm a side lack 0.05 mm."""
    tongue = box(-50, 0, 50, 30)
    plate = box(-100, -50, 100, 30).difference(box(-50.15, -0.15, 50.15, 40))
    warm = growth(MATERIALS["UHMW-PE"], 40.0)
    assert warm == pytest.approx(1.004)
    assert met(piece(tongue), piece(plate, cutter_mm=0)).least_mm == pytest.approx(0.15)
    assert met(piece(tongue, growth=warm), piece(plate, cutter_mm=0)).depth_mm == pytest.approx(0.05, abs=5e-3)
    # Pieces that are warm alike, and of one material, keep to each other.
    both = met(piece(tongue, growth=warm), piece(plate, cutter_mm=0, growth=warm))
    assert both.least_mm == pytest.approx(0.15, abs=1e-3)


def test_a_tongue_of_another_material_grows_otherwise() -> None:
    """By hand: 100 mm at +30 K: UHMW-PE 0.6 mm, steel 304 (17.3e-6 / K) 0.052 mm; 0.274 mm a side of difference."""
    tongue, plate = box(-50, 0, 50, 30), box(-100, -50, 100, 30).difference(box(-50.3, -0.3, 50.3, 40))
    plastic, steel = (growth(MATERIALS[name], 50.0) for name in ("UHMW-PE", "304 stainless"))
    fit = met(piece(tongue, growth=plastic), piece(plate, cutter_mm=0, growth=steel))
    sides = [gap for x, y, gap in fit.places if abs(abs(x) - 50) < 1 and y > 5]
    assert min(sides) == pytest.approx(0.3 - 0.274, abs=5e-3)
