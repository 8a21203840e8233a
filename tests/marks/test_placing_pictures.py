"""The plan of a kit and the silhouette of a container on a mark."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from schemas.label_template import Picture
from service.errors import MissingGlyph
from service.marks.items import BLACK, WHITE, Area, Extent, Item, TextRun
from service.marks.kit_plan import KitPlan, kit_plan
from service.marks.lettering import least_cap_height_mm
from service.marks.placing_pictures import place_picture
from service.marks.silhouette import Container
from service.render.fonts import typeface
from tests.mark_factory import NUMBER, demo_plan, make_facts
from tests.part_factory import GREEN, make_plan_part

BOX = Extent(12.0, 7.0, 84.0, 57.0)


def make_picture(kind: str, **others: object) -> Picture:
    given = {"kind": kind, "x_mm": 12.0, "y_mm": 7.0, "width_mm": 72.0, "height_mm": 50.0, **others}
    return Picture.model_validate(given)


def drawn(kind: str = "plan", *, black_only: bool = False, **facts: object) -> list[Item]:
    made = make_facts(**facts)  # type: ignore[arg-type]  # the facts are named by the tests
    return place_picture(make_picture(kind), made, typeface(), black_only=black_only)


def areas(items: list[Item]) -> list[Area]:
    return [item for item in items if isinstance(item, Area)]


def test_the_plan_lies_in_its_box_and_its_panels_apart() -> None:
    items = drawn()
    assert all(BOX.holds(item.extent, slack_mm=0.02) for item in items)
    labels = [item for item in items if isinstance(item, TextRun)]
    assert [run.text for run in labels][:2] == ["SW1 lower", "SW1 upper"]
    for run in labels:
        assert not any(run.extent.overlaps(area.extent) for area in areas(items))
        assert run.cap_height_mm >= least_cap_height_mm(run.reading_distance_mm)


def test_the_part_of_the_mark_is_black_and_the_others_have_their_stock_colour() -> None:
    colours = [area.rgb for area in areas(drawn())]
    assert colours.count(BLACK) == 1
    assert set(colours) == {BLACK, GREEN}
    assert BLACK not in {area.rgb for area in areas(drawn(number="OSV4-FC1-A500-SW9-U9-11"))}


def test_with_one_ink_the_others_are_white_with_a_black_line() -> None:
    shown = areas(drawn(black_only=True))
    assert {area.rgb for area in shown} == {BLACK, WHITE}
    assert all(area.line_rgb == BLACK and area.line_mm > 0 for area in shown)


def test_all_parts_have_one_scale() -> None:
    parts = [
        make_plan_part(place="SW1-U1", assembly="one", shape=box(0, 0, 300, 100)),
        make_plan_part(place="SW2-U1", assembly="two", shape=box(50, 50, 200, 125)),
    ]
    large, small = areas(drawn(plan=kit_plan("K", parts)))
    ratio = (large.extent.right - large.extent.left - 0.2) / (small.extent.right - small.extent.left - 0.2)
    assert ratio == pytest.approx(2.0, abs=0.01)


def test_a_hole_stays_a_hole() -> None:
    ring = Point(0, 0).buffer(50).difference(Point(0, 0).buffer(20))
    (area,) = areas(drawn(plan=kit_plan("K", [make_plan_part(place="SW1-U1", shape=ring)])))
    outer, inner = sorted((Polygon(ring).area for ring in area.rings), reverse=True)
    assert inner / outer == pytest.approx(0.16, abs=0.01)


def test_a_thinned_outline_moves_by_a_twentieth_of_a_millimetre_at_most() -> None:
    round_ = Point(0, 0).buffer(500, 512)
    panel = kit_plan("K", [make_plan_part(shape=round_)]).panels[0]
    thinned = Polygon(panel.shapes[0].rings[0])
    assert len(thinned.exterior.coords) < 200
    moved = max(abs(500 - Point(500, 500).distance(Point(x, y))) for x, y in thinned.exterior.coords)
    sagging = max(
        500 - Point(500, 500).distance(Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
        for a, b in pairwise(thinned.exterior.coords)
    )
    assert max(moved, sagging) * 100 / 1000 < 0.06


@settings(max_examples=30, deadline=None)
@given(
    sizes=st.lists(st.tuples(st.integers(20, 900), st.integers(20, 900)), min_size=1, max_size=60),
    width=st.integers(30, 200),
    height=st.integers(20, 120),
)
def test_any_kit_is_placed_whole_inside_any_box(sizes: list[tuple[int, int]], width: int, height: int) -> None:
    parts = [
        make_plan_part(place=f"SW{index}-U1", assembly=f"star {index}", shape=box(0, 0, *size))
        for index, size in enumerate(sizes, 1)
    ]
    picture = make_picture("plan", width_mm=float(width), height_mm=float(height))
    items = place_picture(picture, make_facts(plan=kit_plan("K", parts)), typeface(), black_only=False)
    room = Extent(12.0, 7.0, 12.0 + width, 7.0 + height)
    assert len(areas(items)) == len(sizes)
    assert all(room.holds(item.extent, slack_mm=0.02) for item in items)


def test_a_label_that_the_face_lacks_is_refused() -> None:
    plan = kit_plan("K", [make_plan_part(deck="上")])
    with pytest.raises(MissingGlyph, match="U\\+4E0A"):
        drawn(plan=plan)


@pytest.mark.parametrize("plan", [None, KitPlan("OSV4-FC1-A500", ())])
def test_without_a_plan_there_is_no_picture(plan: KitPlan | None) -> None:
    assert drawn(plan=plan) == []


def test_the_silhouette_is_as_large_as_its_box_allows_in_its_own_proportions() -> None:
    (area,) = areas(drawn("silhouette"))
    assert area.rgb == BLACK
    width, height = area.extent.right - area.extent.left, area.extent.bottom - area.extent.top
    assert height == pytest.approx(50.0)
    assert width / height == pytest.approx(65.3 / 212.0)


def test_a_container_without_measures_has_no_silhouette() -> None:
    assert drawn("silhouette", container=None) == []
    assert drawn("silhouette", container=Container(shape="", width_mm=60.0, height_mm=100.0)) != []


def test_the_plan_of_a_kit_marks_each_of_its_parts_in_turn() -> None:
    numbers = [shape.number for panel in demo_plan().panels for shape in panel.shapes]
    assert NUMBER in numbers
    for number in numbers[::9]:
        *others, last = areas(drawn(number=number))
        assert [area.rgb for area in (*others, last)].count(BLACK) == numbers.count(number)


def test_all_but_the_marked_part_is_the_same_on_every_mark_of_a_kit() -> None:
    one, other = (
        [item for item in drawn(number=number) if not (isinstance(item, Area) and item.rgb == BLACK)]
        for number in ("OSV4-FC1-A500-SW1-U1-42", NUMBER)
    )
    assert one == other
