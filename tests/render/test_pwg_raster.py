"""PWG raster: what two readers of other origin read is what was drawn, dot by dot, and its symbols decode."""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from service.errors import BadRequest, TooLarge
from service.marks.dots import dots_per_mm
from service.render import pwg_raster as writer
from service.render.pdf import pdf
from service.render.pwg_raster import RasterType, pages_of_pdf, pwg_raster
from tests.mark_factory import make_layout
from tests.render.raster_reader import libcups, read_by_libcups, read_raster

KINDS: tuple[RasterType, ...] = get_args(RasterType)
#: Colour space, bits of a colour, bits of a pixel, colours: PWG 5102.4-2012 Table 5, from memory.
FORMS = {"black_1": (3, 1, 1, 1), "sgray_8": (18, 8, 8, 1), "srgb_8": (19, 8, 24, 3)}


def document(*pages: Image.Image, kind: RasterType = "sgray_8", dpi: int = 203, **more: Any) -> bytes:
    return b"".join(pwg_raster(pages, kind=kind, dpi=dpi, **{"x_hmm": 6000, "y_hmm": 2200, **more}))


def expected(page: Image.Image, kind: RasterType) -> Any:
    """The page's octets by Pillow's own means."""
    if kind == "srgb_8":
        return np.frombuffer(page.convert("RGB").tobytes(), np.uint8).reshape(page.height, -1)
    grey = page.convert("L")
    if kind == "sgray_8":
        return np.frombuffer(grey.tobytes(), np.uint8).reshape(page.height, -1)
    black = grey.point([255] * 128 + [0] * 128).convert("1", dither=Image.Dither.NONE)
    return np.frombuffer(black.tobytes(), np.uint8).reshape(page.height, -1)


@st.composite
def pictures(draw: st.DrawFn) -> Image.Image:
    """Noise, runs and blank lines, of all widths around the bounds of a run."""
    width = draw(st.sampled_from([1, 2, 7, 8, 9, 127, 128, 129, 130, 255, 256, 257, 300]))
    height = draw(st.sampled_from([1, 2, 3, 255, 256, 257, 520]))
    seed = draw(st.integers(0, 2**32 - 1))
    rng = np.random.default_rng(seed)
    shades = draw(st.sampled_from([2, 3, 256]))
    pixels = rng.integers(0, shades, (height, width, 3), dtype=np.uint8) * (255 // (shades - 1))
    for _ in range(draw(st.integers(0, 4))):
        top, left = rng.integers(0, height), rng.integers(0, width)
        pixels[top : top + rng.integers(1, height + 1), left : left + rng.integers(1, width + 1)] = rng.integers(0, 256)
    return Image.fromarray(pixels)


@settings(max_examples=60, deadline=None)
@given(page=pictures(), kind=st.sampled_from(KINDS))
def test_what_is_read_again_is_what_was_drawn(page: Image.Image, kind: RasterType) -> None:
    (read,) = read_raster(document(page, kind=kind))
    assert np.array_equal(read.lines, expected(page, kind))
    assert (read.width, read.height) == page.size
    assert (read.color_space, read.bits_per_color, read.bits_per_pixel, read.colors) == FORMS[kind]


@pytest.mark.skipif(libcups() is None, reason="libcups, the printing system's own reader, is not installed")
@settings(max_examples=30, deadline=None)
@given(page=pictures(), kind=st.sampled_from(KINDS))
def test_the_printing_systems_own_reader_agrees(page: Image.Image, kind: RasterType) -> None:
    library = libcups()
    assert library is not None
    data = document(page, page.transpose(Image.Transpose.ROTATE_90), kind=kind, media_name="om_plate_60x22mm")
    ours, theirs = read_raster(data), read_by_libcups(library, data)
    assert len(ours) == len(theirs) == 2
    for one, other in zip(ours, theirs, strict=True):
        assert np.array_equal(one.lines, other.lines)
        assert (one.width, one.height, one.resolution) == (other.width, other.height, other.resolution)
        assert (one.points, one.size_name, one.color_space) == (other.points, other.size_name, other.color_space)


def test_the_header_says_what_the_paper_is() -> None:
    page = Image.new("L", (480, 176), 255)
    data = document(page, page, media_name="om_plate_60x22mm", total_pages=2)
    first, second = read_raster(data)
    assert first.media_class == "PwgRaster"
    assert first.resolution == (203, 203)
    # 60 mm are 170.08 points and 22 mm 62.36, 72 to the inch.
    assert first.points == second.points == (170, 62)
    assert first.size_name == "om_plate_60x22mm"
    assert first.pages == 2


def test_a_blank_page_is_a_few_octets() -> None:
    """256 lines are one count, and 128 pixels are another: 480 dots are 4 runs of 2 octets."""
    data = document(Image.new("L", (480, 512), 255))
    assert len(data) == 4 + 1796 + 2 * (1 + 4 * 2)


def test_a_page_of_more_dots_than_any_printer_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(writer, "MOST_PIXELS_A_PAGE", 99)
    with pytest.raises(TooLarge, match="10 × 10"):
        document(Image.new("L", (10, 10), 255))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("drawn", "printer"), [(203, 203), (203, 406), (300, 300), (300, 600), (600, 600)])
def test_the_symbols_of_a_plate_decode_from_the_dots(drawn: int, printer: int, kind: RasterType) -> None:
    plate = make_layout(dpi=drawn)
    made = pdf([plate], paper="roll", dots_per_mm=dots_per_mm(drawn))
    pages = pages_of_pdf(made, drawn_dpi=drawn, printer_dpi=printer)
    (read,) = read_raster(document(*pages, kind=kind, dpi=printer))
    factor = printer // drawn
    assert (read.width, read.height) == (plate.width_dots * factor, plate.height_dots * factor)
    if kind == "black_1":
        grey = 255 * (1 - np.unpackbits(read.lines, axis=1)[:, : read.width])
    else:
        grey = read.lines.reshape(read.height, read.width, -1).mean(axis=2)
    found = {barcode.bytes for barcode in zxingcpp.read_barcodes(grey.astype(np.uint8))}
    assert found == {symbol.text.encode() for symbol in plate.symbols()}


def test_a_page_is_turned_for_paper_that_lies_the_other_way() -> None:
    made = pdf([make_layout(dpi=203)], paper="roll", dots_per_mm=8.0)
    (straight,) = pages_of_pdf(made, drawn_dpi=203, printer_dpi=203)
    (turned,) = pages_of_pdf(made, drawn_dpi=203, printer_dpi=203, turned=True)
    assert turned.size == straight.size[::-1]
    assert np.array_equal(np.rot90(np.asarray(straight), -1), np.asarray(turned))


def test_dots_between_those_of_the_printer_are_refused() -> None:
    made = pdf([make_layout(dpi=203)], paper="roll", dots_per_mm=8.0)
    with pytest.raises(BadRequest, match="between the dots"):
        next(pages_of_pdf(made, drawn_dpi=203, printer_dpi=300))
