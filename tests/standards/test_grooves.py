"""Grooves against plane geometry and against the table of ISO 3098.

A straight stroke of length L under a round cutter of width w is a stadium: area L·w + π·w²/4. The section of a ball is
a circular segment of area r²/2·(θ - sin θ); that of a cone a triangle or trapezium. ISO 3098 type B: the table of NF EN
ISO 3098-0 as a public course page reproduces it (a = 2/10 h clear between letters, b3 = 13/10 h between base lines).
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import union_all

from service.marks.cutters import Cutter
from service.marks.ladder import Gaps, Wording, frame, placed_letters
from service.marks.lettering import least_cap_height_mm
from service.marks.sweep import depth_at_mm, section_area_mm2, sweep, swept, width_at_mm
from service.rules.engravable import ANY, ENGRAVABLE
from service.rules.materials import MATERIALS
from tests.part_factory import make_engraving

TABLE = ((2.5, 0.5, 0.25, 3.25), (3.5, 0.7, 0.35, 4.55), (5.0, 1.0, 0.5, 6.5), (10.0, 2.0, 1.0, 13.0))


@given(length=st.floats(0.5, 50), width=st.floats(0.1, 5), angle=st.floats(0, 6.28))
def test_a_straight_stroke_is_swept_to_a_stadium(length: float, width: float, angle: float) -> None:
    end = (length * math.cos(angle), length * math.sin(angle))
    area = swept([((0.0, 0.0), end)], width, quarter_segments=64).area
    assert area == pytest.approx(length * width + math.pi * width**2 / 4, rel=1e-3)


def test_two_strokes_that_cross_at_right_angles_share_a_square() -> None:
    # Two stadia of 10 × 1 mm: the square of 1 mm in the middle is cut once.
    cross = swept([((-5.0, 0.0), (5.0, 0.0)), ((0.0, -5.0), (0.0, 5.0))], 1.0, quarter_segments=64)
    assert cross.area == pytest.approx(2 * (10 + math.pi / 4) - 1, rel=1e-3)


def test_the_groove_of_the_i_is_a_stadium_as_high_as_a_capital() -> None:
    engraving = make_engraving(number="OSV4-FC1-A500-SW2-I3-42")
    groove = sweep(engraving).grooves[[letter.char for letter in engraving.letters].index("I")]
    height, width = engraving.cap_height_mm, engraving.cutter.groove_mm
    # Round ends of eight straight pieces lie a little inside the circle.
    assert groove.area == pytest.approx(height * width + math.pi * width**2 / 4, rel=0.01)


def test_sections_have_the_areas_of_plane_figures() -> None:
    flat = Cutter(kind="flat", diameter_mm=0.8, depth_mm=0.5)
    cone = Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.5, angle_deg=90.0)
    cut_cone = Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.5, angle_deg=90.0, tip_mm=0.2)
    half_ball = Cutter(kind="ball", diameter_mm=1.0, depth_mm=0.5)
    shallow = Cutter(kind="ball", diameter_mm=2.0, depth_mm=0.5)
    assert section_area_mm2(flat) == pytest.approx(0.4)
    assert section_area_mm2(cone) == pytest.approx(0.5 * 1.0 * 0.5)
    assert section_area_mm2(cut_cone) == pytest.approx((0.2 + 1.2) / 2 * 0.5)
    assert section_area_mm2(half_ball) == pytest.approx(math.pi * 0.25 / 2)
    # Height of half the radius: the segment's angle is 120 degrees.
    theta = 2 * math.pi / 3
    assert section_area_mm2(shallow) == pytest.approx((theta - math.sin(theta)) / 2)
    deep = Cutter(kind="ball", diameter_mm=1.0, depth_mm=0.8)
    assert section_area_mm2(deep) == pytest.approx(math.pi * 0.25 / 2 + 0.3)


@given(
    cutter=st.one_of(
        st.builds(Cutter, kind=st.just("flat"), diameter_mm=st.floats(0.2, 3), depth_mm=st.floats(0.1, 1)),
        st.builds(Cutter, kind=st.just("ball"), diameter_mm=st.floats(0.2, 3), depth_mm=st.floats(0.1, 2)),
        st.builds(
            Cutter,
            kind=st.just("vee"),
            diameter_mm=st.floats(3, 6),
            depth_mm=st.floats(0.1, 0.5),
            angle_deg=st.floats(20, 120),
            tip_mm=st.floats(0, 0.5),
        ),
    )
)
def test_width_and_depth_are_one_section_seen_from_two_sides(cutter: Cutter) -> None:
    assert width_at_mm(cutter, 0.0) == pytest.approx(cutter.groove_mm)
    assert width_at_mm(cutter, cutter.depth_mm + 0.01) == 0.0
    assert depth_at_mm(cutter, cutter.groove_mm / 2 + 0.01) == 0.0
    assert depth_at_mm(cutter, 0.0) == pytest.approx(cutter.depth_mm)
    steps = 2000
    slices = sum(width_at_mm(cutter, (step + 0.5) / steps * cutter.depth_mm) for step in range(steps))
    assert slices * cutter.depth_mm / steps == pytest.approx(section_area_mm2(cutter), rel=0.01)
    across = sum(depth_at_mm(cutter, ((step + 0.5) / steps - 0.5) * cutter.groove_mm) for step in range(steps))
    assert across * cutter.groove_mm / steps == pytest.approx(section_area_mm2(cutter), rel=0.01)


@pytest.mark.parametrize(("height", "clear", "line", "rows"), TABLE)
def test_a_cutter_as_wide_as_the_line_of_iso_3098_leaves_its_gaps(
    height: float, clear: float, line: float, rows: float
) -> None:
    gaps = Gaps.of(height, groove_mm=line, wall_mm=0.2)
    block = Wording("two lines", ("HIH", "HIH"))
    extents = frame(block, gaps)
    assert (extents.feet[0] - extents.feet[1]) * height == pytest.approx(rows)
    letters = placed_letters(block, gaps, extents, height)
    cuts = [swept([((letter.x, 0.0), (letter.x, height))], line).bounds for letter in letters[:3] if letter.char == "I"]
    left, right = letters[0].x, letters[2].x
    # The H is 2/3 as wide as high; its right leg and the I stand a apart, edge to edge.
    assert cuts[0][0] - (left + height * 2 / 3 + line / 2) == pytest.approx(clear)
    assert right - line / 2 - cuts[0][2] == pytest.approx(clear)


def test_floors_are_read_in_the_hand() -> None:
    """The least height at 500 mm and 15 minutes of arc: NUREG-0700 rev. 3, 11.4.1.5-1."""
    assert set(ENGRAVABLE) == set(MATERIALS)
    for row in (ANY, *ENGRAVABLE.values()):
        assert row.floor_mm >= 2.18
        assert row.floor_mm >= least_cap_height_mm(500.0) - 0.01


def test_grooves_do_not_touch_each_other() -> None:
    grooves = sweep(make_engraving()).grooves
    assert union_all(grooves).area == pytest.approx(sum(groove.area for groove in grooves))
    assert all(not first.intersects(second) for first, second in pairwise(grooves))
