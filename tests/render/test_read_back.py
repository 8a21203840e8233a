"""Reading back refuses what does not say what was asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import BytesIO

import pytest
from PIL import Image, ImageDraw

from service.errors import ReadBackFailed
from service.marks.items import Layout, PlacedSymbol
from service.marks.symbols import encode
from service.render.pdf import pdf
from service.render.png import png
from service.render.read_back import read_back_pdf, read_back_png, read_back_svg
from service.render.svg import svg
from tests.mark_factory import make_layout


def with_symbol(layout: Layout, index: int, **changes: object) -> Layout:
    """The layout with its n-th symbol changed."""
    symbol = list(layout.symbols())[index]
    changed: PlacedSymbol = replace(symbol, **changes)  # type: ignore[arg-type]  # the tests name real fields
    return replace(layout, items=tuple(changed if item is symbol else item for item in layout.items))


def as_pdf(layout: Layout) -> bytes:
    return pdf([layout], paper="roll", dots_per_mm=8.0)


def test_what_is_right_is_listed() -> None:
    layout = make_layout()
    read = read_back_pdf(as_pdf(layout), [layout], paper="roll", dots_per_mm=8.0)
    assert [(symbol.mark, symbol.kind, symbol.module_mm) for symbol in read] == [
        (0, "qr", 0.375),
        *[(0, "data_matrix", 0.375)] * 4,
    ]


@pytest.mark.parametrize("index", [0, 1, 2])
def test_a_symbol_that_says_something_else_is_refused(index: int) -> None:
    layout = make_layout()
    symbol = list(layout.symbols())[index]
    other = symbol.text.replace("K7M4XRAW", "P3HW9TCP")
    wrong = with_symbol(layout, index, modules=encode(symbol.kind, other))
    readers: list[Callable[[], object]] = [
        lambda: read_back_pdf(as_pdf(wrong), [layout], paper="roll", dots_per_mm=8.0),
        lambda: read_back_png(png(wrong, dpi=203), layout),
        lambda: read_back_svg(svg(wrong), layout),
    ]
    for read in readers:
        with pytest.raises(ReadBackFailed, match="P3HW9TCP") as caught:
            read()
        assert "K7M4XRAW" in str(caught.value.value)
        assert "OSV4-FC1-A500-SW2-U3-42" in caught.value.what


def test_a_symbol_that_is_missing_is_refused() -> None:
    layout = make_layout()
    gone = replace(layout, items=tuple(item for item in layout.items if not isinstance(item, PlacedSymbol)))
    with pytest.raises(ReadBackFailed, match="reads back as nothing"):
        read_back_pdf(as_pdf(gone), [layout], paper="roll", dots_per_mm=8.0)


def test_a_symbol_off_the_dots_is_refused() -> None:
    """Bars of two dots, drawn at two and a half: what the whole-dot rule is for."""
    layout = make_layout("tied-tag-80x50")
    with Image.open(BytesIO(png(layout, dpi=203))) as image:
        bars = next(symbol for symbol in layout.symbols() if symbol.kind == "code128")
        box = (bars.left_dots, bars.top_dots, bars.left_dots + bars.width_dots, bars.top_dots + bars.height_dots)
        squeezed = image.crop(box).resize((bars.width_dots * 3 // 5, bars.height_dots), Image.Resampling.NEAREST)
        ImageDraw.Draw(image).rectangle(box, fill="white")
        image.paste(squeezed, box[:2])
        buffer = BytesIO()
        image.save(buffer, "PNG")
    with pytest.raises(ReadBackFailed, match="Code 128"):
        read_back_png(buffer.getvalue(), layout)


def test_a_symbol_that_nobody_asked_for_is_refused() -> None:
    layout = make_layout("crate-label-a5")
    symbols = list(layout.symbols())
    without = replace(layout, items=tuple(item for item in layout.items if item is not symbols[2]))
    with pytest.raises(ReadBackFailed, match="also reads as"):
        read_back_png(png(layout, dpi=203), without)


def test_a_missing_page_is_refused() -> None:
    layout = make_layout()
    with pytest.raises(ReadBackFailed, match="1 pages instead of 2"):
        read_back_pdf(as_pdf(layout), [layout, layout], paper="roll", dots_per_mm=8.0)


def test_a_page_of_another_size_is_refused() -> None:
    layout = make_layout()
    with pytest.raises(ReadBackFailed, match="instead of 1680"):
        read_back_pdf(as_pdf(layout), [layout], paper="a4", dots_per_mm=8.0)


@pytest.mark.parametrize("data", [b"", b"%PDF-1.4\n", b"not a file"])
def test_bytes_that_are_no_pdf_are_refused(data: bytes) -> None:
    with pytest.raises(ReadBackFailed, match="cannot be opened"):
        read_back_pdf(data, [make_layout()], paper="roll", dots_per_mm=8.0)


@pytest.mark.parametrize("text", ["", "<svg/>", "<svg", '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 x"/>'])
def test_text_that_is_no_mark_is_refused(text: str) -> None:
    with pytest.raises(ReadBackFailed, match="cannot be drawn again"):
        read_back_svg(text, make_layout())


def test_control_characters_of_a_message_are_shown_as_escapes() -> None:
    layout = make_layout("crate-label-a5")
    index = [symbol.kind for symbol in layout.symbols()].index("data_matrix")
    wrong = with_symbol(layout, index, modules=encode("data_matrix", "X\x1dY"))
    with pytest.raises(ReadBackFailed, match=r"X\\x1dY"):
        read_back_png(png(wrong, dpi=203), layout)
