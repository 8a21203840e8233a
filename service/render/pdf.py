"""Marks as PDF: one mark a page for a roll, or as many as fit on A4 and Letter sheets.

Everything is drawn in the printer's dots: one scale at the head of a page, whole numbers after it. Symbols are vector
rectangles, merged along rows, one path a symbol. Equal input gives equal bytes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from functools import lru_cache
from io import BytesIO

from reportlab import rl_config
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from service.marks.items import Block, Figure, Item, Layout, PlacedSymbol, TextRun
from service.marks.symbols import Modules
from service.render.fonts import pdf_font
from service.render.sheets import Page, Paper, impose

# Base 85 would make every stream a quarter longer and serves only mail gateways of the last century.
rl_config.useA85 = 0

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
    grounds: dict[tuple[Item, ...], str] = {}
    for page in impose(layouts, paper=paper, dots_per_mm=dots_per_mm):
        titles += [placement.layout.title for placement in page.marks]
        _draw_page(canvas, page, dots_per_mm, grounds)
    canvas.setTitle(titles[0] if len(titles) == 1 else f"{len(titles)} marks, {titles[0]} to {titles[-1]}")
    canvas.setSubject("Nameplates of change parts")
    canvas.save()
    return buffer.getvalue()


def _draw_page(canvas: Canvas, page: Page, per_mm: float, grounds: dict[tuple[Item, ...], str]) -> None:
    canvas.setPageSize((_page_points(page.width_dots, per_mm), _page_points(page.height_dots, per_mm)))
    canvas.scale(POINTS_PER_MM / per_mm, POINTS_PER_MM / per_mm)
    for mark in page.marks:
        ground = tuple(itertools.takewhile(lambda item: isinstance(item, Block | Figure), mark.layout.items))
        left, bottom = mark.left_dots, page.height_dots - mark.bottom_dots
        if ground:
            canvas.saveState()
            canvas.translate(left, bottom)
            canvas.doForm(_ground_form(canvas, ground, mark.layout, grounds))
            canvas.restoreState()
        for item in mark.layout.items[len(ground) :]:
            _draw(canvas, item, mark.layout, left, bottom)
    if page.ticks:
        canvas.setStrokeColorRGB(0, 0, 0)
        canvas.setLineWidth(TICK_WIDTH_MM * per_mm)
        canvas.lines([(x1, page.height_dots - y1, x2, page.height_dots - y2) for x1, y1, x2, y2 in page.ticks])
    canvas.showPage()


def _ground_form(canvas: Canvas, ground: tuple[Item, ...], layout: Layout, grounds: dict[tuple[Item, ...], str]) -> str:
    """The colour band and its shape, which most marks of a job share, as a form that is in the file once."""
    name = grounds.get(ground)
    if name is None:
        name = grounds[ground] = f"ground{len(grounds) + 1}"
        canvas.beginForm(name, 0, 0, layout.width_dots, layout.height_dots)
        for item in ground:
            _draw(canvas, item, layout, 0, 0)
        canvas.endForm()
    return name


def _page_points(dots: int, per_mm: float) -> float:
    """Length of a page edge in points, a hair short: whoever rasterises rounds the dots up to whole ones."""
    return (math.ceil(dots * POINTS_PER_MM / per_mm * 1000 - 1e-6) - 1) / 1000


def _draw(canvas: Canvas, item: Item, layout: Layout, left_dots: int, bottom_dots: int) -> None:
    """Draw one item of a mark whose lower left corner lies at the given dots, y up."""

    def across(x_mm: float) -> float:
        return left_dots + x_mm * layout.per_mm

    def up(y_mm: float) -> float:
        return bottom_dots + layout.height_dots - y_mm * layout.per_mm

    match item:
        case Block(extent=extent):
            canvas.setFillColor(_ink(item.rgb))
            left, bottom = round(across(extent.left)), round(up(extent.bottom))
            width, height = round(across(extent.right)) - left, round(up(extent.top)) - bottom
            canvas.rect(left, bottom, width, height, stroke=0, fill=1)
        case Figure():
            canvas.setFillColor(_ink(item.rgb))
            path = canvas.beginPath()
            for index, (x, y) in enumerate(item.points):
                (path.lineTo if index else path.moveTo)(round(across(x), 2), round(up(y), 2))
            path.close()
            canvas.drawPath(path, stroke=0, fill=1)
        case TextRun():
            canvas.setFillColor(_ink(item.rgb))
            canvas.setFont(pdf_font(item.weight), round(item.size_mm * layout.per_mm, 3))
            canvas.drawString(round(across(item.x_mm), 2), round(up(item.baseline_mm), 2), item.text)
        case PlacedSymbol():
            canvas.setFillColor(_ink((0, 0, 0)))
            left = left_dots + item.left_dots
            bottom = bottom_dots + layout.height_dots - item.top_dots - item.height_dots
            scale = f"{item.module_dots} 0 0 {item.row_dots} {left} {bottom} cm"
            canvas.addLiteral(f"q {scale} {_rectangles(item.modules)} f Q")


@lru_cache(maxsize=1024)
def _rectangles(modules: Modules) -> str:
    """The dark modules as one path, in modules, y up."""
    return " ".join(
        f"{x} {modules.height - y - height} {width} {height} re" for x, y, width, height in modules.rectangles()
    )


def _ink(rgb: tuple[int, int, int]) -> Color:
    return Color(*(channel / 255 for channel in rgb))
