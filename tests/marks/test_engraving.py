"""Engraving: the ladder of texts, sizes, place on the part, and the proof that it says what was chosen."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import LineString, Point, Polygon, box

from service.errors import BadKey, BadNumber, MissingGlyph, NoEngravingRoom, ReadBackFailed
from service.marks.engraving import Engraving, EngravingText, plan_engraving, prove
from service.marks.engraving_lint import lint_engraving
from service.marks.strokes import CAP_HEIGHTS_MM, STROKE_WIDTH
from service.marks.sweep import sweep
from service.outlines.room import Rectangle
from tests.part_factory import KEY, NUMBER, make_drawing, make_engraving, room_of, star_segment
from tests.plain_room import Room

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"


def numbers() -> st.SearchStrategy[str]:
    def group(digits: int) -> st.SearchStrategy[str]:
        letters = st.text(alphabet=LETTERS, min_size=1, max_size=3)
        return st.builds(lambda word, ordinal: f"{word}{ordinal}", letters, st.integers(1, 10**digits))

    groups = st.tuples(group(2), group(1), group(4), group(2), group(2), st.integers(10, 98).map(str))
    return groups.map("-".join)


keys = st.text(alphabet="23456789ACEFHJKMNPRTWXY", min_size=8, max_size=8)


def groove(engraving: Engraving) -> Polygon:
    hull = union_all(sweep(engraving).grooves).convex_hull
    assert isinstance(hull, Polygon)
    return hull


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "lines", "rung", "cap_height_mm"),
    [
        (400, 100, ("OSV4-FC1-A500", "SW2-U3-42"), "two lines", 20.0),
        (440, 12, ("OSV4-FC1-A500-SW2-U3-42",), "one line", 10.0),
        (90, 30, ("OSV4-FC1-A500", "SW2-U3-42"), "two lines", 7.0),
        (70, 9, ("OSV4-FC1-A500", "SW2-U3-42"), "two lines", 3.5),
        (90, 9, ("OSV4-FC1-A500-SW2-U3-42",), "one line", 3.5),
        (90, 8, ("OSV4-FC1-A500-SW2-U3-42",), "one line", 3.5),
        (43.4, 5.8, ("A500 SW2-U3",), "container and place", 3.5),
        (26, 11, ("A500", "SW2-U3"), "container and place", 3.5),
        (33, 6, ("K7M4-XRAW",), "key", 3.5),
        (20, 20, ("K7M4", "XRAW"), "key in two fours", 3.5),
        (12, 10, ("K7M4-XRAW",), "drilled dots", 0.0),
    ],
)
def test_the_ladder(width_mm: float, height_mm: float, lines: tuple[str, ...], rung: str, cap_height_mm: float) -> None:
    engraving = make_engraving(width_mm=width_mm, height_mm=height_mm)
    assert (engraving.lines, engraving.rung, engraving.cap_height_mm) == (lines, rung, cap_height_mm)
    assert engraving.width_mm <= width_mm
    assert engraving.height_mm <= height_mm
    assert engraving.base_line == (rung in ("key", "key in two fours"))
    assert bool(engraving.dots) == (rung == "drilled dots")


def test_a_key_stands_over_a_base_line_as_long_as_the_text() -> None:
    engraving = make_engraving(width_mm=33, height_mm=6)
    *letters, rule = engraving.strokes
    xs = [x for stroke in letters for x, _ in stroke]
    assert [point[0] for point in rule] == pytest.approx([min(xs), max(xs)])
    assert rule[0][1] == pytest.approx(rule[1][1])
    clear = min(y for stroke in letters for _, y in stroke) - rule[0][1] - engraving.stroke_width_mm
    assert clear == pytest.approx(0.2 * engraving.cap_height_mm)


@given(number=numbers(), key=keys, width_mm=st.floats(25, 300), height_mm=st.floats(6, 80), angle=st.floats(-360, 360))
@settings(max_examples=60, deadline=None)
def test_what_was_planned_reads_back_and_lies_in_the_free_rectangle(
    number: str, key: str, width_mm: float, height_mm: float, angle: float
) -> None:
    room = room_of(width_mm, height_mm, angle_deg=angle)
    try:
        engraving = plan_engraving(number=number, key=key, room=room)
    except NoEngravingRoom:
        assert min(width_mm, height_mm) < 9.5
        return
    assert -90 < engraving.angle_deg <= 90
    assert not lint_engraving(engraving) or engraving.cap_height_mm > 10
    if engraving.rung == "drilled dots":
        assert engraving.lines == (f"{key[:4]}-{key[4:]}",)
    else:
        prove(engraving)
        groups = number.split("-")
        place = "-".join([groups[2], *groups[3:5]])
        assert "-".join(engraving.lines).replace(" ", "-") in (number, place, f"{key[:4]}-{key[4:]}")
        assert engraving.cap_height_mm in CAP_HEIGHTS_MM
    free = room(engraving.width_mm / engraving.height_mm)
    assert free is not None
    assert free.polygon().buffer(1e-6).covers(groove(engraving))


@pytest.mark.parametrize(("angle", "reading"), [(0, 0), (90, 90), (91, -89), (180, 0), (270, 90), (-90, 90), (359, -1)])
def test_text_reads_from_below_or_from_the_right(angle: float, reading: float) -> None:
    assert make_engraving(angle_deg=angle).angle_deg == pytest.approx(reading)


def test_the_origin_is_the_lower_left_corner_of_lines_as_wide_as_the_gaps_are_made_for() -> None:
    engraving = make_engraving()
    xs = [x for stroke in engraving.strokes for x, _ in stroke]
    ys = [y for stroke in engraving.strokes for _, y in stroke]
    half = max(engraving.stroke_width_mm, STROKE_WIDTH * engraving.cap_height_mm) / 2
    assert engraving.origin == pytest.approx((min(xs) - half, min(ys) - half))
    assert max(xs) + half - engraving.origin[0] == pytest.approx(engraving.width_mm)
    assert max(ys) + half - engraving.origin[1] == pytest.approx(engraving.height_mm)


def test_on_a_real_outline_the_text_keeps_clear_of_edges_and_keep_outs() -> None:
    shape = star_segment(pockets=24, pitch_radius_mm=400, pocket_mm=68, segments=4, ordinal=1)
    keepout = Point(200, 200).buffer(60)
    drawing = make_drawing(shape, keepouts=(keepout,))
    engraving = plan_engraving(number=NUMBER, key=KEY, room=Room(drawing).rectangle)
    prove(engraving)
    cut = groove(engraving)
    assert drawing.material.buffer(-4.99).covers(cut)
    assert cut.distance(keepout) > 0
    assert engraving.rung == "two lines"


def test_the_largest_height_that_fits_is_taken_and_no_squeezed_one() -> None:
    drawing = make_drawing(box(0, 0, 96, 40))
    engraving = plan_engraving(number=NUMBER, key=KEY, room=Room(drawing).rectangle)
    assert engraving.cap_height_mm == 7.0
    assert engraving.width_mm <= 86


def test_cap_heights_and_floor_are_the_callers() -> None:
    engraving = plan_engraving(number=NUMBER, key=KEY, room=room_of(400, 100), cap_heights=(5.0, 3.5), floor_mm=5.0)
    assert engraving.cap_height_mm == 5.0
    with pytest.raises(NoEngravingRoom):
        plan_engraving(number=NUMBER, key=KEY, room=room_of(9, 9), cap_heights=(5.0, 3.5), floor_mm=5.0)


def test_no_room_is_said_with_what_there_is_room_for() -> None:
    with pytest.raises(NoEngravingRoom, match=r"there is room for 1\.\d mm") as caught:
        plan_engraving(number=NUMBER, key=KEY, room=room_of(8, 8))
    assert caught.value.value == NUMBER
    with pytest.raises(NoEngravingRoom, match="no free area"):
        plan_engraving(number=NUMBER, key=KEY, room=lambda _: None)


@pytest.mark.parametrize("number", ["", "OSV4", "OSV4-FC1-A500", "OSV4-FC1-A500-SW2-U3-42-7", "OSV4--A500-SW2-U3-42"])
def test_only_a_printed_number_is_engraved(number: str) -> None:
    with pytest.raises(BadNumber):
        make_engraving(number=number)


@pytest.mark.parametrize("key", ["", "K7M4", "K7M4-XRAW9", "K7M4-XRA"])
def test_only_a_whole_key_is_engraved(key: str) -> None:
    with pytest.raises(BadKey):
        make_engraving(key=key)


def test_a_key_may_come_in_two_fours() -> None:
    assert EngravingText(number=NUMBER, key="K7M4-XRAW").key_fours() == ("K7M4", "XRAW")
    assert EngravingText(number=NUMBER, key="K7M4 XRAW").key_fours() == ("K7M4", "XRAW")


def test_a_letter_that_cannot_be_cut_is_named() -> None:
    with pytest.raises(MissingGlyph):
        make_engraving(number="ÖSV4-FC1-A500-SW2-U3-42")


class TestProve:
    def test_strokes_of_another_text_are_refused(self) -> None:
        engraving = make_engraving()
        other = make_engraving(number="OSV4-FC1-A500-SW2-U4-39")
        with pytest.raises(ReadBackFailed, match="SW2-U4-39"):
            prove(engraving, other.strokes)

    def test_a_missing_base_line_is_refused(self) -> None:
        engraving = make_engraving(width_mm=33, height_mm=6)
        with pytest.raises(ReadBackFailed):
            prove(engraving, engraving.strokes[:-1])

    def test_a_wrong_direction_is_refused(self) -> None:
        engraving = make_engraving(angle_deg=30)
        with pytest.raises(ReadBackFailed):
            prove(dataclasses.replace(engraving, angle_deg=35.0))

    def test_every_stroke_counts(self) -> None:
        engraving = make_engraving()
        for index in range(len(engraving.strokes)):
            strokes = [*engraving.strokes[:index], *engraving.strokes[index + 1 :]]
            with pytest.raises(ReadBackFailed):
                prove(engraving, strokes)


def test_strokes_are_plain_polylines() -> None:
    for stroke in make_engraving().strokes:
        assert LineString(stroke).length > 0


def test_a_free_rectangle_of_another_ratio_is_not_overrun() -> None:
    def tall(_aspect: float) -> Rectangle:
        return Rectangle(centre=(0.0, 0.0), width_mm=62.0, height_mm=400.0, angle_deg=0.0)

    engraving = plan_engraving(number=NUMBER, key=KEY, room=tall)
    assert engraving.width_mm <= 62.0
    assert engraving.cap_height_mm == 5.0


class TestHand:
    @pytest.mark.parametrize(
        ("width_mm", "height_mm", "lines"),
        [
            (400, 100, ("RIGHT", "OSV4-FC1-A500", "SW2-U3-42")),
            (300, 12, (f"{NUMBER} RIGHT",)),
            (45, 9, ("OSV4-FC1-A500", "SW2-U3-42")),
            (22, 20, ("RIGHT", "A500", "SW2-U3")),
        ],
    )
    def test_the_word_stands_with_the_text_where_that_has_room(
        self, width_mm: float, height_mm: float, lines: tuple[str, ...]
    ) -> None:
        engraving = plan_engraving(number=NUMBER, key=KEY, hand="RIGHT", room=room_of(width_mm, height_mm))
        prove(engraving)
        assert engraving.lines == lines
        assert engraving.hand == ("RIGHT" if any("RIGHT" in line for line in lines) else None)

    def test_a_key_keeps_its_base_line_under_it(self) -> None:
        engraving = plan_engraving(number=NUMBER, key=KEY, hand="LEFT", room=room_of(18, 18))
        prove(engraving)
        assert engraving.lines == ("LEFT", "K7M4", "XRAW")
        assert engraving.base_line

    @given(key=keys, hand=st.sampled_from(["LEFT", "RIGHT"]), angle=st.floats(-180, 180))
    @settings(max_examples=30, deadline=None)
    def test_what_was_planned_reads_back(self, key: str, hand: str, angle: float) -> None:
        prove(plan_engraving(number=NUMBER, key=key, hand=hand, room=room_of(80, 40, angle_deg=angle)))
