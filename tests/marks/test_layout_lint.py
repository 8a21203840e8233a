"""Each rule of the lint, on a sound layout with one thing moved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.marks.items import Block, Extent, Item, Layout, PlacedSymbol, TextRun
from service.marks.layout_lint import lint_layout
from tests.mark_factory import make_layout, make_template

TEMPLATE = make_template()
SOUND = make_layout()


def text(field: str) -> TextRun:
    return next(run for run in SOUND.texts() if run.field == field)


def with_item(old: Item, new: Item) -> Layout:
    return replace(SOUND, items=tuple(new if item == old else item for item in SOUND.items))


def rules(layout: Layout) -> set[str]:
    return {finding.rule for finding in lint_layout(TEMPLATE, layout)}


def test_the_sound_layout_is_sound() -> None:
    assert rules(SOUND) == set()


def test_text_over_the_edge() -> None:
    run = text("serves+shop+telephone")
    moved = with_item(run, replace(run, baseline_mm=22.3))
    assert "outside_margin" in rules(moved)


def test_a_symbol_in_a_rounded_corner() -> None:
    assert rules(replace(SOUND, corner_radius_mm=6.0)) == {"in_cut_corner"}


def test_text_under_a_screw() -> None:
    run = text("key")
    assert "on_hole" in rules(with_item(run, replace(run, x_mm=52.0, baseline_mm=11.0)))


def upper_right_data_matrix() -> PlacedSymbol:
    """The one above the right screw."""
    found = [item for item in SOUND.symbols() if item.kind == "data_matrix"]
    return min(found, key=lambda symbol: symbol.top_dots - symbol.left_dots)


def test_a_symbol_under_a_screw() -> None:
    symbol = upper_right_data_matrix()
    assert "on_hole" in rules(with_item(symbol, replace(symbol, top_dots=symbol.top_dots + 24)))


def test_a_screw_in_a_quiet_zone() -> None:
    """A screw head is as dark as ink."""
    symbol = upper_right_data_matrix()
    hole = SOUND.keep_outs[1]
    below = round((hole.y_mm - hole.radius_mm) * 8) - symbol.height_dots - 1  # its last row just clears the ring
    assert rules(with_item(symbol, replace(symbol, top_dots=below))) == {"on_hole"}
    assert rules(with_item(symbol, replace(symbol, top_dots=below - symbol.module_dots))) == set()


@pytest.mark.parametrize("distance_dots", range(1, 12))
def test_ink_in_a_quiet_zone(distance_dots: int) -> None:
    symbol = next(item for item in SOUND.symbols() if item.kind == "qr")
    left = (symbol.left_dots - distance_dots) / 8
    speck = Block("rule", Extent(left, 15, left + 0.125, 15.125), (0, 0, 0))
    assert rules(replace(SOUND, items=(*SOUND.items, speck))) == {"quiet_zone_inked"}


def test_ink_beside_the_quiet_zone_is_no_fault() -> None:
    symbol = next(item for item in SOUND.symbols() if item.kind == "qr")
    left = (symbol.left_dots - 4 * symbol.module_dots - 1) / 8
    speck = Block("rule", Extent(left, 15, left + 0.125, 15.125), (0, 0, 0))
    assert rules(replace(SOUND, items=(*SOUND.items, speck))) <= {"overlap"}


def test_a_quiet_zone_over_the_edge() -> None:
    symbol = next(item for item in SOUND.symbols() if item.kind == "qr")
    assert "quiet_zone_at_edge" in rules(with_item(symbol, replace(symbol, top_dots=symbol.top_dots + 4)))


def test_text_on_text() -> None:
    run = text("assembly")
    assert rules(with_item(run, replace(run, baseline_mm=text("deck+segment_count").baseline_mm))) == {"overlap"}


def test_text_across_the_edge_of_the_band() -> None:
    run = text("assembly")
    assert "overlap" in rules(with_item(run, replace(run, x_mm=7.0)))


def test_black_text_on_the_band_is_no_ground_for_it() -> None:
    run = text("key")
    moved = replace(run, x_mm=0.8, baseline_mm=20.8, width_mm=5.0)
    assert "overlap" in rules(with_item(run, moved))


def test_letters_too_small_for_their_distance() -> None:
    run = text("container")
    (finding,) = lint_layout(TEMPLATE, with_item(run, replace(run, reading_distance_mm=5000)))
    assert finding.rule == "too_small_to_read"
    assert finding.field == "container"
    assert "21.8" in finding.message  # 2 × 5000 × tan(7.5')
    assert "NUREG-0700" in finding.source


def test_pale_letters() -> None:
    run = text("container")
    (finding,) = lint_layout(TEMPLATE, with_item(run, replace(run, rgb=(150, 150, 150))))
    assert finding.rule == "contrast"


def test_every_finding_says_what_to_do_and_where_it_comes_from() -> None:
    broken = replace(SOUND, margin_mm=5.0)
    findings = lint_layout(TEMPLATE, broken)
    assert findings
    assert all(f.todo and f.source and f.place == "template nameplate-60x22" for f in findings)
