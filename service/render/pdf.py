"""Marks as PDF: one mark a page for a roll, or as many as fit on A4 and Letter sheets.

Everything is drawn in the printer's dots: one scale at the head of a page, whole numbers after it. Symbols are vector
rectangles, merged along rows, one path a symbol. Equal input gives equal bytes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from io import BytesIO

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from service.marks.items import Block, Figure, Item, Layout, PlacedSymbol, TextRun
from service.marks.symbols import Modules
from service.render.fonts import pdf_font
from service.render.sheets import Page, Paper, Placement, impose

POINTS_PER_MM = 72 / 25.4

#: Thickness of cut ticks.
TICK_WIDTH_MM = 0.15


def pdf(layouts: Iterable[Layout], *, paper: Paper, dots_per_mm: float) -> bytes:
    """A PDF file of marks, in the order given.

    Raises:
        BadRequest: no marks, an unknown paper, a mark larger than the paper, or one laid out for another resolution.
    """
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1, initialFontName=pdf_font("regular"))
    canvas.setCreator("Kitwright")
    canvas.setProducer("Kitwright")
    canvas.setAuthor("Kitwright")
    titles: list[str] = []
    for page in impose(layouts, paper=paper, dots_per_mm=dots_per_mm):
        titles += [placement.layout.title for placement in page.marks]
        _draw_page(canvas, page, dots_per_mm)
    canvas.setTitle(titles[0] if len(titles) == 1 else f"{len(titles)} marks, {titles[0]} to {titles[-1]}")
    canvas.setSubject("Nameplates of change parts")
    canvas.save()
    return buffer.getvalue()


def _draw_page(canvas: Canvas, page: Page, per_mm: float) -> None:
    points_per_dot = POINTS_PER_MM / per_mm
    canvas.setPageSize((_page_points(page.width_dots, per_mm), _page_points(page.height_dots, per_mm)))
    canvas.scale(points_per_dot, points_per_dot)
    for placement in page.marks:
        for item in placement.layout.items:
            _draw(canvas, item, placement, page.height_dots)
    if page.ticks:
        canvas.setStrokeColorRGB(0, 0, 0)
        canvas.setLineWidth(TICK_WIDTH_MM * per_mm)
        canvas.lines([(x1, page.height_dots - y1, x2, page.height_dots - y2) for x1, y1, x2, y2 in page.ticks])
    canvas.showPage()


def _page_points(dots: int, per_mm: float) -> float:
    """Length of a page edge in points, a hair short: whoever rasterises rounds the dots up to whole ones."""
    return (math.ceil(dots * POINTS_PER_MM / per_mm * 1000 - 1e-6) - 1) / 1000


def _draw(canvas: Canvas, item: Item, placement: Placement, page_height: int) -> None:
    per_mm = placement.layout.per_mm

    def across(x_mm: float) -> float:
        return placement.left_dots + x_mm * per_mm

    def up(y_mm: float) -> float:
        return page_height - placement.top_dots - y_mm * per_mm

    match item:
        case Block(extent=extent):
            canvas.setFillColor(_ink(item.rgb))
            left, bottom = round(across(extent.left)), round(up(extent.bottom))
            canvas.rect(
                left, bottom, round(across(extent.right)) - left, round(up(extent.top)) - bottom, stroke=0, fill=1
            )
        case Figure():
            canvas.setFillColor(_ink(item.rgb))
            path = canvas.beginPath()
            for index, (x, y) in enumerate(item.points):
                (path.lineTo if index else path.moveTo)(round(across(x), 2), round(up(y), 2))
            path.close()
            canvas.drawPath(path, stroke=0, fill=1)
        case TextRun():
            canvas.setFillColor(_ink(item.rgb))
            canvas.setFont(pdf_font(item.weight), round(item.size_mm * per_mm, 3))
            canvas.drawString(round(across(item.x_mm), 2), round(up(item.baseline_mm), 2), item.text)
        case PlacedSymbol():
            canvas.setFillColor(_ink((0, 0, 0)))
            left = placement.left_dots + item.left_dots
            bottom = page_height - placement.top_dots - item.top_dots - item.height_dots
            canvas.addLiteral(
                f"q {item.module_dots} 0 0 {item.row_dots} {left} {bottom} cm {_rectangles(item.modules)} f Q"
            )


@lru_cache(maxsize=1024)
def _rectangles(modules: Modules) -> str:
    """The dark runs as one path in modules, y up."""
    return " ".join(f"{x} {modules.height - 1 - y} {length} 1 re" for x, y, length in modules.runs())


def _ink(rgb: tuple[int, int, int]) -> Color:
    return Color(*(channel / 255 for channel in rgb))
