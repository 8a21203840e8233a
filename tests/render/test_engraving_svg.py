"""The drawing of a placed engraving: what is on it, at full size, and that nothing leaves the sheet."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from shapely.geometry import MultiPoint, Point

from service.marks.placed import PlacedEngraving, place_engraving
from service.render.engraving_svg import engraving_svg
from tests.outlines.assembly import face_in_kit
from tests.part_factory import KEY, NUMBER, make_drawing, make_engraving, make_placed

SVG = "{http://www.w3.org/2000/svg}"


def placed_at(place: str, *, hand: str | None = None) -> PlacedEngraving:
    return place_engraving(face_in_kit(place), number=NUMBER, key=KEY, hand=hand, revision="B", material="UHMW-PE")


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314  # our own picture, to see that it is well-formed


def words(root: ET.Element) -> str:
    return " ".join(element.text or "" for element in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("place", ["SW2-U3", "SW3-L1", "CG1-U2", "RL1-U1", "BP1-X1", "TS1-X1"])
def test_everything_that_a_shop_asks_for_is_on_it(place: str) -> None:
    placed = placed_at(place)
    root = parsed(engraving_svg(placed))
    classes = {element.get("class") for element in root.iter()}
    face = placed.face
    for name, there in (
        ("joint", not face.joints.is_empty),
        ("working", not face.working.is_empty),
        ("plain", not face.plain.is_empty),
        ("shadow", not face.shadow.is_empty),
        ("neighbour", bool(face.neighbours)),
        ("hub", bool(face.drawing.hubs)),
        ("keepout", bool(face.drawing.keepouts)),
        ("engraving-zone", bool(face.drawing.engraving_zones)),
    ):
        assert (name in classes) == there, name
    assert {"free", "groove", "dimension", "direction"} <= classes
    said = words(root)
    assert placed.engraving.text in said.replace("  ", " ")
    assert f"{placed.engraving.cap_height_mm:g}" in said
    assert placed.direction.split(",")[0] in said
    if placed.face.axis is not None:
        assert re.search(r"centre \d+ mm", said)


def test_the_picture_is_at_full_size_and_nothing_leaves_it() -> None:
    for place in ("SW2-U3", "RL1-U1", "NG1-K1"):
        root = parsed(engraving_svg(placed_at(place)))
        left, top, width, height = map(float, root.attrib["viewBox"].split())
        assert root.attrib["width"] == f"{width:g}mm"
        assert root.attrib["height"] == f"{height:g}mm"
        strokes = next(element for element in root.iter() if element.get("id") == "ENGRAVE_TEXT").attrib["d"]
        points = MultiPoint([tuple(map(float, pair.split(","))) for pair in re.findall(r"[-\d.]+,[-\d.]+", strokes)])
        x0, y0, x1, y1 = points.bounds
        assert left < x0
        assert top < y0
        assert x1 < left + width
        assert y1 < top + height
        # Words begin inside, and end there at the width that a letter of this font has.
        for element in root.iter(f"{SVG}text"):
            place_of = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)", element.attrib["transform"])
            assert place_of is not None
            x, y = map(float, place_of.groups())
            length = 0.56 * len(element.text or "") * float(element.attrib["font-size"])
            if "rotate" not in element.attrib["transform"] and element.attrib["text-anchor"] == "start":
                assert left <= x <= x + length <= left + width
            assert top <= y <= top + height


def test_drilled_dots_stand_in_a_group_of_their_own() -> None:
    dotted = make_engraving(width_mm=12.0, height_mm=12.0)
    assert dotted.dots
    text = engraving_svg(make_placed(dotted))
    assert text.count("<circle") >= len(dotted.dots)
    assert 'id="ENGRAVE_DOTS"' in text
    assert 'id="ENGRAVE_TEXT"' not in text


def test_the_preview_is_called_by_its_text() -> None:
    root = parsed(engraving_svg(make_placed(make_engraving())))
    assert "OSV4-FC1-A500 / SW2-U3-42" in root.attrib["aria-label"]


def test_equal_parts_give_equal_pictures() -> None:
    keepout = Point(150, 60).buffer(10)
    drawing = make_drawing(keepouts=(keepout,))
    assert engraving_svg(make_placed(drawing=drawing)) == engraving_svg(make_placed(drawing=drawing))
