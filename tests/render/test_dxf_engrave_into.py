"""The engraving added to a cut file: nothing of the original changes, and the text is in it."""

from __future__ import annotations

import dataclasses
import io
import math
import re
from typing import Any

import pytest
from ezdxf import filemanagement, recover
from ezdxf.document import Drawing as DxfDocument

from service.errors import BadCutFile, ReadBackFailed
from service.outlines.drawing import read_drawing
from service.render.dxf_engrave_into import engrave_into
from service.render.engraving_read_back import prove_dxf
from tests.part_factory import make_engraving

RELEASES = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]


def make_cut_file(*, release: str = "R2010", insunits: int = 4, newline: str = "\n", scale: float = 1.0) -> bytes:
    """A plate with a hole and an arc, a text, a block and a dimension style, as a drawing library writes it."""
    document: DxfDocument = filemanagement.new(release, setup=True)
    document.header["$INSUNITS"] = insunits
    document.layers.add("CUT", color=3)
    space = document.modelspace()
    corners = [(0, 0), (200, 0), (200, 90), (0, 90)]
    if release == "R12":
        space.add_polyline2d([(x * scale, y * scale) for x, y in corners], close=True, dxfattribs={"layer": "CUT"})
    else:
        space.add_lwpolyline([(x * scale, y * scale) for x, y in corners], close=True, dxfattribs={"layer": "CUT"})
    space.add_circle((30 * scale, 45 * scale), 12 * scale, dxfattribs={"layer": "CUT"})
    space.add_text("Gr\u00f6\u00dfe", dxfattribs={"layer": "NOTES"})
    block = document.blocks.new("PIN")
    block.add_circle((0, 0), 2 * scale)
    space.add_blockref("PIN", (170 * scale, 20 * scale))
    buffer = io.StringIO()
    document.write(buffer)
    text = buffer.getvalue().replace("\n", newline)
    return text.encode("cp1252" if release in ("R12", "R2000", "R2004") else "utf-8")


def entities(data: bytes) -> list[tuple[str, dict[str, Any]]]:
    document, _ = recover.read(io.BytesIO(data))
    # A release 12 file names no owners; the library makes them up as it reads.
    made_up = {"owner"} if document.dxfversion == "AC1009" else set()
    return [
        (entity.dxftype(), {name: value for name, value in entity.dxfattribs().items() if name not in made_up})
        for entity in document.modelspace()
        if entity.dxf.layer != "ENGRAVE_TEXT"
    ]


@pytest.mark.parametrize("release", RELEASES)
@pytest.mark.parametrize("newline", ["\n", "\r\n"], ids=["lf", "crlf"])
def test_every_entity_of_the_original_stays_and_the_text_is_there(release: str, newline: str) -> None:
    original = make_cut_file(release=release, newline=newline)
    engraving = make_engraving(width_mm=100, height_mm=30)
    engraved = engrave_into(original, engraving, mm_per_unit=1.0)
    assert entities(engraved) == entities(original)
    document, auditor = recover.read(io.BytesIO(engraved))
    assert not auditor.errors
    assert not auditor.fixes
    assert len(document.modelspace().query('*[layer=="ENGRAVE_TEXT"]')) == len(engraving.strokes)
    assert "ENGRAVE_TEXT" in document.layers
    prove_dxf(engraved, engraving, name="plate.dxf", mm_per_unit=1.0)


@pytest.mark.parametrize("release", RELEASES)
def test_every_line_of_the_original_stands_in_its_order(release: str) -> None:
    original = make_cut_file(release=release, newline="\r\n")
    engraved = engrave_into(original, make_engraving(), mm_per_unit=1.0)
    counter = re.compile(rb"(\$HANDSEED\r\n +5\r\n)[0-9A-F]+")
    before, after = (counter.sub(rb"\1", data).split(b"\n") for data in (original, engraved))
    rest = iter(after)
    # Each `in` runs the iterator on to the line that it finds, so the order counts.
    assert all(line in rest for line in before)
    assert len(after) > len(before)


def test_the_outline_that_is_read_is_the_same() -> None:
    original = make_cut_file()
    engraved = engrave_into(original, make_engraving(width_mm=100), mm_per_unit=1.0)
    before, after = (read_drawing(data, name="plate.dxf") for data in (original, engraved))
    assert after.material.equals(before.material)


def test_an_inch_file_gets_inches() -> None:
    original = make_cut_file(insunits=1, scale=1 / 25.4)
    engraving = make_engraving(width_mm=100)
    engraved = engrave_into(original, engraving, mm_per_unit=25.4)
    prove_dxf(engraved, engraving, name="plate.dxf")
    with pytest.raises(ReadBackFailed):
        prove_dxf(engrave_into(original, engraving, mm_per_unit=1.0), engraving, name="plate.dxf")


