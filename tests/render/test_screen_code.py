"""The code of a link on a screen says the link, letter case and all, and a broken one is never shown."""

from __future__ import annotations

import re

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import ReadBackFailed, SymbolDoesNotFit
from service.marks.screen_code import screen_code
from service.marks.symbols import Modules
from service.render.screen_code_svg import screen_code_svg
from service.work.link_code import link_code

LINK = "https://parts.example/r/kq3V7c_Zx-9aBcDeFgHiJkLmNoPqRsTuVwXyZ012"


def drawn(svg: str) -> np.ndarray:
    """The drawing in pixels, painted here from its rectangles."""
    side = int(re.search(r'viewBox="0 0 (\d+)', svg)[1])  # type: ignore[index]  # every drawing has one
    grey = np.full((side, side), 255, dtype=np.uint8)
    for x, y, wide, high in re.findall(r'<rect x="(\d+)" y="(\d+)" width="(\d+)" height="(\d+)" fill="#000000"', svg):
        grey[int(y) : int(y) + int(high), int(x) : int(x) + int(wide)] = 0
    return grey


def test_the_drawing_says_the_link() -> None:
    (code,) = zxingcpp.read_barcodes(drawn(link_code(LINK)))
    assert code.text == LINK


@settings(max_examples=40, deadline=None)
@given(st.from_regex(r"https?://[a-z]{1,20}\.example/r/[A-Za-z0-9_-]{8,60}", fullmatch=True))
def test_every_link_is_said_as_it_is(link: str) -> None:
    (code,) = zxingcpp.read_barcodes(drawn(link_code(link)))
    assert code.text == link


def test_a_symbol_that_says_something_else_is_not_shown() -> None:
    other = segno.make_qr("https://elsewhere.example", error="M").matrix
    with pytest.raises(ReadBackFailed, match=r"elsewhere\.example"):
        screen_code_svg(Modules(tuple(tuple(bool(one) for one in row) for row in other)), LINK, title="x")


@pytest.mark.parametrize("text", ["", "https://parts.example/r/ü", "x" * 301, "https://parts.example/\n"])
def test_what_is_no_address_is_refused(text: str) -> None:
    with pytest.raises(SymbolDoesNotFit):
        screen_code(text)


def test_the_title_is_escaped() -> None:
    assert "<b>" not in screen_code_svg(screen_code(LINK), LINK, title='"><b>')
