"""What runs in a rendering process: plain values in, proven bytes out. Knows no database."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Literal

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.dots import dots_covering, dots_per_mm
from service.marks.items import Layout
from service.marks.layout import lay_out
from service.render.fonts import typeface
from service.render.pdf import write_pdf
from service.render.png import png
from service.render.read_back import read_back_pdf, read_back_png, read_back_svg
from service.render.survival_proof import prove_survival
from service.render.svg import svg
from service.work.rendering import Tell, say_nothing

Paper = Literal["roll", "a4", "letter"]
PlateForm = Literal["png", "svg"]

DRAFT_PREFIX, DRAFT_SUFFIX = "kitwright-", ".draft"
"""Name of a file with marks that are not proven yet, in the folder for temporary files; nobody reads one again."""

# The first moment that a ZIP file can hold: members carry no time, so that equal contents are equal bytes.
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def draw_plates(
    template: LabelTemplate, marks: Sequence[MarkFacts], *, paper: Paper, dpi: int, start_cell: int = 1
) -> bytes:
    """Marks as one PDF, every symbol read back from the finished file; errors as for ``draw_plates_into``."""
    with NamedTemporaryFile(prefix=DRAFT_PREFIX, suffix=DRAFT_SUFFIX) as draft:
        draw_plates_into(Path(draft.name), template, marks, paper=paper, dpi=dpi, start_cell=start_cell)
        return draft.read()


def draw_plates_into(
    draft: Path,
    template: LabelTemplate,
    marks: Sequence[MarkFacts],
    *,
    paper: Paper,
    dpi: int,
    start_cell: int = 1,
    tell: Tell = say_nothing,
) -> None:
    """Write marks into a file as one PDF and read every symbol back from it, a page at a time.

    Marks are laid out as they are needed, once to draw them and once to prove them: a long job needs no more room than
    a short one.

    Args:
        draft: the file; until this returns nothing in it is proven.
        template: of the marks.
        marks: what they say, in order.
        paper: on which they are printed.
        dpi: of the printer.
        start_cell: the first free cell of the first sheet.
        tell: told what is done to how many of the marks.

    Raises:
        BadRequest: a resolution that no printer has, a mark larger than the paper, a cell that no sheet has.
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph, UnknownCode: a mark cannot be laid out.
        LintFailed: a mark does not bear the damages that it has to.
        ReadBackFailed: a symbol of the finished file is not what it should be.
    """
    per_mm = dots_per_mm(dpi)
    prove_survival(template, marks, dpi=dpi)
    cell = dots_covering(template.width_mm, per_mm), dots_covering(template.height_mm, per_mm)

    def laid_out(told: Callable[[int], None] = lambda _count: None) -> Iterator[Layout]:
        for count, facts in enumerate(marks, 1):
            yield lay_out(template, facts, typeface(), per_mm)
            told(count)

    def drawn(count: int) -> None:
        tell("drawn", count, len(marks))

    def proven(count: int) -> None:
        tell("read back", count, len(marks))

    with draft.open("wb") as stream:
        write_pdf(stream, laid_out(drawn), paper=paper, dots_per_mm=per_mm, start_cell=start_cell, cell=cell)
    read_back_pdf(draft, laid_out(), paper=paper, dots_per_mm=per_mm, start_cell=start_cell, cell=cell, told=proven)


def draw_plate(template: LabelTemplate, facts: MarkFacts, *, form: PlateForm, dpi: int) -> bytes:
    """One mark as a picture, every symbol read back from it; errors as for ``draw_plates``."""
    prove_survival(template, (facts,), dpi=dpi)
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
