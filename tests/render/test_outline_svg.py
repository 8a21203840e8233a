"""The picture of one part: well-formed, at full size, y turned over, texts escaped."""

from __future__ import annotations

import dataclasses
import re
from xml.etree import ElementTree as ET

import pytest
from shapely.geometry import Point, box

from service.render.outline_svg import attribute, number, outline_svg
from tests.part_factory import make_drawing, make_engraving

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert(\"x\")</script> & 'quoted'\n\t"


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314  # our own picture, to see that it is well-formed


def view_box(root: ET.Element) -> tuple[float, float, float, float]:
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    return left, top, width, height


@pytest.mark.parametrize("dims", [True, False])
def test_width_and_height_are_millimetres_and_the_view_box_has_the_same_numbers(*, dims: bool) -> None:
    root = parsed(outline_svg(make_drawing(), dims=dims))
    _, _, width, height = view_box(root)
    assert root.attrib["width"] == f"{width:g}mm"
    assert root.attrib["height"] == f"{height:g}mm"


def test_without_dimensions_the_picture_is_the_part_and_its_border() -> None:
    root = parsed(outline_svg(make_drawing(box(10, 20, 210, 110)), dims=False))
    assert view_box(root) == (5, -115, 210, 100)


def test_y_is_turned_over() -> None:
    root = parsed(outline_svg(make_drawing(box(0, 0, 200, 90)), dims=False))
    outline = next(element for element in root if element.get("id") == "outline")
    start = re.match(r"M(-?[\d.]+)[ ,]?(-?[\d.]+)", outline.attrib["d"])
    assert start is not None
    assert float(start[2]) in (0.0, -90.0)


def test_overall_dimensions_are_written() -> None:
    text = outline_svg(make_drawing(box(0, 0, 412.26, 90)))
    assert [element.text for element in parsed(text).iter(f"{SVG}text")] == ["412.3", "90.0"]
    assert "412.3 mm wide, 90.0 mm high" in text
    assert not list(parsed(outline_svg(make_drawing(), dims=False)).iter(f"{SVG}text"))


def test_dimension_lines_stay_inside_the_picture() -> None:
    for shape in (box(0, 0, 20, 12), box(0, 0, 1200, 40), box(-300, -900, -260, 600)):
        root = parsed(outline_svg(make_drawing(shape)))
        left, top, width, height = view_box(root)
        for element in root.iter(f"{SVG}path"):
            if element.get("class") == "dimension":
                for x, y in re.findall(r"M(-?[\d.]+),(-?[\d.]+)", element.attrib["d"]):
                    assert left <= float(x) <= left + width
                    assert top <= float(y) <= top + height


def test_zones_hubs_and_keep_outs_are_drawn_apart() -> None:
    drawing = make_drawing(
        keepouts=(box(5, 5, 15, 15),), hubs=(Point(100, 45).buffer(20),), engraving_zones=(box(120, 20, 180, 60),)
    )
    classes = [element.get("class") for element in parsed(outline_svg(drawing)).iter(f"{SVG}path")]
    assert {"hub", "keepout", "engraving-zone"} <= set(classes)


def test_an_engraving_is_shown_over_the_outline() -> None:
    engraving = make_engraving()
    text = outline_svg(make_drawing(), engraving=engraving)
    strokes = next(element for element in parsed(text) if element.get("id") == "ENGRAVE_TEXT")
    assert strokes.attrib["d"].count("M") == len(engraving.strokes)
    assert float(strokes.attrib["stroke-width"]) == pytest.approx(engraving.cutter.groove_mm)
    assert strokes.attrib["stroke-linecap"] == "round"


def test_drilled_dots_are_shown_over_the_outline() -> None:
    engraving = dataclasses.replace(
        make_engraving(), strokes=(), dots=((50.0, 40.0), (52.0, 41.5)), dot_diameter_mm=0.5
    )
    root = parsed(outline_svg(make_drawing(), engraving=engraving))
    dots = [(element.get("cx"), element.get("cy"), element.get("r")) for element in root.iter(f"{SVG}circle")]
    assert dots == [("50", "-40", "0.25"), ("52", "-41.5", "0.25")]


def test_hostile_titles_are_escaped() -> None:
    root = parsed(outline_svg(make_drawing(), title=HOSTILE))
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text is not None
    assert title.text.startswith("<script>alert(")
    assert root.attrib["aria-label"].startswith("<script>alert(\"x\")</script> & 'quoted'")
    assert not list(root.iter(f"{SVG}script"))
    assert "\n" not in attribute(HOSTILE)


def test_the_text_of_a_picture_depends_on_the_part_alone() -> None:
    assert outline_svg(make_drawing()) == outline_svg(make_drawing())


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (0.0, "0"), (-0.0001, "0"), (2.5, "2.5"), (-1.23456, "-1.235"), (100.0, "100")]
)
def test_numbers_are_short(value: float, text: str) -> None:
    assert number(value) == text
