"""The work sheet of a reorder as PDF: one page of A4 or Letter.

Text and picture are set as large as one page allows, the text between 9.5 and 7 points. What is longer still goes on to
a second page under the same title; nothing is cut off. The bytes depend on the sheet and on nothing else.
"""

from __future__ import annotations

import io

from reportlab import rl_config
from reportlab.lib.colors import HexColor, white
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Spacer, Table

from service.errors import BadRequest
from service.marks.work_sheet import WorkSheet, in_groups
from service.render.fonts import pdf_font
from service.render.outline_pdf import OutlinePicture
from service.render.sheet_parts import (
    INK,
    RULE,
    KeyLines,
    NumberLine,
    SheetStyles,
    Swatch,
    legible,
    paragraph,
    sheet_styles,
)
from service.render.sheet_tables import TIGHT, row_table, tick_table

# Base 85 would make every stream a quarter longer and serves only mail gateways of the last century.
rl_config.useA85 = 0

PAPERS: dict[str, tuple[float, float]] = {"a4": A4, "letter": LETTER}

FITTINGS = ((9.5, 92.0), (9.5, 76.0), (9.0, 64.0), (8.5, 58.0), (8.0, 54.0), (7.5, 50.0), (7.0, 46.0))
"""Text size in points and height of the picture in mm, as they are tried one after the other; 7 points is the floor."""

MARGIN = 12 * mm
HEAD = 8 * mm
FOOT = 7 * mm
SHADE = HexColor("#eef2ed")
STOP = HexColor("#7a1230")


def work_sheet_pdf(sheet: WorkSheet, *, paper: str = "a4") -> bytes:
    """Set the work sheet.

    Args:
        sheet: what it says.
        paper: ``a4`` or ``letter``.

    Raises:
        BadRequest: another paper.
    """
    if paper not in PAPERS:
        raise BadRequest("there is no such paper", field="paper", value=paper, todo=f"Choose {' or '.join(PAPERS)}")

    def built(fitting: tuple[float, float], total: int = 1) -> tuple[bytes, int]:
        return _Setter(sheet, PAPERS[paper], fitting[0], fitting[1] * mm).set(total=total)

    data, pages = built(FITTINGS[0])
    if pages == 1:
        return data
    smallest, pages = built(FITTINGS[-1])
    if pages > 1:
        return built(FITTINGS[-1], pages)[0]
    for fitting in FITTINGS[1:-1]:
        data, pages = built(fitting)
        if pages == 1:
            return data
    return smallest


