"""The engraving of one segment, drawn in a rendering process: plain values in, proven bytes out. Knows no database."""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from service.marks.engraving import Engraving, plan_engraving
from service.outlines.drawing import Drawing
from service.outlines.room import Room
from service.outlines.stored import from_bytes
from service.outlines.units import unit_of_symbol
from service.render.dxf import engraving_dxf
from service.render.dxf_engrave_into import engrave_into
from service.render.engraving_read_back import prove_dxf, prove_svg
from service.render.engraving_svg import engraving_svg

EngravingForm = Literal["dxf", "svg"]


def plan_text(drawing_bytes: bytes, *, number: str, key: str) -> tuple[Engraving, Drawing]:
    """The text of a segment laid into its outline; raises NoEngravingRoom when neither number nor key fits."""
    drawing, room = _drawing_and_room(drawing_bytes)
    return plan_engraving(number=number, key=key, room=room.rectangle), drawing


@lru_cache(maxsize=32)
def _drawing_and_room(drawing_bytes: bytes) -> tuple[Drawing, Room]:
    """A drawing and the free area on it; many segments are cut from one outline."""
    drawing = from_bytes(drawing_bytes)
    return drawing, Room(drawing)


def draw_engraving(drawing_bytes: bytes, *, number: str, key: str, form: EngravingForm) -> bytes:
    """The engraving of one segment as a DXF in the units of its source, or as a preview over the real outline.

    Raises:
        NoEngravingRoom: no text of the ladder fits.
        ReadBackFailed: the finished file does not say what was chosen.
    """
    engraving, drawing = plan_text(drawing_bytes, number=number, key=key)
    if form == "svg":
        text = engraving_svg(engraving, drawing)
        prove_svg(text, engraving, name=f"{number}.svg")
        return text.encode()
    unit = unit_of_symbol(drawing.units)
    data = engraving_dxf(engraving, mm_per_unit=drawing.mm_per_unit, insunits=unit.insunits)
    prove_dxf(data, engraving, name=f"{number}.dxf")
    return data


def draw_engraved_cut_file(released: bytes, drawing_bytes: bytes, *, number: str, key: str, name: str) -> bytes:
    """A cut file with the text of one segment added on a layer of its own; every line of the original stays.

    Raises:
        NoEngravingRoom: no text of the ladder fits.
        BadCutFile: a form of DXF into which nothing can be put, for one a binary file.
        ReadBackFailed: the finished file does not say what was chosen.
    """
    engraving, drawing = plan_text(drawing_bytes, number=number, key=key)
    data = engrave_into(released, engraving, mm_per_unit=drawing.mm_per_unit, name=name)
    prove_dxf(data, engraving, name=name, mm_per_unit=drawing.mm_per_unit)
    return data
