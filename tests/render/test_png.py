"""The PNG file: dots, and nothing between them."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from service.errors import BadRequest
from service.render.png import png
from tests.mark_factory import DPIS, TEMPLATE_NAMES, make_layout


@pytest.mark.parametrize("dpi", DPIS)
def test_one_pixel_is_one_dot_and_the_file_says_so(dpi: int) -> None:
    layout = make_layout(dpi=dpi)
    with Image.open(BytesIO(png(layout, dpi=dpi))) as image:
        assert image.size == (layout.width_dots, layout.height_dots)
        # PNG keeps dots per metre as a whole number.
        assert image.info["dpi"][0] == pytest.approx(203.2 if dpi == 203 else dpi, abs=0.02)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_symbols_are_exact_to_the_dot(name: str) -> None:
    layout = make_layout(name)
    with Image.open(BytesIO(png(layout, dpi=203))) as image:
        pixels = np.asarray(image.convert("L"))
    for symbol in layout.symbols():
        part = pixels[
            symbol.top_dots : symbol.top_dots + symbol.height_dots,
            symbol.left_dots : symbol.left_dots + symbol.width_dots,
        ]
        assert set(np.unique(part)) == {0, 255}
        modules = part[:: symbol.row_dots, :: symbol.module_dots] == 0
        assert (modules == np.array(symbol.modules.rows)).all()
        assert (np.repeat(np.repeat(modules, symbol.row_dots, 0), symbol.module_dots, 1) == (part == 0)).all()


def test_a_one_bit_picture_has_two_greys() -> None:
    with Image.open(BytesIO(png(make_layout(black_only=True), dpi=203, one_bit=True))) as image:
        assert image.mode == "1"


def test_the_same_mark_gives_the_same_bytes() -> None:
    assert png(make_layout(), dpi=203) == png(make_layout(), dpi=203)


@pytest.mark.parametrize("dpi", [300, 72])
def test_another_resolution_than_the_layout_is_refused(dpi: int) -> None:
    with pytest.raises(BadRequest) as caught:
        png(make_layout(dpi=203), dpi=dpi)
    assert caught.value.field == "dpi"


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_letters_stay_where_the_layout_put_them(name: str) -> None:
    """Ink of a line lies in the rectangle that the lint checked, to a dot of rounding on either side."""
    layout = make_layout(name, stock_colour="")
    with Image.open(BytesIO(png(layout, dpi=203))) as image:
        ink = np.asarray(image.convert("L")) < 128
    for item in layout.items:
        box = item.quiet_extent if hasattr(item, "quiet_extent") else item.extent
        left, top, right, bottom = (round(edge * 8) for edge in (box.left, box.top, box.right, box.bottom))
        ink[max(top - 1, 0) : bottom + 1, max(left - 1, 0) : right + 1] = False
    assert not ink.any()
