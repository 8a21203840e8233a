"""Every template, at every resolution, for a hundred random segments: it lays out, and every symbol reads back.

The hundred marks are one finished PDF; each symbol is cut out of its page where it stands, rendered at the printer's
resolution, and decoded by zxing-cpp. libdmtx, of another code base still, reads the Data Matrix symbols of some of the
marks once more. The whole file takes about a minute.
"""

from __future__ import annotations

import arbez_dmtx
import numpy as np
import pypdfium2
import pytest
import zxingcpp
from numpy.typing import NDArray

from service.marks.dots import dots_per_mm
from service.marks.items import PlacedSymbol
from service.marks.layout import lay_out
from service.marks.layout_lint import lint_layout
from service.render.fonts import typeface
from service.render.pdf import pdf
from tests.mark_factory import DPIS, TEMPLATE_NAMES, make_template
from tests.segment_factory import random_facts

SEGMENTS = 100
#: Every so many marks the second decoder looks as well; it is slow.
SECOND_LOOK = 20

FORMATS = {
    "qr": zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]),
    "data_matrix": zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.DataMatrix]),
    "code128": zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128]),
}


def cut_out(page: pypdfium2.PdfPage, symbol: PlacedSymbol, size: tuple[int, int]) -> NDArray[np.uint8]:
    """A symbol with its quiet zone as the printer prints it, and nothing else of the page."""
    scale = symbol.per_mm * 25.4 / 72
    across, along = symbol.quiet_dots
    left, top = symbol.left_dots - across, symbol.top_dots - along
    right, bottom = symbol.left_dots + symbol.width_dots + across, symbol.top_dots + symbol.height_dots + along
    edges = (left, size[1] - bottom, size[0] - right, top)
    crop = tuple(max(0.0, edge - 0.01) / scale for edge in edges)
    bitmap = page.render(scale=scale, grayscale=True, crop=crop)
    return np.array(bitmap.to_numpy()).reshape(bitmap.height, -1)[:, : bitmap.width]


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_hundred_random_segments_decode_from_the_finished_file(name: str, dpi: int) -> None:
    template, per_mm = make_template(name), dots_per_mm(dpi)
    layouts = [lay_out(template, facts, typeface(), per_mm) for facts in random_facts(seed=dpi, count=SEGMENTS)]
    document = pypdfium2.PdfDocument(pdf(layouts, paper="roll", dots_per_mm=per_mm))
    read, smallest = 0, 1.0
    for index, (page, layout) in enumerate(zip(document, layouts, strict=True)):
        assert lint_layout(template, layout) == []
        for symbol in layout.symbols():
            crop = cut_out(page, symbol, (layout.width_dots, layout.height_dots))
            across, along = symbol.quiet_dots
            assert crop.shape == (symbol.height_dots + 2 * along, symbol.width_dots + 2 * across)
            found = zxingcpp.read_barcodes(crop, formats=FORMATS[symbol.kind])
            assert [bytes(code.bytes) for code in found] == [symbol.text.encode()], (layout.title, symbol.kind)
            if symbol.kind == "data_matrix" and index % SECOND_LOOK == 0:
                seen = arbez_dmtx.decode(crop, max_count=1)  # type: ignore[no-untyped-call]  # it carries no types
                assert [one.data for one in seen] == [symbol.text.encode()], layout.title
            read += 1
            smallest = min(smallest, symbol.module_mm)
        page.close()
    document.close()
    assert read == SEGMENTS * len(template.symbols)
    assert smallest >= min(symbol.min_module_mm for symbol in template.symbols)
