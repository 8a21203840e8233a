"""The paper book of a kit as PDF on A4 or Letter.

The bytes depend on the book and its outlines and on nothing else. Each page carries at its head the kit and its own
number, at its foot the check value of what it says (see ``service.marks.page_check``). The finished file is read again
by a second program and every page has to prove itself before the book is handed out.
"""

from __future__ import annotations

import io
from collections.abc import Mapping

import pypdfium2
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageBreak, PageTemplate

from service.errors import BadRequest, ReadBackFailed
from service.marks.book import Book
from service.marks.page_check import MARKER, PRINTED_RULE, page_check, proves_itself
from service.outlines.drawing import Drawing
from service.render.book_chapters import cover, explanations
from service.render.book_index import index, notes, older_marks
from service.render.book_joints import joint_table
from service.render.book_parts import Pages, Setting, gap
from service.render.book_registers import materials, others, page_proof
from service.render.book_segments import PLANS_NEED, plans, segment_pages
from service.render.fonts import pdf_font
from service.render.recording_canvas import RecordingCanvas
from service.render.sheet_parts import INK, RULE, legible
from service.render.work_sheet_pdf import PAPERS

MARGIN = 16 * mm
HEAD = 9 * mm
FOOT = 10 * mm
_PROOF_NEEDS = 60 * mm
MOST_SETTINGS = 4
"""Page references settle in two settings; what has not settled in these never will."""


def book_pdf(book: Book, outlines: Mapping[str, Drawing], *, paper: str = "a4") -> bytes:
    """Set the book.

    Args:
        book: what it says.
        outlines: the drawings that its segments name.
        paper: ``a4`` or ``letter``.

    Raises:
        BadRequest: another paper.
        ReadBackFailed: a page of the finished file does not prove itself.
    """
    if paper not in PAPERS:
        raise BadRequest("there is no such paper", field="paper", value=paper, todo=f"Choose {' or '.join(PAPERS)}")
    pages, total = Pages(), 0
    for _ in range(MOST_SETTINGS):
        setter = _Setter(book, outlines, PAPERS[paper], pages, total)
        data = setter.set()
        if setter.now == pages and setter.total == total:
            prove_book(data, name=book.kit)
            return data
        pages, total = setter.now, setter.total
    raise ReadBackFailed(
        "the page references of the book do not settle", field="book", value=book.kit, todo="Tell who made this program"
    )


def prove_book(data: bytes, *, name: str) -> int:
    """Read a finished book again and let every page prove itself; how many there are.

    Raises:
        ReadBackFailed: a page says something else than its check value stands for.
    """
    document = pypdfium2.PdfDocument(data)
    try:
        for number, page in enumerate(document, 1):
            text = page.get_textpage().get_text_range()
            if not proves_itself(text):
                raise ReadBackFailed(
                    "the page does not prove itself",
                    field="book",
                    value=name,
                    todo="Make the book again, and do not trust this copy",
                    place=f"page {number}",
                )
        return len(document)
    finally:
        document.close()


class _Setter:
    """One setting of a book with the page numbers of the setting before."""

    def __init__(
        self, book: Book, outlines: Mapping[str, Drawing], size: tuple[float, float], pages: Pages, total: int
    ) -> None:
        self._book, self._size, self._last_total = book, size, total
        self.now = Pages()
        self.total = 0
        self._setting = Setting(
            width=size[0] - 2 * MARGIN,
            height=size[1] - 2 * MARGIN - HEAD - FOOT,
            outlines=outlines,
            pages=pages,
            now=self.now,
        )

    def set(self) -> bytes:
        """The PDF."""
        buffer = io.BytesIO()
        setting = self._setting
        frame = Frame(
            MARGIN,
            MARGIN + FOOT,
            setting.width,
            setting.height,
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        document = BaseDocTemplate(
            buffer,
            pagesize=self._size,
            invariant=1,
            title=f"Book of kit {self._book.kit}",
            author=self._book.shop_name,
            subject=f"{self._book.container_code} {self._book.container}",
            creator="Kitwright",
            lang="en",
        )
        document.addPageTemplates(
            PageTemplate(
                frames=[frame],
                onPage=lambda canvas, page: self._head(canvas, page.page),
                onPageEnd=lambda canvas, _page: self._foot(canvas),
            )
        )
        document.build(self._story(), canvasmaker=RecordingCanvas)
        self.total = document.page
        return buffer.getvalue()

    def _story(self) -> list[Flowable]:
        setting, book = self._setting, self._book
        return [
            *cover(setting, book),
            PageBreak(),
            *explanations(setting, book),
            *gap(PLANS_NEED),
            *plans(setting, book),
            PageBreak(),
            *segment_pages(setting, book),
            PageBreak(),
            *joint_table(setting, book),
            *gap(),
            *materials(setting, book),
            *gap(),
            *others(setting, book),
            *gap(_PROOF_NEEDS),
            *page_proof(setting),
            PageBreak(),
            *index(setting, book),
            *older_marks(setting, book),
            PageBreak(),
            *notes(setting),
        ]

    def _head(self, canvas: RecordingCanvas, page: int) -> None:
        """Kit, container and page; all of it is counted."""
        canvas.said.clear()
        left, right = MARGIN, self._size[0] - MARGIN
        top = self._size[1] - MARGIN - 3 * mm
        count = f"page {page} of {self._last_total}"
        canvas.setFillColor(INK)
        canvas.setFont(pdf_font("bold"), 9)
        kit = f"Kit {self._book.kit}"
        canvas.drawString(left, top, kit)
        used = stringWidth(kit, pdf_font("bold"), 9) + 5 * mm
        room = right - left - used - stringWidth(count, pdf_font("regular"), 9) - 5 * mm
        _shrunk(canvas, left + used, top, f"{self._book.container_code} {self._book.container}", room)
        canvas.setFont(pdf_font("regular"), 9)
        canvas.drawRightString(right, top, count)
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.6)
        canvas.line(left, top - 2 * mm, right, top - 2 * mm)

    def _foot(self, canvas: RecordingCanvas) -> None:
        """The check value of what stands above, its rule, and the shop; none of it is counted."""
        left, right, foot = MARGIN, self._size[0] - MARGIN, MARGIN
        value = page_check("\n".join(canvas.said))
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.line(left, foot + 7 * mm, right, foot + 7 * mm)
        canvas.setFillColor(INK)
        canvas.setFont(pdf_font("bold"), 9)
        mark = f"{MARKER} {value}"
        canvas.drawString(left, foot + 3.4 * mm, mark)
        used = stringWidth(mark, pdf_font("bold"), 9) + 6 * mm
        _shrunk(canvas, left + used, foot + 3.4 * mm, " · ".join(self._book.shop_lines()), right - left - used)
        canvas.setFont(pdf_font("regular"), 7)
        canvas.drawString(left, foot, f"{MARKER.removeprefix('Page ').capitalize()} value: {PRINTED_RULE}.")


def _shrunk(canvas: Canvas, x: float, y: float, text: str, room: float) -> None:
    """A line that gets smaller, rather than longer than its room."""
    shown = legible(text, "regular")
    wide = stringWidth(shown, pdf_font("regular"), 9)
    canvas.setFont(pdf_font("regular"), 9 * min(1.0, room / wide) if wide else 9)
    canvas.drawString(x, y, shown)
