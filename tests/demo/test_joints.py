"""Interlocking joints: proportions, smoothness, and the same gap everywhere."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import inf

import pytest
from shapely import LineString, Polygon

from service.demo.contour import Contour, turned_by
from service.demo.joints import CUTTER_RADIUS_MM, Dovetail, Joint, RoundLobe, split
from service.demo.shapes import rectangle
from tests.demo.flattened import walked

DOVETAILS = Joint((Dovetail(40, 1), Dovetail(90, -1)))
ROUND_LOBES = Joint((RoundLobe(40, 1), RoundLobe(90, -1)), clearance_mm=0.2)
BOTH = pytest.mark.parametrize("joint", [DOVETAILS, ROUND_LOBES], ids=lambda joint: joint.form)


@BOTH
def test_the_line_of_a_joint_has_no_kink(joint: Joint) -> None:
    edges = list(joint.line((3, 4), 30, 130).edges())
    for edge, following in pairwise(edges):
        kink = (following.heading_deg - edge.arrival_deg + 180) % 360 - 180
        assert kink == pytest.approx(0, abs=1e-6)


@BOTH
def test_the_gap_is_the_clearance_everywhere(joint: Joint) -> None:
    left, right = (LineString(walked(side)) for side in joint.sides((0, 0), 0, 130))
    assert not left.crosses(right)
    for here, there in ((left, right), (right, left)):
        gaps = [here.interpolate(share, normalized=True).distance(there) for share in [n / 500 for n in range(501)]]
        assert min(gaps) == pytest.approx(joint.clearance_mm, abs=2e-3)
        assert max(gaps) == pytest.approx(joint.clearance_mm, abs=2e-3)


@BOTH
def test_no_corner_of_either_side_is_tighter_than_the_cutter(joint: Joint) -> None:
    for side in joint.sides((0, 0), 0, 130):
        radii = [edge.radius_mm for edge in side.edges() if edge.radius_mm < inf]
        assert min(radii) >= CUTTER_RADIUS_MM


@BOTH
def test_a_lobe_locks(joint: Joint) -> None:
    """Pulled apart across the line by half a lobe's depth, the two sides run into each other."""
    left, right = split(rectangle((60, 0), 100, 80), joint, (0.0, 0.0), 0.0, 120.0)
    upper, lower = Polygon(walked(left)), Polygon(walked(right))
    assert upper.intersection(lower).area == pytest.approx(0, abs=1e-6)
    pulled = Polygon([(x, y + 6) for x, y in upper.exterior.coords])
    assert pulled.intersection(lower).area > 5


@BOTH
def test_a_split_takes_away_the_gap_and_nothing_else(joint: Joint) -> None:
    whole = rectangle((60, 0), 100, 80)
    left, right = split(whole, joint, (0.0, 0.0), 0.0, 120.0)
    middle = joint.line((0, 0), 0, 120)
    inside = LineString(walked(middle)).intersection(Polygon(walked(whole))).length
    lost = 100 * 80 - Polygon(walked(left)).area - Polygon(walked(right)).area
    assert lost == pytest.approx(inside * joint.clearance_mm, rel=1e-3)
    assert Polygon(walked(left)).centroid.y > 0 > Polygon(walked(right)).centroid.y


@pytest.mark.parametrize("lobe", [Dovetail(0, 1), RoundLobe(0, 1)])
def test_the_neck_is_as_narrow_as_it_says_and_at_least_a_third_of_the_lobe(lobe: Dovetail | RoundLobe) -> None:
    # Common practice, no source: the neck is at least a third of the lobe's width.
    outline = Polygon(walked(Contour(lobe.chain(), closed=False)))
    left, _, right, top = outline.bounds
    widths = [
        outline.intersection(LineString([(left - 1, y), (right + 1, y)])).length
        for y in [top * n / 40 for n in range(6, 35)]
    ]
    assert min(widths) >= lobe.width_mm / 3
    assert min(widths) < max(widths) - 2


def test_the_head_of_a_round_lobe_is_its_widest() -> None:
    lobe = RoundLobe(0, 1, width_mm=22, neck_mm=13)
    spots = walked(Contour(lobe.chain(), closed=False))
    head = [x for x, y in spots if y > lobe.corner_mm + 1]
    assert max(head) - min(head) == pytest.approx(22, abs=1e-3)
    waist = [abs(x) for x, y in spots if y == pytest.approx(lobe.corner_mm, abs=0.1)]
    assert 2 * min(waist) == pytest.approx(13, abs=0.05)


@pytest.mark.parametrize("clearance_mm", [0.05, 0.4])
def test_a_clearance_out_of_practice_is_refused(clearance_mm: float) -> None:
    # Common practice, no source: 0.1 to 0.3 mm a side.
    with pytest.raises(ValueError, match="not between"):
        replace(DOVETAILS, clearance_mm=clearance_mm)


@pytest.mark.parametrize("neck_mm", [8.0, 30.0])
def test_a_neck_too_thin_or_none_is_refused(neck_mm: float) -> None:
    with pytest.raises(ValueError, match="does not suit a lobe of 28"):
        Joint((Dovetail(40, 1, neck_mm=neck_mm),))


def test_a_corner_too_tight_for_the_cutter_is_refused() -> None:
    with pytest.raises(ValueError, match="too tight for a cutter"):
        Joint((RoundLobe(40, 1, corner_mm=3.0),))


def test_lobes_reach_to_the_side_that_they_name() -> None:
    spots = walked(Joint((Dovetail(40, 1), Dovetail(90, -1))).line((0, 0), 0, 130))
    assert max(y for x, y in spots if x < 65) == pytest.approx(16)
    assert min(y for x, y in spots if x > 65) == pytest.approx(-16)
    assert sum(turned_by(edge.bulge) for edge in DOVETAILS.line((0, 0), 0, 130).edges()) == pytest.approx(0, abs=1e-9)
