"""The lint of grooves: counters, walls, lines, floors, depths; and that the ladder only takes what passes it."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, union_all
from shapely.geometry import MultiLineString
from shapely.geometry.base import BaseGeometry

from service.errors import LintFailed, UnknownCode
from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.engraving import Engraving, TiedTag, choose_mark, plan_engraving
from service.marks.engraving_lint import WIDEST_STROKE, lint_cutter, lint_engraving, lint_letters, standing_mm
from service.marks.strokes import CHARACTERS, STROKE_WIDTH, Letter, glyph
from service.marks.sweep import apart, sweep, swept_glyph
from service.rules.engravable import ANY, ENGRAVABLE, engravable
from service.rules.lint import LINT_RULES
from tests.part_factory import KEY, NUMBER, make_engraving, room_of

NEEDLE = Cutter(kind="flat", diameter_mm=0.25, depth_mm=0.2)


def cutter_of(groove_mm: float, depth_mm: float = 0.2) -> Cutter:
    return Cutter(kind="flat", diameter_mm=groove_mm, depth_mm=depth_mm)


def rules_of(char: str, *, cap_height_mm: float, groove_mm: float, wall_mm: float = 0.0) -> set[str]:
    holds = dataclasses.replace(ANY, wall_mm=wall_mm)
    letters = [Letter(char, 0.0, 0.0)]
    # A depth so small that half of it asks for no wall of its own.
    return {finding.rule for finding in lint_letters(letters, cap_height_mm, cutter_of(groove_mm, 1e-6), holds)}


def joined(grooves: tuple[BaseGeometry, ...]) -> list[Polygon]:
    """Grooves as they lie in the sheet, those that touch as one."""
    return [part for part in shapely.get_parts(union_all(list(grooves))) if isinstance(part, Polygon)]


def holes(char: str, ratio: float) -> int:
    """Holes of a letter's groove, counted by another way than the sweep's: on the joined band itself."""
    band = MultiLineString([list(stroke) for stroke in glyph(char).strokes]).buffer(ratio / 2, quad_segs=32)
    return sum(len(part.interiors) for part in shapely.get_parts(band) if isinstance(part, Polygon))


class TestCounters:
    @pytest.mark.parametrize("char", CHARACTERS)
    def test_under_the_line_of_iso_3098_every_letter_is_itself(self, char: str) -> None:
        drawn = swept_glyph(char, STROKE_WIDTH)
        assert (drawn.lost, drawn.gained) == (0, 0)
        assert len(drawn.counters) == holes(char, STROKE_WIDTH)
        assert all(counter.share == pytest.approx(1.0) for counter in drawn.counters)

    @pytest.mark.parametrize("char", CHARACTERS.replace("#", ""))
    def test_under_the_widest_line_no_letter_loses_or_gains_a_hole(self, char: str) -> None:
        drawn = swept_glyph(char, WIDEST_STROKE)
        assert (drawn.lost, drawn.gained) == (0, 0)

    @pytest.mark.parametrize("char", "ABDOPQR04689")
    def test_every_letter_with_a_counter_closes_at_last(self, char: str) -> None:
        assert rules_of(char, cap_height_mm=10.0, groove_mm=1.0) == set()
        assert "counter_closed" in rules_of(char, cap_height_mm=10.0, groove_mm=9.0)

    def test_the_four_closes_between_a_third_and_less(self) -> None:
        """The 4 closes above a cutter radius of 0.16 cap heights: measured once on the same coordinates."""
        assert swept_glyph("4", 2 * 0.155).lost == 0
        assert swept_glyph("4", 2 * 0.165).lost == 1

    def test_what_stands_but_breaks_out_is_named(self) -> None:
        # The island in a 4 under a groove of 0.143 h is 0.181 h wide: 0.63 mm at 3.5 mm.
        assert rules_of("4", cap_height_mm=3.5, groove_mm=0.5, wall_mm=0.6) == set()
        assert rules_of("4", cap_height_mm=3.5, groove_mm=0.5, wall_mm=0.66) == {"counter_small"}

    def test_a_counter_that_fills_with_dirt_is_named(self) -> None:
        assert rules_of("4", cap_height_mm=20.0, groove_mm=4.0) == set()
        assert rules_of("4", cap_height_mm=20.0, groove_mm=5.0) == {"counter_small"}

    @pytest.mark.parametrize(("char", "from_ratio"), [("G", 0.39), ("5", 0.39), ("S", 0.43), ("C", 0.53), ("2", 0.51)])
    def test_an_opening_that_closes_is_no_counter(self, char: str, from_ratio: float) -> None:
        """Wherever a hole comes up that is not drawn, it is named, and only there."""
        for step in range(10, 60):
            assert bool(swept_glyph(char, step / 100).gained) == (holes(char, step / 100) > 0)
        assert swept_glyph(char, from_ratio - 0.01).gained == 0
        assert "hole_gained" in rules_of(char, cap_height_mm=10.0, groove_mm=from_ratio * 10.0)


class TestWalls:
    @pytest.mark.parametrize("pair", ["AA", "FT", "TT", "LA", "AV", "K7", "WW", "XR"])
    def test_tight_pairs_stand_apart_under_a_wide_groove(self, pair: str) -> None:
        """Set by the font's own spacing these run together as soon as the cutter has some width."""
        number = f"{pair}A4-FC1-A500-SW2-{pair}3-42"
        engraving = make_engraving(number=number, width_mm=64, height_mm=11, cutter=cutter_of(0.58))
        assert engraving.cap_height_mm == 3.5
        assert lint_engraving(engraving) == []
        assert len(joined(sweep(engraving).grooves)) == len(engraving.letters)

    @pytest.mark.parametrize("groove_mm", [0.2, 0.35, 0.5, 0.58])
    def test_between_letters_and_rows_the_gap_of_iso_3098_stays_clear_under_any_groove(self, groove_mm: float) -> None:
        made = make_engraving(number="HHH4-HH1-H500-HH2-H3-42", width_mm=64, height_mm=11, cutter=cutter_of(groove_mm))
        assert (made.rung, made.cap_height_mm) == ("two lines", 3.5)
        first, second, *_ = sweep(made).grooves
        lower = sweep(made).grooves[len(made.lines[0])]
        assert first.distance(second) >= 0.2 * 3.5 - 1e-6
        assert min(one.distance(lower) for one in sweep(made).grooves[: len(made.lines[0])]) >= 0.2 * 3.5 - 1e-6

    def test_grooves_that_touch_and_walls_too_thin_are_named(self) -> None:
        width = glyph("T").width * 5.0
        for gap, words in ((0.4, "run into each other"), (0.6, "0.10 mm thick")):
            letters = [Letter("T", 0.0, 0.0), Letter("T", width + gap, 0.0)]
            (finding,) = lint_letters(letters, 5.0, USUAL_CUTTER)
            assert (finding.rule, finding.value) == ("glyphs_merge", "TT")
            assert words in finding.message

    def test_the_wall_between_slanted_letters_is_measured_where_they_are_nearest(self) -> None:
        # The A leans away from the V's arm: extents that overlap leave a wall all the same.
        gap = -0.2
        assert apart("A", "V", gap) > 0.1
        letters = [Letter("A", 0.0, 0.0), Letter("V", (glyph("A").width + gap) * 10.0, 0.0)]
        assert list(lint_letters(letters, 10.0, USUAL_CUTTER)) == []

    def test_rows_that_touch_are_named(self) -> None:
        letters = [Letter("Q", 0.0, 7.0), Letter("H", 0.0, 0.0)]
        assert list(lint_letters(letters, 5.0, cutter_of(0.5))) == []
        (finding,) = lint_letters([letters[0], Letter("H", 0.0, 1.0)], 5.0, cutter_of(0.5))
        assert (finding.rule, finding.value) == ("glyphs_merge", "QH")

    def test_a_base_line_that_touches_the_feet_is_named(self) -> None:
        engraving = make_engraving(width_mm=33, height_mm=6)
        *letters, rule = engraving.strokes
        lifted = (*letters, tuple((x, y + 0.8) for x, y in rule))
        (finding,) = lint_engraving(dataclasses.replace(engraving, strokes=lifted))
        assert (finding.rule, finding.field) == ("glyphs_merge", "base line")

    @given(
        groove_mm=st.floats(0.2, 1.2),
        depth_mm=st.floats(0.1, 1.0),
        material=st.sampled_from([None, *ENGRAVABLE]),
        width_mm=st.floats(12, 250),
        height_mm=st.floats(9, 60),
    )
    @settings(max_examples=60, deadline=None)
    def test_whatever_is_planned_passes_and_its_grooves_are_apart(
        self, groove_mm: float, depth_mm: float, material: str | None, width_mm: float, height_mm: float
    ) -> None:
        cutter = cutter_of(groove_mm, depth_mm)
        chosen = choose_mark(
            number=NUMBER, key=KEY, room=room_of(width_mm, height_mm), cutter=cutter, material=material
        )
        if isinstance(chosen, TiedTag):
            return
        holds = engravable(material)
        assert [finding for finding in lint_engraving(chosen, holds) if finding.level == "error"] == []
        if chosen.dots:
            return
        cut = sweep(chosen)
        assert len(joined(cut.grooves)) == len(chosen.letters) + chosen.base_line
        drawn = sum(holes(letter.char, STROKE_WIDTH) for letter in chosen.letters)
        assert len(cut.islands) == drawn == sum(len(part.interiors) for part in joined(cut.grooves))
        wall = holds.standing_mm(depth_mm)
        for index, first in enumerate(cut.grooves):
            assert all(first.distance(other) >= wall - 1e-6 for other in cut.grooves[index + 1 :])