class _Setter:
    """One attempt to set a sheet at one text size."""

    def __init__(self, sheet: WorkSheet, size: tuple[float, float], text_pt: float, picture: float) -> None:
        self._sheet, self._size, self._picture = sheet, size, picture
        self._width = size[0] - 2 * MARGIN
        self._styles: SheetStyles = sheet_styles(text_pt, bar_colour=white)
        self._pt = text_pt

    def set(self, *, total: int) -> tuple[bytes, int]:
        """The PDF with ``total`` as the number of pages in its head lines, and how many pages it has."""
        buffer = io.BytesIO()
        page_width, page_height = self._size
        frame = Frame(
            MARGIN,
            MARGIN + FOOT,
            self._width,
            page_height - 2 * MARGIN - HEAD - FOOT,
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        document = BaseDocTemplate(
            buffer,
            pagesize=(page_width, page_height),
            invariant=1,
            title=f"{self._sheet.title}: {self._sheet.number}",
            author=self._sheet.shop_name,
            subject=self._sheet.number,
            creator="Kitwright",
            lang="en",
        )
        document.addPageTemplates(
            PageTemplate(frames=[frame], onPage=lambda canvas, page: self._page(canvas, page.page, total))
        )
        document.build(self._story())
        return buffer.getvalue(), document.page

    def _page(self, canvas: Canvas, page: int, total: int) -> None:
        """Title and date above, the shop and the page number below."""
        sheet = self._sheet
        left, right = MARGIN, self._size[0] - MARGIN
        top, foot = self._size[1] - MARGIN - 3.4 * mm, MARGIN
        canvas.setFillColor(INK)
        date = f"ordered {sheet.ordered_text()}"
        title = sheet.title if page == 1 else f"{sheet.title}, continued: {sheet.number}"
        room = right - left - stringWidth(date, pdf_font("regular"), 9) - 6 * mm
        _fitted(canvas, left, top, title, size=13, room=room)
        canvas.setFont(pdf_font("regular"), 9)
        canvas.drawRightString(right, top, date)
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.6)
        canvas.line(left, foot + 4 * mm, right, foot + 4 * mm)
        count = f"page {page} of {total}"
        shop = f"{sheet.shop_name} · telephone {sheet.shop_telephone}"
        _fitted(
            canvas, left, foot, shop, size=9, room=right - left - stringWidth(count, pdf_font("regular"), 9) - 6 * mm
        )
        canvas.setFont(pdf_font("regular"), 9)
        canvas.drawRightString(right, foot, count)

    def _story(self) -> list[Flowable]:
        sheet, styles = self._sheet, self._styles
        story: list[Flowable] = [
            NumberLine(*sheet.number_and_check(), self._width),
            Spacer(0, 1.5 * mm),
            *self._key_and_container(),
            Spacer(0, 2 * mm),
            self._decision(),
            Spacer(0, 1.2 * mm),
        ]
        story += [paragraph(f"• {reason}", styles.text) for reason in sheet.reasons]
        story.append(Spacer(0, 2 * mm))
        story += self._picture_and_facts()
        if sheet.also_cut:
            story.append(paragraph("Cut these too", styles.heading, "bold"))
            story.append(
                row_table(
                    styles,
                    self._width,
                    ("Number", "Cut file", "Revision", "Why"),
                    [(row.number, row.cut_file, row.revision, row.why) for row in sheet.also_cut],
                    (0.26, 0.28, 0.1, 0.36),
                )
            )
        if sheet.joints:
            story.append(paragraph("Joints that must close", styles.heading, "bold"))
            story.append(
                row_table(
                    styles,
                    self._width,
                    ("Neighbour", "Form", "Clearance a side", "Fit"),
                    [(row.neighbour, row.form, _clearance(row.clearance_mm), row.fits) for row in sheet.joints],
                    (0.26, 0.18, 0.18, 0.38),
                )
            )
        story.append(Spacer(0, 2.5 * mm))
        story.append(tick_table(styles, self._width, sheet.steps()))
        if sheet.cautions:
            story.append(Spacer(0, 2.5 * mm))
            story += self._cautions()
        return story

    def _key_and_container(self) -> list[Flowable]:
        """The keys beside the container; below each other where its name is too long for that."""
        sheet, styles = self._sheet, self._styles
        half = self._width / 2
        keys = sheet.keys()
        label = paragraph(
            "Key of the new piece" if len(keys) == 1 else f"Keys of the {len(keys)} new pieces", styles.label
        )
        container = paragraph("Container", styles.label), paragraph(sheet.container, styles.large, "bold")
        if container[1].wrap(half, self._size[1])[1] > 0.15 * self._size[1]:
            return [label, KeyLines(keys, self._width, self._pt), *container]
        return [
            Table(
                [[label, container[0]], [KeyLines(keys, half - 4 * mm, self._pt), container[1]]],
                colWidths=[half, half],
                style=[*TIGHT, ("TOPPADDING", (1, 1), (1, 1), 2.5)],
            )
        ]

    def _decision(self) -> Flowable:
        """The bar that says what to cut, and the file it is cut from."""
        sheet, styles = self._sheet, self._styles
        rows: list[list[Flowable]] = [[paragraph(sheet.decision(), styles.bar, "bold")]]
        if sheet.cut_file is not None:
            rows.append([paragraph(f"{sheet.cut_file}, revision {sheet.revision}", styles.strong, "bold")])
        if sheet.sha256 is not None:
            rows.append([paragraph(f"SHA-256 {in_groups(sheet.sha256)}", styles.text)])
        return Table(
            rows,
            colWidths=[self._width],
            splitInRow=1,
            style=[
                ("BACKGROUND", (0, 0), (-1, 0), INK if sheet.cut_file is not None else STOP),
                ("BACKGROUND", (0, 1), (-1, -1), SHADE),
                ("LEFTPADDING", (0, 0), (-1, -1), 6),
                ("RIGHTPADDING", (0, 0), (-1, -1), 6),
                ("TOPPADDING", (0, 0), (-1, -1), 2.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
            ],
        )

    def _picture_and_facts(self) -> list[Flowable]:
        """The outline beside the facts; below each other where the facts are too long for that."""
        sheet = self._sheet
        if sheet.drawing is None:
            return [self._facts(self._width)]
        left = 0.56 * self._width
        facts = self._facts(self._width - left - 4 * mm)
        picture = OutlinePicture(sheet.drawing, engraving=sheet.engraving, width=left - 6 * mm, height=self._picture)
        if facts.wrap(self._width - left - 4 * mm, self._size[1])[1] > 0.5 * self._size[1]:
            return [picture, Spacer(0, 2 * mm), self._facts(self._width)]
        return [
            Table(
                [[picture, facts]],
                colWidths=[left, self._width - left],
                style=[
                    *TIGHT,
                    ("ALIGN", (0, 0), (0, 0), "CENTER"),
                    ("ALIGN", (1, 0), (1, 0), "RIGHT"),
                    ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ],
            )
        ]

    def _facts(self, width: float) -> Table:
        """Stock and place as two columns of label and value."""
        sheet, styles = self._sheet, self._styles
        rows: list[list[Flowable]] = []
        for label, value in sheet.stock_rows():
            swatch = label == "Colour"
            shown = Swatch(value, sheet.colour_rgb, self._pt) if swatch else paragraph(value, styles.strong, "bold")
            rows.append([paragraph(label, styles.label), shown])
        parting = len(rows)
        rows += [
            [paragraph(label, styles.label), paragraph(value, styles.text)]
            for label, value in sheet.place_rows()
            if label != "Container"
        ]
        label_width = 2.1 * mm * self._pt
        return Table(
            rows,
            colWidths=[label_width, width - label_width],
            splitInRow=1,
            style=[
                *TIGHT,
                ("LINEBELOW", (0, 0), (-1, -1), 0.3, RULE),
                ("LINEABOVE", (0, parting), (-1, parting), 1.2, INK),
                ("TOPPADDING", (0, 0), (-1, -1), 1.4),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
            ],
        )

    def _cautions(self) -> list[Flowable]:
        styles = self._styles
        return [
            paragraph("Cautions", styles.heading, "bold"),
            *(paragraph(f"• {caution}", styles.text) for caution in self._sheet.cautions),
        ]


def _clearance(clearance_mm: float | None) -> str:
    return "not on record" if clearance_mm is None else f"{clearance_mm:.2f} mm"


def _fitted(canvas: Canvas, x: float, y: float, text: str, *, size: float, room: float) -> None:
    """A line of bold text that gets smaller, rather than longer than its room."""
    shown = legible(text, "bold")
    wide = stringWidth(shown, pdf_font("bold"), size)
    canvas.setFont(pdf_font("bold"), size * min(1.0, room / wide) if wide else size)
    canvas.drawString(x, y, shown)
