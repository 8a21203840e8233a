"""What many marks share is in the file once, and each mark looks as if it were alone in it."""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Sequence
from random import Random
from typing import Any

import numpy as np
import pypdfium2
import pytest

from service.marks.items import Layout
from service.numbering.key import Key
from service.render.pdf import pdf
from service.render.pdf_file import PdfFile
from service.render.sheets import impose
from tests.mark_factory import NUMBER, TEMPLATE_NAMES, make_layout

COLOURS = ("green", "natural")


def pixels(data: bytes, page: int = 0, *, scale: float = 2.0) -> Any:
    document = pypdfium2.PdfDocument(data)
    try:
        return np.array(document[page].render(scale=scale).to_numpy())
    finally:
        document.close()


def on_roll(layouts: Sequence[Layout]) -> bytes:
    return pdf(layouts, paper="roll", dots_per_mm=8.0)


def streams(data: bytes) -> list[str]:
    """The content of every page and form, in the order of the file."""
    found = re.findall(rb"<<([^\n]*)/Length \d+>>\nstream\n(.*?)\nendstream", data, re.DOTALL)
    return [zlib.decompress(body).decode("ascii") for head, body in found if b"Length1" not in head]


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_mark_in_a_job_looks_as_it_does_alone(name: str) -> None:
    layouts = [
        make_layout(
            name,
            stock_colour=COLOURS[index % 2],
            hand=("LEFT", "RIGHT", "")[index % 3],
            segment_of=f"segment {index} of 12",
            deck=("upper", "lower")[index % 2],
        )
        for index in range(12)
    ]
    job = on_roll(layouts)
    assert sum(" Do" in content for content in streams(job)) == len(layouts)
    for page, layout in enumerate(layouts):
        # One grey level of 255 is rounding in whoever rasterises.
        assert np.abs(pixels(job, page).astype(int) - pixels(on_roll([layout]))).max() <= 1


def test_what_a_kit_has_in_common_is_in_the_file_once() -> None:
    layouts = [make_layout(segment_of=f"segment {index} of 8", deck="upper") for index in range(1, 9)]
    contents = streams(on_roll(layouts))
    assert sum("tall round 500 mL" in content for content in contents) == 1
    assert sum("segment" in content or " of 8" in content for content in contents) == 8
    # Eight pages, what they share, and the two symbols that all of them bear since they are of one piece.
    assert len(contents) == 11


def test_a_symbol_met_again_is_drawn_once_and_placed_each_time() -> None:
    layouts = [make_layout(key=key, number=NUMBER) for key in ("K7M4XRAW", "P3HW9TCP", "R8CN5JF3")]
    placed = [[symbol for symbol in layout.symbols() if symbol.kind == "data_matrix"] for layout in layouts]
    assert all(len(same) > 1 and len({symbol.text for symbol in same}) == 1 for same in placed)
    contents = streams(on_roll(layouts))
    symbols = [content for content in contents if content.endswith("\nf")]
    assert len(symbols) == 3
    pages = [content for content in contents if " cm\n/P" in content]
    assert [len(re.findall(r" cm\n/P\d+ Do Q", page)) for page in pages] == [len(same) for same in placed]


def test_what_comes_again_much_later_is_not_drawn_again() -> None:
    """Marks are drawn some at a time; the sixtieth shows the forms and the symbol of the first."""
    keys = [str(Key.random(Random(seed))) for seed in range(59)]
    layouts = [make_layout(key=key) for key in [*keys, keys[0]]]
    contents = streams(on_roll(layouts))
    assert sum("tall round 500 mL" in content for content in contents) == 1
    # Its QR Code had been on the first page only, and was not known there to come again.
    assert " re" not in contents[-1]
    assert contents[-1].count(" Do") == 1 + len(list(layouts[-1].symbols()))
    for page in (0, 31, 32, 59):
        assert np.abs(pixels(on_roll(layouts), page).astype(int) - pixels(on_roll([layouts[page]]))).max() <= 1


def test_what_one_mark_shows_stays_on_its_page() -> None:
    contents = streams(on_roll([make_layout(), make_layout(container_words="square 500 mL", container_code="C500")]))
    assert [content.count("square") for content in contents if "square" in content] == [1]


def test_marks_of_different_sizes_share_nothing() -> None:
    plate, tag = make_layout(), make_layout("tied-tag-80x50")
    job = on_roll([plate, tag, plate, tag])
    # One grey level of 255 is rounding in whoever rasterises.
    assert np.abs(pixels(job, 1).astype(int) - pixels(on_roll([tag]))).max() <= 1
    document = pypdfium2.PdfDocument(job)
    sizes = [tuple(round(points * 25.4 / 72) for points in page.get_size()) for page in document]
    document.close()
    assert sizes == [(60, 22), (80, 50)] * 2


def test_a_sheet_shows_each_mark_in_its_place() -> None:
    layouts = [make_layout(segment_of=f"segment {index} of 4") for index in (1, 2, 3)]
    at_dots = 8 * 25.4 / 72
    sheet = pixels(pdf(layouts, paper="a4", dots_per_mm=8.0), scale=at_dots).astype(int)
    (page,) = impose(layouts, paper="a4", dots_per_mm=8.0)
    for mark in page.marks:
        seen = sheet[mark.top_dots : mark.bottom_dots, mark.left_dots : mark.right_dots]
        alone = pixels(on_roll([mark.layout]), scale=at_dots).astype(int)
        # The edges of letters may be a shade lighter or darker, nothing else.
        assert np.abs(seen - alone).max() < 100
        for symbol in mark.layout.symbols():
            where = np.s_[
                symbol.top_dots : symbol.top_dots + symbol.height_dots,
                symbol.left_dots : symbol.left_dots + symbol.width_dots,
            ]
            assert np.abs(seen[where] - alone[where]).max() <= 2


@pytest.mark.parametrize("text", ["plain", "a (b) c", "back\\slash", "((", "Å é Щ ψ", "x" * 300])
def test_any_text_comes_out_of_the_file_as_it_went_in(text: str) -> None:
    stream = io.BytesIO()
    file = PdfFile(stream, width=400, height=100)
    file.page(f"0 g BT 10 40 Td {file.text(text, 'bold', 12)} ET", 400, 100)
    assert file.finish(title="text", subject="text") == len(stream.getvalue())
    document = pypdfium2.PdfDocument(stream.getvalue())
    assert document[0].get_textpage().get_text_range() == text
    document.close()
