"""The largest upright rectangle: it lies in the free area, keeps the rule, and no plain search beats it by much."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.errors import BadRequest
from service.outlines.beside import largest_apart, place_beside
from service.outlines.exact_fit import half_turn
from service.outlines.face import FULL
from service.outlines.room import Rectangle
from service.outlines.upright import ANY_DEG, TOLERANCE_DEG, UprightRoom
from tests.outlines.assembly import face_in_kit

Centre = tuple[float, float] | None


def off_deg(rectangle: Rectangle, centre: Centre) -> float:
    """Between where the tops of the letters point and where they should, from the corners of the rectangle itself."""
    corners = shapely.get_coordinates(rectangle.polygon().exterior)[:-1]
    # The corners run anticlockwise from the lower left one of the unturned rectangle.
    order = min(range(4), key=lambda at: abs(half_turn(_heading(corners, at) - rectangle.angle_deg)))
    foot = (corners[order] + corners[(order + 1) % 4]) / 2
    up = corners.mean(axis=0) - foot
    aim = (0.0, 1.0) if centre is None else (centre[0] - rectangle.centre[0], centre[1] - rectangle.centre[1])
    return abs(half_turn(math.degrees(math.atan2(up[1], up[0]) - math.atan2(aim[1], aim[0]))))


def _heading(corners: Any, at: int) -> float:
    dx, dy = corners[(at + 1) % 4] - corners[at]
    return math.degrees(math.atan2(dy, dx))


def found(free: BaseGeometry, centre: Centre, aspect: float, *, within_deg: float = TOLERANCE_DEG) -> Rectangle:
    rectangle = UprightRoom(free, centre).rectangle(aspect, within_deg=within_deg)
    assert rectangle is not None
    assert rectangle.by_rule
    assert rectangle.width_mm / rectangle.height_mm == pytest.approx(aspect)
    assert free.buffer(1e-6).covers(rectangle.polygon())
    assert -180 < rectangle.angle_deg <= 180
    assert off_deg(rectangle, centre) <= within_deg + 1e-6
    return rectangle


class TestRule:
    @pytest.mark.parametrize(
        ("centre", "reading"), [((0, 500), 0), ((0, -500), 180), ((500, 0), -90), ((-500, 0), 90), (None, 0)]
    )
    def test_the_tops_of_letters_point_to_the_centre(self, centre: Centre, reading: float) -> None:
        rectangle = found(Point(0, 0).buffer(40), centre, 3.0)
        assert rectangle.angle_deg == pytest.approx(reading, abs=3)
        assert math.hypot(*rectangle.centre) < 3

    @pytest.mark.parametrize("centre", [(100.0, 400.0), (-300.0, 60.0), None])
    def test_a_bar_that_lies_askew_is_filled_only_as_far_as_the_rule_lets(self, centre: Centre) -> None:
        for turn in range(0, 180, 15):
            bar = affinity.rotate(box(-80, -8, 80, 8), turn, origin=(0, 0))
            found(bar, centre, 6.0)

    def test_a_bar_along_the_tangent_is_filled(self) -> None:
        bar = affinity.rotate(box(-80, -8, 80, 8), 37, origin=(0, 0))
        rectangle = found(bar, affinity_point((0, 300), 37), 8.0)
        assert rectangle.angle_deg == pytest.approx(37, abs=0.2)
        assert rectangle.height_mm == pytest.approx(16, rel=0.02)

    def test_a_narrower_tolerance_never_gives_more(self) -> None:
        free = face_in_kit("CG1-U1").free(FULL)
        heights = [found(free, (0, 0), 5.0, within_deg=tolerance).height_mm for tolerance in (4.0, 10.0, 20.0, 90.0)]
        assert all(later >= 0.97 * earlier for earlier, later in pairwise(heights))

    def test_round_the_centre_every_direction_has_its_place(self) -> None:
        ring = Point(0, 0).buffer(100).difference(Point(0, 0).buffer(60))
        for sector in range(0, 360, 60):
            wedge = Polygon([(0, 0), *((200 * math.cos(a), 200 * math.sin(a)) for a in arc(sector - 30, sector + 30))])
            rectangle = found(ring.intersection(wedge), (0, 0), 4.0)
            assert half_turn(rectangle.angle_deg - (sector + 90)) == pytest.approx(0, abs=TOLERANCE_DEG)


def arc(begin: float, end: float) -> list[float]:
    return [math.radians(begin + (end - begin) * step / 8) for step in range(9)]


def affinity_point(point: tuple[float, float], degrees: float) -> tuple[float, float]:
    turned = affinity.rotate(Point(point), degrees, origin=(0, 0))
    return turned.x, turned.y


class TestSize:
    @pytest.mark.parametrize("place", ["SW2-L3", "CG1-U2", "OR1-U1", "NG1-K1", "BP1-X1"])
    def test_no_plain_search_beats_it_by_much(self, place: str) -> None:
        face = face_in_kit(place)
        free = face.free(FULL, seen=False)
        centre = face.axis.at if face.axis is not None else None
        best = found(free, centre, 5.0)
        shapely.prepare(free)
        left, bottom, right, top = free.bounds
        higher = best.height_mm * 1.04
        room = UprightRoom(free, centre)
        for x in range(int(left), int(right), 4):
            for y in range(int(bottom), int(top), 4):
                if not free.covers(Point(x, y)):
                    continue
                for turn in (-20, -10, 0, 10, 20):
                    angle = room.direction((x, y)) + turn
                    assert not free.covers(Rectangle((x, y), 5 * higher, higher, angle).polygon())

    @pytest.mark.parametrize(("dx", "dy", "turn"), [(0, 0, 90), (500, -300, 0), (-40, 700, 147)])
    def test_it_moves_and_turns_with_the_part(self, dx: float, dy: float, turn: float) -> None:
        free = face_in_kit("OR2-U1").free(FULL)
        here = found(free, (0, 0), 6.0)
        moved = affinity.translate(affinity.rotate(free, turn, origin=(0, 0)), dx, dy)
        there = found(moved, (dx, dy), 6.0)
        assert there.height_mm == pytest.approx(here.height_mm, rel=0.03)

    def test_without_a_centre_any_direction_that_does_not_stand_on_its_head_may_be_allowed(self) -> None:
        post = box(0, 0, 12, 200)
        assert found(post, None, 8.0).height_mm < 2
        upright = found(post, None, 8.0, within_deg=ANY_DEG)
        assert upright.height_mm == pytest.approx(12, rel=0.02)
        assert abs(upright.angle_deg) == pytest.approx(90, abs=0.5)


class TestHostile:
    @given(
        radii=st.lists(st.floats(2, 150), min_size=4, max_size=14),
        holes=st.lists(st.tuples(st.floats(-90, 90), st.floats(-90, 90), st.floats(0.5, 20)), max_size=6),
        centre=st.one_of(st.none(), st.tuples(st.floats(-400, 400), st.floats(-400, 400))),
        aspect=st.floats(0.2, 20),
    )
    @settings(max_examples=25, deadline=None)
    def test_whatever_the_area_the_rule_and_the_border_are_kept(
        self, radii: list[float], holes: list[tuple[float, float, float]], centre: Centre, aspect: float
    ) -> None:
        turns = [math.tau * step / len(radii) for step in range(len(radii))]
        star: BaseGeometry = Polygon(
            [(r * math.cos(turn), r * math.sin(turn)) for r, turn in zip(radii, turns, strict=True)]
        )
        for x, y, radius in holes:
            star = star.difference(Point(x, y).buffer(radius, quad_segs=3))
        rectangle = UprightRoom(star, centre).rectangle(aspect)
        if rectangle is not None:
            assert star.buffer(1e-6).covers(rectangle.polygon())
            assert off_deg(rectangle, centre) <= TOLERANCE_DEG + 1e-6

    @pytest.mark.parametrize("free", [Polygon(), MultiPolygon(), box(0, 0, 1e-4, 1e-4), box(0, 0, 3000, 1e-3)])
    def test_hardly_anything_is_hardly_anything(self, free: BaseGeometry) -> None:
        rectangle = UprightRoom(free, (5.0, 5.0)).rectangle(4.0)
        assert rectangle is None or rectangle.height_mm < 0.01

    def test_the_centre_on_the_part_is_no_fault(self) -> None:
        found(box(-50, -30, 50, 30), (0.0, 0.0), 4.0)

    @pytest.mark.parametrize("aspect", [0.0, -1.0, math.nan, math.inf])
    def test_a_ratio_that_is_none_is_refused(self, aspect: float) -> None:
        with pytest.raises(BadRequest, match="aspect"):
            UprightRoom(box(0, 0, 9, 9), None).rectangle(aspect)


class TestBeside:
    block = Rectangle((50.0, 30.0), 40.0, 12.0, 20.0, by_rule=True)

    def test_it_stands_off_the_block_in_its_direction(self) -> None:
        square = place_beside(box(0, 0, 120, 60), self.block, size_mm=10.0, gap_mm=5.0)
        assert square is not None
        assert square.angle_deg == self.block.angle_deg
        assert square.polygon().distance(self.block.polygon()) == pytest.approx(5.0)

    def test_without_room_beside_there_may_be_room_elsewhere(self) -> None:
        free = MultiPolygon([self.block.polygon().buffer(1), box(200, 0, 230, 30)])
        assert place_beside(free, self.block, size_mm=10.0, gap_mm=5.0) is None
        square = largest_apart(free, self.block, gap_mm=5.0, centre=(215.0, 400.0))
        assert square is not None
        assert free.covers(square.polygon())
        assert square.height_mm == pytest.approx(30, rel=0.02)
        assert off_deg(square, (215.0, 400.0)) <= TOLERANCE_DEG
