"""Symbols in their rooms, and the frame of an identification link."""

from __future__ import annotations

import numpy as np
import pytest

from schemas.label_template import Symbol
from service.errors import SymbolDoesNotFit
from service.marks.dots import dots_per_mm
from service.marks.items import Area, Block, Extent, Item, PlacedSymbol
from service.marks.placing_symbols import LINK_MODULE_MM, place_symbol
from tests.mark_factory import DPIS, make_facts

SHORT = "https://k.example"
LONG = "https://kitwright.example.org/marks1"


def make_symbol(side_mm: float, *, framed: bool = True, min_module_mm: float = 0.2) -> Symbol:
    return Symbol(
        kind="qr",
        content="link",
        x_mm=3.3,
        y_mm=4.1,
        width_mm=side_mm,
        height_mm=side_mm,
        min_module_mm=min_module_mm,
        frame="identification_link" if framed else "none",
    )


def placed(symbol: Symbol, *, public_url: str = SHORT, dpi: int = 203) -> tuple[PlacedSymbol, list[Item]]:
    *frame, code = place_symbol(symbol, make_facts(public_url=public_url), dots_per_mm(dpi))
    assert isinstance(code, PlacedSymbol)
    return code, frame


@pytest.mark.parametrize("dpi", DPIS)
def test_the_frame_lies_in_the_room_and_outside_the_quiet_zone(dpi: int) -> None:
    symbol = make_symbol(20.0)
    code, frame = placed(symbol, dpi=dpi)
    room = Extent(3.3, 4.1, 23.3, 24.1)
    quiet = code.quiet_extent
    assert len(frame) == 5
    for item in frame:
        assert room.holds(item.extent)
        assert not item.extent.overlaps(quiet)
    assert quiet.right - quiet.left == pytest.approx((code.modules.width + 8) * code.module_mm)


@pytest.mark.parametrize("dpi", DPIS)
def test_the_lines_of_the_frame_are_whole_dots_and_close_all_round(dpi: int) -> None:
    per_mm = dots_per_mm(dpi)
    code, frame = placed(make_symbol(20.0), dpi=dpi)
    dark = np.zeros((round(30 * per_mm), round(30 * per_mm)), dtype=bool)
    for item in frame:
        if isinstance(item, Block):
            edges = [
                edge * per_mm for edge in (item.extent.left, item.extent.top, item.extent.right, item.extent.bottom)
            ]
            assert edges == pytest.approx([round(edge) for edge in edges])
            left, top, right, bottom = map(round, edges)
            dark[top:bottom, left:right] = True
    rows, columns = np.nonzero(dark)
    top, bottom, left, right = rows.min(), rows.max(), columns.min(), columns.max()
    assert dark[top, left : right + 1].all()
    assert dark[bottom, left : right + 1].all()
    assert dark[top : bottom + 1, left].all()
    assert dark[top : bottom + 1, right].all()
    assert right - left + 1 == (code.modules.width + 16) * code.module_dots


def test_the_triangle_fills_the_lower_right_corner() -> None:
    """From memory: the frame of IEC 61406-1 has a filled triangle in its lower right corner."""
    code, frame = placed(make_symbol(20.0))
    (triangle,) = (item for item in frame if isinstance(item, Area))
    ((corner, along, up),) = triangle.rings
    assert corner[0] > code.quiet_extent.right
    assert corner[1] > code.quiet_extent.bottom
    assert along[0] < corner[0]
    assert along[1] == corner[1]
    assert up[0] == corner[0]
    assert up[1] < corner[1]


def test_a_framed_module_is_never_under_what_din_spec_91406_asks() -> None:
    """Module X >= 0.35 mm: DIN SPEC 91406, as a public page quotes it."""
    code, _ = placed(make_symbol(15.6))
    assert code.module_mm >= LINK_MODULE_MM == 0.35
    with pytest.raises(SymbolDoesNotFit, match=r"at 0\.375 mm"):
        placed(make_symbol(15.0))
    small, _ = placed(make_symbol(15.0, framed=False, min_module_mm=0.25))
    assert small.module_mm == 0.375


@pytest.mark.parametrize("dpi", DPIS)
def test_a_link_of_more_than_29_characters_costs_module_size(dpi: int) -> None:
    """Version 2 has 33 modules with its quiet zone, version 3 has 37 (ISO/IEC 18004): here a quarter of the size."""
    room = make_symbol(33 * 4 / dots_per_mm(dpi), framed=False, min_module_mm=0.1).model_copy(
        update={"x_mm": 0.0, "y_mm": 0.0}
    )
    short, _ = placed(room, dpi=dpi)
    long, _ = placed(room, public_url=LONG, dpi=dpi)
    assert (len(short.text), short.modules.width, short.module_dots) == (28, 25, 4)
    assert (len(long.text), long.modules.width, long.module_dots) == (47, 29, 3)


def test_without_a_frame_there_is_none() -> None:
    assert placed(make_symbol(20.0, framed=False))[1] == []
