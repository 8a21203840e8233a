"""Reading back: the final bytes are drawn as the printer would draw them and every symbol is decoded again.

The decoder (zxing-cpp) shares no code with the encoders. A symbol that is missing, says something else, or was not
asked for stops the print.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import zxingcpp
from numpy.typing import NDArray
from PIL import Image

from service.errors import ReadBackFailed
from service.marks.items import Layout, PlacedSymbol
from service.marks.symbols import SYMBOL_NAMES, SymbolKind
from service.render.sheets import Page, Paper, Placement, impose
from service.render.svg_raster import rasterised

_FORMATS: dict[SymbolKind, zxingcpp.BarcodeFormats] = {
    "qr": zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]),
    "data_matrix": zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.DataMatrix]),
    "code128": zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128]),
}
_ALL_FORMATS = zxingcpp.BarcodeFormats(
    [zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.DataMatrix, zxingcpp.BarcodeFormat.Code128]
)

Grey = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class ReadSymbol:
    """A symbol that was read back and is right.

    Attributes:
        mark: index of the mark in the order given.
        kind: of symbol.
        text: what it says, which is what was asked for.
        module_mm: width of its modules as printed.
    """

    mark: int
    kind: SymbolKind
    text: str
    module_mm: float


def read_back_pdf(
    file: bytes | Path,
    layouts: Iterable[Layout],
    *,
    paper: Paper,
    dots_per_mm: float,
    start_cell: int = 1,
    cell: tuple[int, int] | None = None,
    told: Callable[[int], None] = lambda _marks: None,
) -> tuple[ReadSymbol, ...]:
    """Read every symbol of a PDF file back at the printer's resolution, one page at a time.

    Args:
        file: the bytes that are to be handed out, or where they are.
        layouts: the marks that the file was made of, in order.
        paper: that it was made for.
        dots_per_mm: of the printer.
        start_cell: at which it begins.
        cell: room of a mark on a sheet in dots; unless said that of the largest.
        told: told how many marks are proven, page by page.

    Raises:
        ReadBackFailed: a page or symbol is missing, or a symbol says something else or was not asked for.
    """
    pages = impose(layouts, paper=paper, dots_per_mm=dots_per_mm, start_cell=start_cell, cell=cell)
    size = len(file) if isinstance(file, bytes) else file.stat().st_size
    try:
        document = pypdfium2.PdfDocument(file)
    except pypdfium2.PdfiumError as error:
        raise ReadBackFailed(
            f"the file cannot be opened again: {error}",
            field="pdf",
            value=f"{size} bytes",
            todo="Report this; nothing was handed out",
        ) from error
    try:
        found: list[ReadSymbol] = []
        wanted = proven = 0
        for index, page in enumerate(pages):
            wanted += 1
            if index < len(document):
                found += _read_page(_page_pixels(document, index, dots_per_mm), page, f"PDF page {index + 1}")
                proven += len(page.marks)
                told(proven)
        if len(document) != wanted:
            raise ReadBackFailed(
                f"the file has {len(document)} pages instead of {wanted}",
                field="pdf",
                value=f"{size} bytes",
                todo="Report this; nothing was handed out",
            )
        return tuple(found)
    finally:
        document.close()


def read_back_png(data: bytes, layout: Layout) -> tuple[ReadSymbol, ...]:
    """Read every symbol of a PNG file back.

    Raises:
        ReadBackFailed: as for :func:`read_back_pdf`.
    """
    with Image.open(BytesIO(data)) as image:
        return _read_alone(np.asarray(image.convert("L")), layout, "PNG")


def read_back_svg(text: str, layout: Layout) -> tuple[ReadSymbol, ...]:
    """Read every symbol of an SVG document back, from the document's own shapes.

    Raises:
        ReadBackFailed: as for :func:`read_back_pdf`.
    """
    return _read_alone(rasterised(text), layout, "SVG")


def _read_alone(grey: Grey, layout: Layout, where: str) -> tuple[ReadSymbol, ...]:
    page = Page(layout.width_dots, layout.height_dots, (Placement(0, layout, 0, 0),))
    return tuple(_read_page(grey, page, where))


def _page_pixels(document: pypdfium2.PdfDocument, index: int, dots_per_mm: float) -> Grey:
    page = document[index]
    try:
        bitmap = page.render(scale=dots_per_mm * 25.4 / 72, grayscale=True)
        return np.array(bitmap.to_numpy()).reshape(bitmap.height, -1)[:, : bitmap.width]
    finally:
        page.close()


def _read_page(grey: Grey, page: Page, where: str) -> list[ReadSymbol]:
    if grey.shape != (page.height_dots, page.width_dots):
        raise ReadBackFailed(
            f"it comes out as {grey.shape[1]} × {grey.shape[0]} dots instead of {page.width_dots} × {page.height_dots}",
            field=where,
            value=page.marks[0].layout.title,
            todo="Report this; nothing was handed out",
        )
    found: list[ReadSymbol] = []
    for placement in page.marks:
        mark = grey[placement.top_dots : placement.bottom_dots, placement.left_dots : placement.right_dots]
        symbols = list(placement.layout.symbols())
        found += [_read_symbol(mark, symbol, placement, where) for symbol in symbols]
        _demand_nothing_else(mark, symbols, placement, where)
    return found


def _read_symbol(mark: Grey, symbol: PlacedSymbol, placement: Placement, where: str) -> ReadSymbol:
    """Decode the symbol where it stands, with its quiet zone and nothing else round it."""
    across, along = symbol.quiet_dots
    top, left = symbol.top_dots - along, symbol.left_dots - across
    crop = mark[
        max(top, 0) : symbol.top_dots + symbol.height_dots + along,
        max(left, 0) : symbol.left_dots + symbol.width_dots + across,
    ]
    texts = [bytes(code.bytes) for code in zxingcpp.read_barcodes(crop, formats=_FORMATS[symbol.kind])]
    if texts != [symbol.text.encode("ascii")]:
        name = SYMBOL_NAMES[symbol.kind]
        read = " and ".join(f"'{_shown(text)}'" for text in texts) if texts else "nothing"
        raise ReadBackFailed(
            f"the {name} of mark {placement.mark + 1} ({placement.layout.title}) reads back as {read}",
            field=name,
            value=_shown(symbol.text.encode("ascii")),
            todo="Report this; nothing was handed out",
            place=where,
        )
    return ReadSymbol(placement.mark, symbol.kind, symbol.text, symbol.module_mm)


def _demand_nothing_else(mark: Grey, symbols: Sequence[PlacedSymbol], placement: Placement, where: str) -> None:
    """Scan the whole mark as a person would: whatever a scanner may say must be one of the mark's own texts."""
    wanted = {symbol.text.encode("ascii") for symbol in symbols}
    for code in zxingcpp.read_barcodes(np.ascontiguousarray(mark), formats=_ALL_FORMATS):
        if bytes(code.bytes) not in wanted:
            raise ReadBackFailed(
                f"mark {placement.mark + 1} ({placement.layout.title}) also reads as '{_shown(bytes(code.bytes))}'",
                field="symbols",
                value=placement.layout.title,
                todo="Report this; nothing was handed out",
                place=where,
            )


def _shown(data: bytes) -> str:
    """Bytes as a person can read them: control characters by their escapes."""
    return data.decode("ascii", errors="backslashreplace").encode("unicode_escape").decode("ascii")
