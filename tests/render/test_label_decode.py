"""Every template, at every resolution, as PDF, PNG and SVG: a scanner reads what was asked for.

The decoder is zxing-cpp, the encoders are segno, ppf.datamatrix and python-barcode.
"""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PIL import Image

from service.marks.content import symbol_text
from service.marks.dots import dots_per_mm
from service.render.pdf import pdf
from service.render.png import png
from service.render.read_back import read_back_pdf, read_back_png, read_back_svg
from service.render.svg import svg
from tests.mark_factory import DPIS, LONGEST, TEMPLATE_NAMES, make_facts, make_layout

CASES = [
    pytest.param(name, dpi, facts, id=f"{name}-{dpi}-{label}")
    for name in TEMPLATE_NAMES
    for dpi in DPIS
    for label, facts in (("usual", {}), ("longest", LONGEST))
]


def scanned(image: Image.Image) -> set[bytes]:
    """What a scanner that knows nothing of the mark reads anywhere on it."""
    return {bytes(code.bytes) for code in zxingcpp.read_barcodes(np.asarray(image.convert("L")))}


@pytest.mark.parametrize(("name", "dpi", "facts"), CASES)
def test_every_symbol_reads_back_from_every_format(name: str, dpi: int, facts: dict[str, Any]) -> None:
    layout = make_layout(name, dpi=dpi, **facts)
    wanted = [(symbol.kind, symbol.text) for symbol in layout.symbols()]
    per_mm = dots_per_mm(dpi)
    from_pdf = read_back_pdf(
        pdf([layout], paper="roll", dots_per_mm=per_mm), [layout], paper="roll", dots_per_mm=per_mm
    )
    from_png = read_back_png(png(layout, dpi=dpi), layout)
    from_svg = read_back_svg(svg(layout), layout)
    for read in (from_pdf, from_png, from_svg):
        assert [(symbol.kind, symbol.text) for symbol in read] == wanted


@pytest.mark.parametrize(("name", "dpi", "facts"), [case for case in CASES if case.values[2]])
def test_a_scanner_finds_number_or_key_on_the_black_print(name: str, dpi: int, facts: dict[str, Any]) -> None:
    """As a thermal head prints it, read without being told where the symbols are."""
    layout = make_layout(name, dpi=dpi, black_only=True, **facts)
    with Image.open(BytesIO(png(layout, dpi=dpi, one_bit=True))) as image:
        assert image.mode == "1"
        read = scanned(image)
    made = make_facts(**facts)
    assert made.link.encode() in read
    assert read & {made.number.encode(), made.key.encode()}
    contents = symbol_text(made, "contents")
    assert read <= {text.encode() for text in (made.link, made.message, made.number, made.key, contents)}


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("dpi", DPIS)
def test_sheets_keep_every_mark_on_the_dots(paper: Any, dpi: int) -> None:
    per_mm = dots_per_mm(dpi)
    layouts = [make_layout(dpi=dpi, segment_of=f"segment {index} of 7") for index in range(1, 8)]
    data = pdf(layouts, paper=paper, dots_per_mm=per_mm)
    assert len(read_back_pdf(data, layouts, paper=paper, dots_per_mm=per_mm)) == 5 * 7
    document = pypdfium2.PdfDocument(data)
    grey = document[0].render(scale=per_mm * 25.4 / 72, grayscale=True).to_pil()
    document.close()
    symbol = next(layouts[0].symbols())
    assert scanned(grey) >= {symbol.text.encode()}


def test_two_a5_placards_share_an_a4_sheet() -> None:
    layouts = [make_layout("cart-placard-a5") for _ in range(3)]
    data = pdf(layouts, paper="a4", dots_per_mm=8.0)
    document = pypdfium2.PdfDocument(data)
    assert len(document) == 2
    document.close()
