"""The inspection sheet of a reorder as PDF, A4 or Letter; the bytes depend on the sheet and on nothing else."""

from __future__ import annotations

import io

from reportlab import rl_config
from reportlab.lib.colors import white
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Spacer

from service.errors import BadRequest
from service.marks.inspection_sheet import TEMPERATURES_C, InspectionSheet
from service.marks.work_sheet import two_fours
from service.render.fonts import pdf_font
from service.render.inspection_pictures import CandidateRow, LetteredOutline
from service.render.sheet_parts import INK, RULE, NumberLine, legible, paragraph, sheet_styles
from service.render.sheet_tables import row_table
from service.render.work_sheet_pdf import FOOT, HEAD, MARGIN, PAPERS

rl_config.useA85 = 0

TEXT_PT = 8.5
FITTINGS = ((78.0, 42.0), (66.0, 34.0), (54.0, 28.0))
"""Heights of the part's picture and of the look-alikes in mm, as they are tried until one page holds all."""
MOST_A_ROW = 4
"""Candidates beside each other."""


def inspection_sheet_pdf(sheet: InspectionSheet, *, paper: str = "a4") -> bytes:
    """Set the inspection sheet.

    Args:
        sheet: what it says.
        paper: ``a4`` or ``letter``.

    Raises:
        BadRequest: another paper.
    """
    if paper not in PAPERS:
        raise BadRequest("there is no such paper", field="paper", value=paper, todo=f"Choose {' or '.join(PAPERS)}")
    for heights in FITTINGS:
        data, pages = _set(sheet, paper, heights, total=1)
        if pages == 1:
            return data
    pages = _set(sheet, paper, FITTINGS[0], total=1)[1]
    return _set(sheet, paper, FITTINGS[0], total=pages)[0]


def _set(sheet: InspectionSheet, paper: str, heights: tuple[float, float], *, total: int) -> tuple[bytes, int]:
    width, height = PAPERS[paper]
    inner = width - 2 * MARGIN
    buffer = io.BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=(width, height),
        invariant=1,
        title=f"{sheet.title}: {sheet.number}",
        author=sheet.shop_name,
        subject=sheet.number,
        creator="Kitwright",
        lang="en",
    )
    frame = Frame(
        MARGIN, MARGIN + FOOT, inner, height - 2 * MARGIN - HEAD - FOOT,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip

    def on_page(canvas: Canvas, page: BaseDocTemplate) -> None:
        canvas.setFillColor(INK)
        canvas.setFont(pdf_font("bold"), 13)
        canvas.drawString(MARGIN, height - MARGIN - 3.4 * mm, legible(sheet.title, "bold"))
        canvas.setFont(pdf_font("regular"), 9)
        date = f"ordered {sheet.ordered:%Y-%m-%d}"
        canvas.drawRightString(width - MARGIN, height - MARGIN - 3.4 * mm, date)
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.6)
        canvas.line(MARGIN, MARGIN + 4 * mm, width - MARGIN, MARGIN + 4 * mm)
        shop = legible(f"{sheet.shop_name} · telephone {sheet.shop_telephone}", "regular")
        count = f"page {page.page} of {total}"
        room = inner - stringWidth(count, pdf_font("regular"), 9) - 6 * mm
        canvas.setFont(pdf_font("regular"), 9 * min(1.0, room / stringWidth(shop, pdf_font("regular"), 9)))
        canvas.drawString(MARGIN, MARGIN, shop)
        canvas.setFont(pdf_font("regular"), 9)
        canvas.drawRightString(width - MARGIN, MARGIN, count)

    document.addPageTemplates(PageTemplate(frames=[frame], onPage=on_page))
    document.build(_story(sheet, inner, heights))
    return buffer.getvalue(), document.page


def _story(sheet: InspectionSheet, width: float, heights: tuple[float, float]) -> list[Flowable]:
    styles = sheet_styles(TEXT_PT, bar_colour=white)
    body, _, check = sheet.number.rpartition("-")
    keys = ", ".join(two_fours(key) for key in sheet.keys)
    story: list[Flowable] = [
        NumberLine(body, check, width),
        Spacer(0, 1.5 * mm),
        paragraph(
            f"{sheet.cut_file}, revision {sheet.revision}. Key: {keys}. {sheet.material}.", styles.strong, "bold"
        ),
        Spacer(0, 2 * mm),
    ]
    story.append(
        LetteredOutline(
            sheet.drawing, engraving=sheet.engraving, holes=sheet.holes, width=0.8 * width, height=heights[0] * mm
        )
    )
    story.append(paragraph("Measure on the finished piece", styles.heading, "bold"))
    story.append(paragraph(f"Thickness of the sheet: {sheet.thickness}. Measured: ________ mm", styles.text))
    story.append(
        row_table(
            styles,
            width,
            (
                "What",
                "At 20 °C, mm",
                *(f"should read at {warm:g} °C" for warm in TEMPERATURES_C),
                "measured, mm",
                "at °C",
            ),
            [
                (row.what, f"{row.nominal_mm:.2f}", *(f"{value:.2f}" for value in row.readings_mm), "________", "____")
                for row in sheet.features
            ],
            (0.34, 0.12, 0.13, 0.13, 0.13, 0.1, 0.05),
        )
    )
    story.append(paragraph(sheet.expansion, styles.label))
    if sheet.joints:
        story.append(paragraph("Gaps at the joints, as the released outlines draw them", styles.heading, "bold"))
        story.append(
            row_table(
                styles,
                width,
                ("Neighbour", "Least, mm", "Half of it, mm", "Most, mm", "Play, mm", "What the outlines say"),
                [
                    (
                        row.neighbour,
                        *(_length(value) for value in (row.least_mm, row.median_mm, row.greatest_mm, row.play_mm)),
                        row.sentence,
                    )
                    for row in sheet.joints
                ],
                (0.27, 0.09, 0.1, 0.09, 0.09, 0.36),
            )
        )
    if len(sheet.candidates) > 1:
        story.append(paragraph("What it is not: looked at and ruled out", styles.heading, "bold"))
        for start in range(0, len(sheet.candidates), MOST_A_ROW):
            some = sheet.candidates[start : start + MOST_A_ROW]
            story += [CandidateRow(some, width=width, height=heights[1] * mm), Spacer(0, 2 * mm)]
    if sheet.cautions:
        story.append(paragraph("Cautions", styles.heading, "bold"))
        story += [paragraph(f"• {caution}", styles.text) for caution in sheet.cautions]
    return story


def _length(value: float | None) -> str:
    return "–" if value is None else f"{value:.2f}"
