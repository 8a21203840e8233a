"""What runs in a rendering process: plain values in, proven bytes out. Knows no database."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Sequence
from typing import Literal

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.layout import lay_out
from service.render.fonts import typeface
from service.render.pdf import pdf
from service.render.png import png
from service.render.read_back import read_back_pdf, read_back_png, read_back_svg
from service.render.svg import svg

Paper = Literal["roll", "a4", "letter"]
PlateForm = Literal["png", "svg"]

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
