"""A turned page is the page that was proven, a quarter round."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import zxingcpp
from PIL import Image

from service.render.pdf import pdf
from service.render.pwg_raster import pages_of_pdf
from service.render.turned_pdf import turned_pdf
from tests.mark_factory import make_layout


def test_every_page_is_turned_and_none_is_changed(tmp_path: Path) -> None:
    file = tmp_path / "plates.pdf"
    file.write_bytes(pdf([make_layout(), make_layout(hand="RIGHT")], paper="roll", dots_per_mm=8.0))
    with turned_pdf(file) as stream:
        turned = stream.read()
    with closing(pypdfium2.PdfDocument(turned)) as document:
        assert [tuple(round(side) for side in page.get_size()) for page in document] == [(62, 170)] * 2
    # Only the edges of letters come out otherwise, since they are smoothed along another axis.
    by_dots = pages_of_pdf(file, drawn_dpi=203, printer_dpi=203, turned=True)
    for one, other in zip(by_dots, pages_of_pdf(turned, drawn_dpi=203, printer_dpi=203), strict=True):
        assert one.size == other.size == (176, 480)
        assert np.mean(black(one) != black(other)) < 0.02
        assert np.mean(black(one) != np.rot90(black(other), 2)) > 0.1, "turned the other way it is another picture"
        assert symbols(one) == symbols(other) != set()


def black(page: Image.Image) -> Any:
    return np.asarray(page.convert("L")) < 128


def symbols(page: Image.Image) -> set[bytes]:
    return {barcode.bytes for barcode in zxingcpp.read_barcodes(page)}
