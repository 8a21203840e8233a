"""The SVG document: well formed, in millimetres, and the same picture in a browser."""

from __future__ import annotations

from io import BytesIO
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser

from service.render.svg import svg
from tests.mark_factory import KEY, TEMPLATE_NAMES, make_facts, make_layout

NAMESPACE = "{http://www.w3.org/2000/svg}"


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314  the service wrote it


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
@pytest.mark.parametrize("preview", [False, True])
def test_it_is_well_formed_and_measures_what_the_mark_measures(name: str, *, preview: bool) -> None:
    layout = make_layout(name)
    root = parsed(svg(layout, preview=preview))
    assert root.attrib["width"] == f"{layout.width_mm:g}mm"
    assert root.attrib["height"] == f"{layout.height_mm:g}mm"
    assert root.attrib["viewBox"] == f"0 0 {layout.width_dots} {layout.height_dots}"
    assert len(root.findall(f"{NAMESPACE}circle")) == (len(layout.keep_outs) if preview else 0)


def test_it_asks_nothing_of_the_network_or_of_fonts() -> None:
    text = svg(make_layout())
    assert "<text" not in text
    assert "font" not in text
    assert text.count("http") == 1 + text.count("HTTP:")  # the name space only


def test_hostile_text_is_escaped() -> None:
    hostile = "<b>\"&'"
    root = parsed(svg(make_layout(assembly_name=hostile)))
    labels = [element.attrib.get("aria-label") for element in root.iter(f"{NAMESPACE}g")]
    assert hostile in labels


def test_what_it_says_can_be_read_aloud() -> None:
    root = parsed(svg(make_layout()))
    spoken = root.attrib["aria-label"]
    for words in ("tall round 500 mL", "discharge star wheel", "LEFT", "K7M4 XRAW"):
        assert words in spoken


def test_the_same_mark_gives_the_same_text() -> None:
    assert svg(make_layout()) == svg(make_layout())


def test_a_browser_shows_symbols_that_read(browser: Browser) -> None:
    layout = make_layout()
    page = browser.new_page(viewport={"width": 700, "height": 300}, device_scale_factor=3)
    page.set_content(f"<body style='margin:0;background:#fff'>{svg(layout).split('?>', 1)[1]}</body>")
    picture = page.locator("svg").screenshot()
    page.close()
    with Image.open(BytesIO(picture)) as image:
        read = {bytes(code.bytes) for code in zxingcpp.read_barcodes(np.asarray(image.convert("L")))}
    assert {KEY.encode(), make_facts().link.encode()} <= read
