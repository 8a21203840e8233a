"""Whole dots, whatever the printer."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.label_template import Symbol
from service.errors import BadRequest, SymbolDoesNotFit
from service.marks.dots import DOTS_PER_MM, dots_covering, dots_per_mm, dots_within, module_dots, nearest_dot
from service.marks.items import PlacedSymbol
from service.marks.placing_symbols import place_symbol
from service.marks.symbols import QUIET_ZONE_MODULES
from tests.mark_factory import make_facts


def test_a_203_dpi_head_has_exactly_eight_dots_a_millimetre() -> None:
    assert dots_per_mm(203) == 8.0
    assert dots_per_mm(300) * 25.4 == pytest.approx(300)
    assert dots_per_mm(600) * 25.4 == pytest.approx(600)


@pytest.mark.parametrize("dpi", [0, 72, 204, -203])
def test_other_resolutions_are_refused(dpi: int) -> None:
    with pytest.raises(BadRequest, match="203, 300, 600"):
        dots_per_mm(dpi)


@given(st.floats(0, 300), st.floats(0, 300), st.floats(4, 50))
def test_dots_within_lie_inside(start_mm: float, length_mm: float, per_mm: float) -> None:
    first, last = dots_within(start_mm, length_mm, per_mm)
    assert first >= start_mm * per_mm - 1e-5
    assert last == first or last <= (start_mm + length_mm) * per_mm + 1e-5


@given(st.integers(1, 5000), st.sampled_from(sorted(DOTS_PER_MM.values())))
def test_a_length_of_whole_dots_survives_the_trip_through_millimetres(dots: int, per_mm: float) -> None:
    assert dots_covering(dots / per_mm, per_mm) == dots
    assert nearest_dot(dots / per_mm, per_mm) == dots
    assert dots_within(0, dots / per_mm, per_mm) == (0, dots)


def test_a_module_below_what_readers_read_is_refused() -> None:
    with pytest.raises(SymbolDoesNotFit, match=r"37 modules with quiet zones need 13.9 mm at 0.375 mm") as caught:
        module_dots(
            room_dots=100, modules=37, per_mm=8, min_module_mm=0.33, max_module_mm=None, field="QR Code", value="X"
        )
    assert caught.value.field == "QR Code"


def test_the_largest_module_is_kept() -> None:
    assert (
        module_dots(room_dots=999, modules=10, per_mm=8, min_module_mm=0.25, max_module_mm=0.4, field="f", value="v")
        == 3
    )


@settings(max_examples=150)
@given(
    kind=st.sampled_from(["qr", "data_matrix", "code128"]),
    per_mm=st.floats(6, 48),
    x_mm=st.floats(0, 50),
    y_mm=st.floats(0, 50),
    width_mm=st.floats(10, 90),
    height_mm=st.floats(5, 90),
    align=st.sampled_from(["left", "centre", "right"]),
    valign=st.sampled_from(["top", "middle", "bottom"]),
)
def test_a_symbol_lies_on_whole_dots_in_its_room_at_any_resolution(
    kind: str, per_mm: float, x_mm: float, y_mm: float, width_mm: float, height_mm: float, align: str, valign: str
) -> None:
    symbol = Symbol.model_validate(
        {
            "kind": kind,
            "content": "key",
            "x_mm": x_mm,
            "y_mm": y_mm,
            "width_mm": width_mm,
            "height_mm": height_mm,
            "min_module_mm": 0.1,
            "align": align,
            "valign": valign,
        }
    )
    try:
        (placed,) = place_symbol(symbol, make_facts(), per_mm)
    except SymbolDoesNotFit:
        return
    assert isinstance(placed, PlacedSymbol)
    extent = placed.quiet_extent
    assert extent.left >= x_mm - 1e-6
    assert extent.right <= x_mm + width_mm + 1e-6
    assert extent.top >= y_mm - 1e-6
    assert extent.bottom <= y_mm + height_mm + 1e-6
    across = placed.modules.width + 2 * QUIET_ZONE_MODULES[placed.kind]
    larger = (placed.module_dots + 1) * across
    first, last = dots_within(x_mm, width_mm, per_mm)
    top, bottom = dots_within(y_mm, height_mm, per_mm)
    room = last - first if kind == "code128" else min(last - first, bottom - top)
    assert larger > room, "a larger module would have fitted"