class TestSizes:
    def test_a_line_thinner_than_the_cutter(self) -> None:
        engraving = dataclasses.replace(make_engraving(width_mm=70, height_mm=9), cutter=cutter_of(0.6))
        assert {finding.rule for finding in lint_engraving(engraving)} == {"stroke_under_cutter"}

    def test_letters_below_the_floor_of_a_material(self) -> None:
        small = plan_engraving(number=NUMBER, key=KEY, room=room_of(50, 6.5), cutter=NEEDLE)
        assert small.cap_height_mm == 2.5
        assert lint_engraving(small) == []
        (finding,) = lint_engraving(small, ENGRAVABLE["UHMW-PE"])
        assert finding.rule == "below_engraving_floor"
        other = plan_engraving(number=NUMBER, key=KEY, room=room_of(50, 6.5), cutter=NEEDLE, material="uhmw pe")
        assert (other.rung, other.cap_height_mm) == ("container and place", 3.5)

    def test_a_hairline_is_shown_and_stops_nothing(self) -> None:
        (finding,) = lint_engraving(make_engraving(width_mm=400, height_mm=100))
        assert (finding.rule, finding.level) == ("stroke_hairline", "warning")

    def test_half_a_wall_is_no_wall(self) -> None:
        """A wall is never thinner than half its height: deep grooves need larger letters."""
        shallow = make_engraving(width_mm=70, height_mm=9)
        deep = dataclasses.replace(shallow, cutter=dataclasses.replace(shallow.cutter, depth_mm=3.0))
        assert {"counter_small", "glyphs_merge"} <= {finding.rule for finding in lint_engraving(deep)}

    def test_a_wall_between_v_grooves_is_stouter_than_it_is_at_the_surface(self) -> None:
        """Between two cones of 90 degrees a wall widens by a full depth on average; a straight one stays as thin."""
        straight = Cutter(kind="flat", diameter_mm=1.6, depth_mm=0.8)
        cone = Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.8, angle_deg=90.0)
        assert cone.groove_mm == pytest.approx(straight.groove_mm)
        assert standing_mm(straight, ANY) == pytest.approx(0.4)
        assert standing_mm(cone, ANY) == pytest.approx(ANY.wall_mm)


