"""Pages as PWG raster (PWG 5102.4-2012), for printers that take no PDF: a header a page, and its lines packed.

Every printer that claims to follow IPP Everywhere reads it. One pixel is one dot of the printer, so a page that was
proven dot by dot goes to the paper dot by dot.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import Literal

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image

from service.errors import BadRequest, TooLarge
from service.marks.dots import dots_per_mm

RasterType = Literal["black_1", "sgray_8", "srgb_8"]
Pixels = NDArray[np.uint8]

#: What begins a document (section 4.1): big-endian, packed.
SYNC = b"RaS2"
HEADER_BYTES = 1796

#: Colour space, colours and bits of a colour of each type (section 4.3, Table 5).
_FORMS: dict[RasterType, tuple[int, int, int]] = {"black_1": (3, 1, 1), "sgray_8": (18, 1, 8), "srgb_8": (19, 3, 8)}

#: Grey below this is a black dot in a page of one bit, as in the one-bit pictures of marks.
_BLACK_BELOW = 128

#: Lines that follow each other and are alike, and pixels likewise, are counted in one octet each.
_MOST_LINES, _MOST_PIXELS = 256, 128

#: A page of A3 at 600 dots an inch has 70 million.
MOST_PIXELS_A_PAGE = 150_000_000


def pwg_raster(
    pages: Iterable[Image.Image],
    *,
    kind: RasterType,
    dpi: int,
    x_hmm: int,
    y_hmm: int,
    media_name: str | None = None,
    total_pages: int = 0,
) -> Iterator[bytes]:
    """The document, piece by piece, a page at a time.

    Args:
        pages: pictures whose pixels are the printer's dots.
        kind: colour space and depth, as the printer names them.
        dpi: of the printer, the same across and along.
        x_hmm: width of the paper, across the feed, in hundredths of a millimetre.
        y_hmm: its length.
        media_name: its self-describing name, if it has one.
        total_pages: how many pages there are; 0 when that is not known yet.

    Raises:
        TooLarge: a page of more dots than a printer has.
    """
    yield SYNC
    for page in pages:
        if page.width * page.height > MOST_PIXELS_A_PAGE:
            raise TooLarge(
                "this page has more dots than any printer",
                field="dpi",
                value=f"{page.width} × {page.height}",
                todo="Print at a lower resolution",
            )
        yield _header(page, kind, dpi, (x_hmm, y_hmm), media_name or "", total_pages)
        yield from _packed_page(_lines(page, kind), 3 if kind == "srgb_8" else 1)


def _header(
    page: Image.Image, kind: RasterType, dpi: int, size_hmm: tuple[int, int], media_name: str, total_pages: int
) -> bytes:
    """The page header (section 4.3): 1796 octets, mostly zero, each field at its offset."""
    space, colours, depth = _FORMS[kind]
    bits = colours * depth
    header = bytearray(HEADER_BYTES)

    def words(offset: int, *values: int) -> None:
        struct.pack_into(f">{len(values)}I", header, offset, *values)

    header[0:9] = b"PwgRaster"
    words(276, dpi, dpi)
    words(340, 1)
    # The size of the page in points, 72 to the inch.
    words(352, *(round(side * 72 / 2540) for side in size_hmm))
    words(372, page.width, page.height)
    words(384, depth, bits, (page.width * bits + 7) // 8, 0, space)
    words(420, colours)
    words(452, total_pages, 1, 1)
    words(480, 0xFFFFFF)
    name = media_name.encode()[:63]
    header[1732 : 1732 + len(name)] = name
    return bytes(header)


def _lines(page: Image.Image, kind: RasterType) -> Pixels:
    """The page as octets, a row a line; in one bit a set bit is black, in grey and colour 255 is white."""
    if kind == "srgb_8":
        return np.asarray(page.convert("RGB")).reshape(page.height, page.width * 3)
    grey = np.asarray(page.convert("L"))
    return np.packbits(grey < _BLACK_BELOW, axis=1) if kind == "black_1" else grey


def _packed_page(lines: Pixels, pixel_bytes: int) -> Iterator[bytes]:
    """Lines packed (section 4.4): how often a line comes, less one, then its runs."""
    changes = np.flatnonzero(np.any(lines[1:] != lines[:-1], axis=1)) + 1
    starts = [0, *changes.tolist()]
    for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        packed = _packed_line(lines[start], pixel_bytes)
        for first in range(start, end, _MOST_LINES):
            yield bytes([min(_MOST_LINES, end - first) - 1]) + packed


def _packed_line(line: Pixels, pixel_bytes: int) -> bytes:
    """One line: a count less one and the pixel for those alike; 257 less a count and the pixels for others."""
    pixels = line.reshape(-1, pixel_bytes)
    edges = np.flatnonzero(np.any(pixels[1:] != pixels[:-1], axis=1)) + 1
    bounds = [0, *edges.tolist(), len(pixels)]
    data, packed, single = line.tobytes(), bytearray(), 0

    def flush(until: int) -> None:
        """Pixels that each came once, from where the last run ended."""
        nonlocal single
        while single < until:
            count = min(_MOST_PIXELS, until - single)
            if count == 1:
                packed.append(0)
            else:
                packed.append(257 - count)
            packed.extend(data[single * pixel_bytes : (single + count) * pixel_bytes])
            single += count

    for start, end in pairwise(bounds):
        if end - start == 1:
            continue
        flush(start)
        pixel = data[start * pixel_bytes : (start + 1) * pixel_bytes]
        for first in range(start, end, _MOST_PIXELS):
            packed.append(min(_MOST_PIXELS, end - first) - 1)
            packed.extend(pixel)
        single = end
    flush(len(pixels))
    return bytes(packed)


def pages_of_pdf(
    file: bytes | Path, *, drawn_dpi: int, printer_dpi: int, turned: bool = False
) -> Iterator[Image.Image]:
    """The pages of our own PDF in dots, one at a time.

    Args:
        file: the proven document, or where it is.
        drawn_dpi: what its marks are drawn for.
        printer_dpi: that, or a whole multiple of it, so that a module stays a whole number of dots.
        turned: each page is turned by a quarter clockwise, for a printer with the paper the other way round.

    Raises:
        BadRequest: a resolution that is no multiple.
    """
    if printer_dpi % drawn_dpi:
        raise BadRequest(
            f"marks drawn for {drawn_dpi} dots per inch fall between the dots of this printer",
            field="dpi",
            value=printer_dpi,
            todo="Have them drawn for this printer",
        )
    scale = dots_per_mm(drawn_dpi) * 25.4 / 72 * (printer_dpi // drawn_dpi)
    document = pypdfium2.PdfDocument(file)
    try:
        for index in range(len(document)):
            page = document[index]
            picture: Image.Image = page.render(scale=scale).to_pil()
            page.close()
            yield picture.transpose(Image.Transpose.ROTATE_270) if turned else picture
    finally:
        document.close()
