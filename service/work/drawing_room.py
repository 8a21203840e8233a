"""What runs in a rendering process: plain values in, proven bytes out. Knows no database."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.engraving import Engraving, plan_engraving
from service.marks.layout import lay_out
from service.outlines.drawing import Drawing
from service.outlines.room import Room
from service.outlines.stored import from_bytes
from service.outlines.units import unit_of_symbol
from service.render.dxf import engraving_dxf
from service.render.dxf_engrave_into import engrave_into
from service.render.engraving_read_back import prove_dxf, prove_svg
from service.render.engraving_svg import engraving_svg
from service.render.fonts import typeface
from service.render.pdf import pdf
from service.render.png import png
from service.render.read_back import read_back_pdf, read_back_png, read_back_svg
from service.render.svg import svg

Paper = Literal["roll", "a4", "letter"]
PlateForm = Literal["png", "svg"]
EngravingForm = Literal["dxf", "svg"]

# The first moment that a ZIP file can hold: members carry no time, so that equal contents are equal bytes.
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def draw_plates(template: LabelTemplate, marks: Sequence[MarkFacts], *, paper: Paper, dpi: int) -> bytes:
    """Marks as one PDF, every symbol read back from the finished file.

    Raises:
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph, UnknownCode: a mark cannot be laid out.
        ReadBackFailed: a symbol of the finished file is not what it should be.
    """
    per_mm = dots_per_mm(dpi)
    layouts = [lay_out(template, facts, typeface(), per_mm) for facts in marks]
    data = pdf(layouts, paper=paper, dots_per_mm=per_mm)
    read_back_pdf(data, layouts, paper=paper, dots_per_mm=per_mm)
    return data


def draw_plate(template: LabelTemplate, facts: MarkFacts, *, form: PlateForm, dpi: int) -> bytes:
    """One mark as a picture, every symbol read back from it; errors as for ``draw_plates``."""
    layout = lay_out(template, facts, typeface(), dots_per_mm(dpi))
    if form == "png":
        data = png(layout, dpi=dpi)
        read_back_png(data, layout)
        return data
    text = svg(layout)
    read_back_svg(text, layout)
    return text.encode()


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


def packed(files: Iterable[tuple[str, bytes]]) -> bytes:
    """Files as one ZIP archive; equal files give equal bytes."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files:
            member = zipfile.ZipInfo(name, date_time=_NO_TIME)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            archive.writestr(member, data)
    return buffer.getvalue()