@pytest.mark.parametrize("counter", [None, b"1", b"10"], ids=["right", "at the start", "too low"])
def test_new_handles_are_free_and_the_counter_is_above_them(counter: bytes | None) -> None:
    original = make_cut_file()
    if counter is not None:
        original = re.sub(rb"(\$HANDSEED\n +5\n)[0-9A-F]+", rb"\g<1>" + counter, original)
    engraved = engrave_into(original, make_engraving(), mm_per_unit=1.0)
    seed = re.search(rb"\$HANDSEED\n +5\n([0-9A-F]+)", engraved)
    handles = re.findall(rb"\n +5\n([0-9A-F]+)\n(?:330|100)", engraved)
    assert seed is not None
    assert len(handles) == len(set(handles)) > 32
    assert int(seed[1], 16) > max(int(handle, 16) for handle in handles)


def test_a_layer_that_is_there_but_empty_is_used() -> None:
    document = filemanagement.new("R2010")
    document.header["$INSUNITS"] = 4
    document.layers.add("Engrave_Text", color=2)
    document.modelspace().add_lwpolyline([(0, 0), (200, 0), (200, 90)], close=True)
    buffer = io.StringIO()
    document.write(buffer)
    engraved = engrave_into(buffer.getvalue().encode(), make_engraving(), mm_per_unit=1.0)
    again, auditor = recover.read(io.BytesIO(engraved))
    assert not auditor.errors
    assert sum(layer.dxf.name.upper() == "ENGRAVE_TEXT" for layer in again.layers) == 1


def test_a_release_12_file_without_tables_and_handles_is_added_to() -> None:
    original = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n5\n21\n5\n0\nENDSEC\n0\nEOF\n"
    engraving = make_engraving()
    engraved = engrave_into(original, engraving, mm_per_unit=1.0)
    assert b"\n  5\n" not in engraved
    prove_dxf(engraved, engraving, name="bare.dxf", mm_per_unit=1.0)
    document, auditor = recover.read(io.BytesIO(engraved))
    assert not auditor.errors
    assert len(document.modelspace()) == 1 + len(engraving.strokes)
    with pytest.raises(ReadBackFailed, match="no units"):
        prove_dxf(engraved, engraving, name="bare.dxf")


def test_a_file_that_is_engraved_already_is_refused() -> None:
    engraved = engrave_into(make_cut_file(), make_engraving(), mm_per_unit=1.0)
    with pytest.raises(BadCutFile, match="ENGRAVE_TEXT already"):
        engrave_into(engraved, make_engraving(), mm_per_unit=1.0)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x89PNG\r\n\x1a\n\x00\x00",
        b"AutoCAD Binary DXF\r\n\x1a\x00\x00\x00",
        b"0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n",
        b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n",
        b"0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1012\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n",
        b"hello\nworld\n",
    ],
    ids=["empty", "png", "binary", "no entities", "cut short", "release 13", "words"],
)
def test_what_cannot_be_added_to_is_refused(data: bytes) -> None:
    with pytest.raises(BadCutFile) as caught:
        engrave_into(data, make_engraving(), mm_per_unit=1.0, name="bad.dxf")
    assert caught.value.value == "bad.dxf"


@pytest.mark.parametrize("release", RELEASES)
def test_the_letter_of_the_revision_comes_on_a_layer_of_its_own(release: str) -> None:
    original = make_cut_file(release=release)
    engraving = make_engraving(width_mm=100, height_mm=30)
    ring = tuple((170 + 5 * math.cos(step * math.pi / 8), 70 + 5 * math.sin(step * math.pi / 8)) for step in range(17))
    engraved = engrave_into(original, engraving, mm_per_unit=1.0, revision=[((168, 68), (170, 72), (172, 68)), ring])
    prove_dxf(engraved, engraving, name="plate.dxf", mm_per_unit=1.0)
    document, auditor = recover.read(io.BytesIO(engraved))
    assert not auditor.errors
    marks = [entity for entity in document.modelspace() if entity.dxf.layer == "ENGRAVE_REV"]
    assert len(marks) == 2
    assert "ENGRAVE_REV" in document.layers
    # A closed ring on that layer is neither a hole nor a zone for the engraving.
    units = "mm" if release == "R12" else None
    before, after = (read_drawing(data, name="plate.dxf", units=units) for data in (original, engraved))
    assert after.material.equals(before.material)
    assert after.engraving_zones == before.engraving_zones


@pytest.mark.parametrize("release", ["R12", "R2010"])
def test_drilled_dots_are_circles_as_wide_as_they_open(release: str) -> None:
    engraving = dataclasses.replace(
        make_engraving(), strokes=(), letters=(), dots=((50.0, 40.0), (52.0, 41.5)), dot_diameter_mm=0.5
    )
    document, auditor = recover.read(io.BytesIO(engrave_into(make_cut_file(release=release), engraving, mm_per_unit=1)))
    assert not auditor.errors
    dots = [entity for entity in document.modelspace() if entity.dxf.layer == "ENGRAVE_TEXT"]
    assert [(entity.dxftype(), entity.dxf.radius) for entity in dots] == [("CIRCLE", 0.25)] * 2
    assert [tuple(entity.dxf.center)[:2] for entity in dots] == [(50.0, 40.0), (52.0, 41.5)]
