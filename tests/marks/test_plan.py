"""The plan of a kit: panels by assembly and deck, rows that fit, heaps spread out."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import box

from service.marks.plan import (
    CAPTION_PX,
    GAP_PX,
    MAX_PX_PER_MM,
    MAX_ROW_PX,
    PlacedPanel,
    PlanPart,
    lay_out_plan,
)
from tests.part_factory import make_kit, make_plan_part


def drawn_box(panel: PlacedPanel) -> tuple[float, float, float, float]:
    height = CAPTION_PX + panel.panel.height_mm * panel.px_per_mm
    return panel.x_px, panel.y_px, panel.x_px + panel.width_px, panel.y_px + height


def assert_apart(panels: Sequence[PlacedPanel]) -> None:
    for index, one in enumerate(panels):
        for other in panels[index + 1 :]:
            a, b = drawn_box(one), drawn_box(other)
            assert a[2] <= b[0] + 1e-6 or b[2] <= a[0] + 1e-6 or a[3] <= b[1] + 1e-6 or b[3] <= a[1] + 1e-6


def test_parts_of_one_assembly_and_deck_share_a_panel_and_its_coordinates() -> None:
    left = make_plan_part(place="SW2-U1", shape=box(-100, 0, -1, 50))
    right = make_plan_part(place="SW2-U2", shape=box(1, 0, 100, 50))
    lower = make_plan_part(place="SW2-L1", deck="lower", shape=box(-100, 0, 100, 50))
    plan = lay_out_plan([left, right, lower], width_px=1000)
    assert [(placed.panel.deck, len(placed.panel.parts)) for placed in plan.panels] == [
        ("upper deck", 2),
        ("lower deck", 1),
    ]
    assert plan.panels[0].panel.bounds_mm == pytest.approx((-100, 0, 100, 50))
    assert [(dx, dy) for _, dx, dy in plan.panels[0].panel.parts] == [(0, 0), (0, 0)]


def test_parts_that_lie_on_each_other_are_spread_out() -> None:
    parts = [make_plan_part(place=f"RL1-X{n}", deck="", assembly="rail 1", shape=box(0, 0, 600, 24)) for n in range(6)]
    panel = lay_out_plan(parts, width_px=1000).panels[0].panel
    shapes = [affinity.translate(part.drawing.material, dx, dy) for part, dx, dy in panel.parts]
    for index, shape in enumerate(shapes):
        for other in shapes[index + 1 :]:
            assert shape.distance(other) > 5
    assert panel.bounds_mm[2] - panel.bounds_mm[0] >= 600


def test_parts_that_touch_in_a_joint_are_no_heap() -> None:
    overlapping = [
        make_plan_part(place="SW2-U1", shape=box(0, 0, 100, 50)),
        make_plan_part(place="SW2-U2", shape=box(95, 0, 200, 50)),
    ]
    assert lay_out_plan(overlapping, width_px=500).panels[0].panel.width_mm == 200


def test_one_row_has_one_scale_and_keeps_its_height() -> None:
    plan = lay_out_plan(make_kit(), width_px=1000)
    rows: dict[float, set[float]] = {}
    for placed in plan.panels:
        rows.setdefault(placed.y_px, set()).add(placed.px_per_mm)
        assert placed.panel.height_mm * placed.px_per_mm <= MAX_ROW_PX + 1e-6
        assert placed.px_per_mm <= MAX_PX_PER_MM
    assert all(len(scales) == 1 for scales in rows.values())


@pytest.mark.parametrize("width_px", [360, 700, 1000, 1600])
def test_a_kit_fits_its_page(width_px: float) -> None:
    plan = lay_out_plan(make_kit(), width_px=width_px)
    assert sum(len(placed.panel.parts) for placed in plan.panels) == len(make_kit())
    assert_apart(plan.panels)
    assert max(placed.x_px + placed.width_px for placed in plan.panels) <= width_px + 1e-6
    assert max(drawn_box(placed)[3] for placed in plan.panels) <= plan.height_px + 1e-6


def test_the_two_decks_of_a_star_stand_side_by_side() -> None:
    plan = lay_out_plan(make_kit(), width_px=1000)
    for name in ("infeed star wheel 1", "discharge star wheel 2", "transfer star wheel 3"):
        assert len({placed.y_px for placed in plan.panels if placed.panel.assembly == name}) == 1


@given(
    sizes=st.lists(st.tuples(st.floats(10, 3000), st.floats(10, 3000)), min_size=1, max_size=14),
    width_px=st.floats(320, 2000),
)
@settings(max_examples=60, deadline=None)
def test_panels_never_overlap_and_keep_their_order(sizes: list[tuple[float, float]], width_px: float) -> None:
    parts: list[PlanPart] = [
        make_plan_part(place=f"SW{n}-U1", assembly=f"star wheel {n}", shape=box(0, 0, width, height))
        for n, (width, height) in enumerate(sizes, 1)
    ]
    plan = lay_out_plan(parts, width_px=width_px)
    assert [placed.panel.assembly for placed in plan.panels] == [part.assembly for part in parts]
    assert_apart(plan.panels)
    assert all(placed.x_px + placed.width_px <= width_px + 1e-6 for placed in plan.panels)


def test_only_one_deck_is_laid_out_when_asked_for() -> None:
    plan = lay_out_plan(make_kit(), width_px=1000, deck="upper")
    assert {placed.panel.deck for placed in plan.panels} == {"upper deck"}
    assert len(plan.panels) == 3


def test_captions_say_deck_and_rotation() -> None:
    part = make_plan_part(rotation="clockwise")
    assert lay_out_plan([part], width_px=500).panels[0].panel.place_words == "upper deck · turns clockwise"
    assert lay_out_plan([make_plan_part(deck="")], width_px=500).panels[0].panel.place_words == ""


def test_an_empty_kit_is_an_empty_plan() -> None:
    plan = lay_out_plan([], width_px=500)
    assert plan.panels == ()
    assert plan.height_px >= 1


def test_a_label_says_how_many() -> None:
    assert make_plan_part(place="BP1-X1", quantity=40).shown_label == "X1 ×40"
    assert make_plan_part(place="BP1-X1").shown_label == "X1"
    assert "40 pieces" in make_plan_part(quantity=40).words


def test_rows_have_a_gap() -> None:
    plan = lay_out_plan(make_kit(), width_px=1000)
    tops = sorted({placed.y_px for placed in plan.panels})
    feet = [max(drawn_box(placed)[3] for placed in plan.panels if placed.y_px == top) for top in tops]
    for foot, following in zip(feet, tops[1:], strict=False):
        assert following - foot == pytest.approx(GAP_PX)