class TestDepth:
    def test_a_v_deeper_than_its_cone(self) -> None:
        # A cone of 90 degrees and 1 mm is half a millimetre high.
        cutter = Cutter(kind="vee", diameter_mm=1.0, depth_mm=0.6, angle_deg=90.0)
        assert [finding.rule for finding in lint_cutter(cutter)] == ["cutter_beyond_cone"]
        assert lint_cutter(dataclasses.replace(cutter, depth_mm=0.5)) == []

    @pytest.mark.parametrize(("thickness_mm", "deepest_mm"), [(6.0, 2.0), (2.4, 0.4), (3.0, 1.0)])
    def test_a_groove_leaves_two_thirds_and_what_the_material_asks_for(
        self, thickness_mm: float, deepest_mm: float
    ) -> None:
        for depth_mm, found in ((deepest_mm, []), (deepest_mm + 0.1, ["groove_too_deep"])):
            cutter = Cutter(kind="flat", diameter_mm=0.5, depth_mm=depth_mm)
            findings = lint_cutter(cutter, ENGRAVABLE["UHMW-PE"], thickness_mm=thickness_mm)
            assert [finding.rule for finding in findings] == found

    def test_nothing_is_planned_with_a_cutter_that_is_too_deep(self) -> None:
        deep = Cutter(kind="flat", diameter_mm=0.5, depth_mm=2.0)
        with pytest.raises(LintFailed) as caught:
            plan_engraving(number=NUMBER, key=KEY, room=room_of(90, 30), cutter=deep, thickness_mm=5.0)
        assert caught.value.rule == "groove_too_deep"


