"""Engravings at their places: steps of margins, sight, direction, hand; and whole assemblies moved and mirrored."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.errors import LintFailed, NoEngravingRoom, ReadBackFailed
from service.marks.cutters import Cutter
from service.marks.engraving import prove
from service.marks.placed import PlacedEngraving, place_engraving
from service.outlines.exact_fit import half_turn
from service.outlines.face import FULL, STEPS, Face, Surroundings, face_of
from service.outlines.upright import ANY_DEG, TOLERANCE_DEG
from tests.outlines.assembly import Move, drawings, face_in_kit, mirrored, moved, shifted, turned
from tests.part_factory import KEY, NUMBER, make_drawing


def placed_on(face: Face, *, hand: str | None = None, revision: str | None = "B") -> PlacedEngraving:
    """An engraving that reads back, lies in its free area with its grooves, and keeps the rule it claims."""
    placed = place_engraving(face, number=NUMBER, key=KEY, hand=hand, revision=revision, material="UHMW-PE")
    engraving = placed.engraving
    if not engraving.dots:
        prove(engraving)
        grooves = MultiLineString([LineString(stroke) for stroke in engraving.strokes])
        free = face.free(placed.margins, seen=placed.seen)
        assert free.buffer(1e-4).covers(grooves.buffer(engraving.cutter.groove_mm / 2))
    assert placed.off_deg <= (TOLERANCE_DEG if placed.by_rule else ANY_DEG) + 1e-6
    assert placed.off_deg == pytest.approx(off_deg(placed), abs=1e-6)
    return placed


def off_deg(placed: PlacedEngraving) -> float:
    """From the strokes: between where capitals rise and the way from the middle of the block to the axis."""
    block = placed.block
    up = math.radians(placed.engraving.angle_deg + 90)
    axis = placed.face.axis
    aim = math.pi / 2 if axis is None else math.atan2(axis.at[1] - block.centre[1], axis.at[0] - block.centre[0])
    return abs(half_turn(math.degrees(up - aim)))


@pytest.mark.parametrize("place", sorted(drawings()))
def test_every_part_of_the_demonstration_bears_its_whole_number(place: str) -> None:
    placed = placed_on(face_in_kit(place))
    assert placed.engraving.rung in ("one line", "two lines")
    assert placed.engraving.cap_height_mm >= 3.5
    # Only the guide that leads in along the conveyor is read along itself: it would bear letters half as high.
    assert placed.by_rule == (place not in ("OR1-L3", "OR1-U3"))
    assert placed.seen == (placed.face.shadow.is_empty)
    assert placed.margins.name == ("zone" if placed.face.drawing.engraving_zones else "full")
    assert placed.revision is not None


class TestSteps:
    def test_a_small_part_takes_its_margins_back_and_says_so(self) -> None:
        placed = placed_on(face_of(make_drawing(box(0, 0, 60, 18.2))))
        assert placed.margins == STEPS[-1]
        assert placed.record()["margins"] == "reduced"
        assert "margins reduced to 5 mm" in placed.place_words

    def test_full_margins_are_kept_where_anything_fits(self) -> None:
        placed = placed_on(face_of(make_drawing(box(0, 0, 60, 25))))
        assert placed.margins == FULL

    def test_letters_on_a_later_step_come_before_dots(self) -> None:
        # With full margins 10 by 10 mm are free: dots only. With 5 mm the key has room.
        face = face_of(make_drawing(box(0, 0, 30, 30)))
        placed = placed_on(face)
        assert placed.engraving.rung.startswith("key") or placed.engraving.rung == "container and place"
        assert placed.margins.name == "reduced"

    def test_a_part_that_lies_under_the_deck_above_is_marked_there_and_says_so(self) -> None:
        placed = placed_on(face_in_kit("SW2-L3"))
        assert not placed.seen
        assert placed.record()["seen"] is False
        assert "covered by the deck above" in placed.place_words

    def test_what_can_be_seen_comes_before_larger_letters_that_cannot(self) -> None:
        over = make_drawing(box(90, -10, 400, 200))
        placed = placed_on(face_of(make_drawing(box(0, 0, 300, 60)), Surroundings(above=(over,))))
        assert placed.seen
        assert placed.block.polygon().bounds[2] < 90

    def test_no_room_says_how_large_the_letters_could_be(self) -> None:
        with pytest.raises(NoEngravingRoom, match=r"room for 1\.\d mm") as caught:
            placed_on(face_of(make_drawing(box(0, 0, 60, 12))))
        assert caught.value.value == NUMBER
        with pytest.raises(NoEngravingRoom, match="no free area"):
            placed_on(face_of(make_drawing(box(0, 0, 60, 9))))

    def test_a_cutter_set_too_deep_is_refused(self) -> None:
        deep = Cutter(kind="flat", diameter_mm=0.5, depth_mm=6.0)
        with pytest.raises(LintFailed):
            place_engraving(face_of(make_drawing()), number=NUMBER, key=KEY, cutter=deep, thickness_mm=10.0)


class TestDirection:
    def test_text_is_turned_further_only_where_it_pays(self) -> None:
        placed = placed_on(face_of(make_drawing(box(0, 0, 32, 400))))
        assert not placed.by_rule
        assert abs(placed.engraving.angle_deg) == pytest.approx(90, abs=1)
        assert placed.direction == "along the part, no centre known"
        wide = placed_on(face_of(make_drawing(box(0, 0, 150, 170))))
        assert wide.engraving.angle_deg == pytest.approx(0, abs=1e-6)

    def test_the_same_text_comes_as_straight_as_its_size_allows(self) -> None:
        for place in ("SW1-L1", "SW1-L2", "OR3-U1", "CG3-U1"):
            assert placed_on(face_in_kit(place)).off_deg <= 4.0


class TestHands:
    @pytest.mark.parametrize("hand", ["LEFT", "RIGHT"])
    @pytest.mark.parametrize("place", ["OR2-U1", "RL1-U2", "NG1-K1"])
    def test_the_word_stands_with_the_number(self, place: str, hand: str) -> None:
        placed = placed_on(face_in_kit(place), hand=hand)
        assert placed.record()["hand"] == hand
        assert hand in placed.engraving.text.split()

    @pytest.mark.parametrize("place", ["SW2-U3", "CG1-U1", "OR3-L2", "NG1-K2", "DC1-X1"])
    def test_a_mirrored_part_bears_text_that_reads(self, place: str) -> None:
        here, there = placed_on(face_in_kit(place)), placed_on(face_in_kit(place, mirrored))
        assert there.engraving.lines == here.engraving.lines
        assert there.engraving.cap_height_mm == here.engraving.cap_height_mm
        # Mirrored strokes do not read: the reader that proves the text would say so.
        with pytest.raises(ReadBackFailed, match="the strokes read"):
            prove(there.engraving, [tuple((-x, y) for x, y in stroke) for stroke in there.engraving.strokes])


@pytest.mark.parametrize("move", [turned(90), turned(-134), shifted(700, -250)], ids=["90", "-134", "shifted"])
@pytest.mark.parametrize("place", ["SW2-U3", "SW3-U1", "SW1-L1"])
def test_the_engraving_moves_and_turns_with_its_assembly(place: str, move: Move) -> None:
    here, there = placed_on(face_in_kit(place)), placed_on(face_in_kit(place, move))
    assert there.engraving.lines == here.engraving.lines
    assert there.engraving.cap_height_mm == here.engraving.cap_height_mm
    if here.margins.name == "zone":
        # A zone leaves no choice: the place must be the same spot of the part.
        middle = move(Point(here.block.centre))
        assert Point(there.block.centre).distance(middle) < 1.0
        ahead = move(LineString([here.block.centre, _ahead(here)]))
        (x0, y0), (x1, y1) = shapely.get_coordinates(ahead)
        assert half_turn(there.engraving.angle_deg - math.degrees(math.atan2(y1 - y0, x1 - x0))) == pytest.approx(
            0, abs=0.5
        )


def _ahead(placed: PlacedEngraving) -> tuple[float, float]:
    x, y = placed.block.centre
    turn = math.radians(placed.engraving.angle_deg)
    return x + math.cos(turn), y + math.sin(turn)


class TestHostile:
    @given(
        radii=st.lists(st.floats(3, 140), min_size=4, max_size=10),
        holes=st.lists(st.tuples(st.floats(-80, 80), st.floats(-80, 80), st.floats(0.5, 25)), max_size=5),
        apart=st.floats(-60, 60),
    )
    @settings(max_examples=15, deadline=None)
    def test_whatever_the_outline_it_is_engraved_inside_or_refused(
        self, radii: list[float], holes: list[tuple[float, float, float]], apart: float
    ) -> None:
        turns = [math.tau * step / len(radii) for step in range(len(radii))]
        ring = [(radius * math.cos(turn), radius * math.sin(turn)) for radius, turn in zip(radii, turns, strict=True)]
        shape: BaseGeometry = Polygon(ring)
        for x, y, radius in holes:
            shape = shape.difference(Point(x, y).buffer(radius, quad_segs=2))
        pieces = [part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon) and part.area > 1]
        if not pieces:
            return
        drawing = make_drawing(MultiPolygon(pieces))
        beside = moved(drawing, shifted(280 + apart, 0))
        over = moved(drawing, shifted(apart, apart))
        try:
            placed_on(face_of(drawing, Surroundings(neighbours=(beside, drawing), above=(over,))))
        except NoEngravingRoom as refused:
            said = refused.what
        else:
            return
        assert "room for" in said or "no free area" in said

    def test_keep_outs_over_everything_leave_nothing(self) -> None:
        with pytest.raises(NoEngravingRoom, match="no free area"):
            placed_on(face_of(make_drawing(keepouts=(box(-5, -5, 300, 300),))))

    def test_a_zone_off_the_part_leaves_nothing(self) -> None:
        with pytest.raises(NoEngravingRoom):
            placed_on(face_of(make_drawing(engraving_zones=(box(500, 500, 600, 600),))))