class TestLadder:
    def test_the_tied_tag_says_why_and_names_its_template(self) -> None:
        chosen = choose_mark(number=NUMBER, key=KEY, room=room_of(8, 8))
        assert isinstance(chosen, TiedTag)
        assert chosen.rung == "tied tag"
        assert "room for 1.9 mm" in chosen.reason
        assert chosen.record()["template"] == "tied-tag-80x50"

    def test_the_template_of_the_tied_tag_is_shipped(self) -> None:
        chosen = choose_mark(number=NUMBER, key=KEY, room=lambda _: None)
        assert isinstance(chosen, TiedTag)
        assert (Path(__file__).resolve().parents[2] / "label_templates" / f"{chosen.template}.toml").exists()

    def test_a_groove_too_wide_for_what_fits_is_the_reason(self) -> None:
        chosen = choose_mark(number=NUMBER, key=KEY, room=room_of(16, 12), cutter=cutter_of(1.2))
        assert isinstance(chosen, TiedTag)
        assert "1.20 mm is too wide" in chosen.reason

    def test_a_wider_cutter_takes_larger_letters_or_a_lower_rung(self) -> None:
        def rung(groove_mm: float) -> tuple[str, float]:
            made = make_engraving(width_mm=62, height_mm=13, cutter=cutter_of(groove_mm))
            return made.rung, made.cap_height_mm

        assert rung(0.5) == ("two lines", 5.0)
        assert rung(0.8) == ("container and place", 5.0)

    def test_a_callers_floor_is_held_to_above_that_of_the_material(self) -> None:
        room = room_of(70, 9)
        assert plan_engraving(number=NUMBER, key=KEY, room=room).rung == "two lines"
        read_from_afar = plan_engraving(number=NUMBER, key=KEY, room=room, floor_mm=5.0)
        assert (read_from_afar.rung, read_from_afar.cap_height_mm) == ("container and place", 5.0)

    def test_an_unknown_material_is_refused(self) -> None:
        with pytest.raises(UnknownCode):
            plan_engraving(number=NUMBER, key=KEY, room=room_of(90, 30), material="oak")

    def test_the_record_names_rung_text_and_cutter(self) -> None:
        def record(width_mm: float, height_mm: float) -> dict[str, str | float]:
            return make_engraving(width_mm=width_mm, height_mm=height_mm).record()

        cutter = "straight cutter 0.5 mm, 0.4 mm deep"
        assert record(90, 30) == {
            "rung": "two lines",
            "text": "OSV4-FC1-A500 / SW2-U3-42",
            "cutter": cutter,
            "cap_height_mm": 7.0,
        }
        assert record(12, 10) == {
            "rung": "drilled dots",
            "text": "K7M4-XRAW",
            "cutter": cutter,
            "dot_pitch_mm": pytest.approx(0.588),
        }

    def test_a_letter_that_hangs_stays_inside_the_block(self) -> None:
        engraving = make_engraving(number="QSV4-FC1-A500-QW2-Q3-42", width_mm=110)
        left, low, right, high = union_all(sweep(engraving).grooves).bounds
        x, y = engraving.origin
        assert x <= left + 1e-9
        assert y <= low + 1e-9
        assert right <= x + engraving.width_mm + 1e-9
        assert high <= y + engraving.height_mm + 1e-9


class TestDots:
    def test_dots_that_are_too_wide_or_too_small_for_their_pitch(self) -> None:
        engraving = make_engraving(width_mm=12, height_mm=10)
        assert lint_engraving(engraving) == []
        for diameter in (0.5, 0.95):
            other = dataclasses.replace(engraving, dot_diameter_mm=diameter * engraving.dot_pitch_mm)
            assert [finding.rule for finding in lint_engraving(other)] == ["dot_share"]


def test_every_rule_of_the_lint_is_in_the_table() -> None:
    engraving: Engraving = make_engraving()
    worst = dataclasses.replace(
        engraving, cutter=Cutter(kind="vee", diameter_mm=6.0, depth_mm=4.0, angle_deg=60.0), cap_height_mm=2.0
    )
    found = lint_engraving(worst, thickness_mm=5.0)
    assert {finding.rule for finding in found} <= set(LINT_RULES)
    assert all(finding.source and finding.todo and finding.level == LINT_RULES[finding.rule].level for finding in found)
