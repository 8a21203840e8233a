"""Marks as PDF: one mark a page for a roll, or as many as fit on A4 and Letter sheets.

Everything is drawn in the printer's dots: one scale at the head of a page, whole numbers after it. Symbols are vector
rectangles, one path a symbol. What many marks of a job show alike, as the container, the band and the shop, is in the
file once. Equal input gives equal bytes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from service.marks.items import BLACK, Block, Figure, Item, Layout, PlacedSymbol, Rgb, TextRun
from service.marks.symbols import Modules
from service.render.pdf_file import PdfFile
from service.render.sheets import Page, Paper, impose

POINTS_PER_MM = 72 / 25.4

#: Thickness of cut ticks.
TICK_WIDTH_MM = 0.15

#: What at least this part of the marks show is worth a form of its own.
_COMMON_PART = 0.2


def pdf(layouts: Iterable[Layout], *, paper: Paper, dots_per_mm: float) -> bytes:
    """A PDF file of marks, in the order given.

    Raises:
        BadRequest: no marks, an unknown paper, a mark larger than the paper, or one laid out for another resolution.
    """
    pages = list(impose(layouts, paper=paper, dots_per_mm=dots_per_mm))
    placed = [placement.layout for page in pages for placement in page.marks]
    sizes = [
        (_page_points(page.width_dots, dots_per_mm), _page_points(page.height_dots, dots_per_mm)) for page in pages
    ]
    file = PdfFile(width=sizes[0][0], height=sizes[0][1])
    marks = iter(_contents(file, placed))
    for page, (width, height) in zip(pages, sizes, strict=True):
        scale = f"{POINTS_PER_MM / dots_per_mm:.6f}"
        drawn = [f"{scale} 0 0 {scale} 0 0 cm"]
        for placement in page.marks:
            left, bottom = placement.left_dots, page.height_dots - placement.bottom_dots
            content = next(marks)
            drawn.append(f"q 1 0 0 1 {left} {bottom} cm\n{content}\nQ" if left or bottom else content)
        drawn += _ticks(page, dots_per_mm)
        file.page("\n".join(drawn), width, height)
    titles = [layout.title for layout in placed]
    return file.finish(
        title=titles[0] if len(titles) == 1 else f"{len(titles)} marks, {titles[0]} to {titles[-1]}",
        subject="Nameplates of change parts",
    )


def _page_points(dots: int, per_mm: float) -> float:
    """Length of a page edge in points, a hair short: whoever rasterises rounds the dots up to whole ones."""
    return (math.ceil(dots * POINTS_PER_MM / per_mm * 1000 - 1e-6) - 1) / 1000


def _ticks(page: Page, per_mm: float) -> list[str]:
    if not page.ticks:
        return []
    lines = [f"{x1} {page.height_dots - y1} m {x2} {page.height_dots - y2} l" for x1, y1, x2, y2 in page.ticks]
    return [f"0 G {TICK_WIDTH_MM * per_mm:g} w", *lines, "S"]


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A mark as operators, in dots from its lower left corner.

    Attributes:
        size: width and height in dots.
        parts: band, texts and the like; other marks may show the same.
        symbols: its symbols, which are its own.
    """

    size: tuple[int, int]
    parts: tuple[str, ...]
    symbols: str


def _contents(file: PdfFile, layouts: Sequence[Layout]) -> list[str]:
    """The operators of each mark. Parts that several marks share come first, as a form, in the order of the layout.

    No text slips under its ground by that: whatever bears a text bears its ground too, so both are shared or neither.
    """
    drawn = _draw(file, layouts)
    shown = Counter(part for mark in drawn for part in set(mark.parts))
    enough = max(2.0, _COMMON_PART * len(drawn))
    common = [(mark.size, tuple(part for part in mark.parts if shown[part] >= enough)) for mark in drawn]
    alike = Counter(common)
    forms: dict[tuple[tuple[int, int], tuple[str, ...]], str] = {}
    contents = []
    for mark, shared in zip(drawn, common, strict=True):
        own: Sequence[str] = mark.parts
        if shared[1] and alike[shared] > 1:
            if shared not in forms:
                forms[shared] = file.form("\n".join(shared[1]), *mark.size)
            own = [forms[shared], *(part for part in mark.parts if shown[part] < enough)]
        contents.append("\n".join([*own, mark.symbols]))
    return contents


def _draw(file: PdfFile, layouts: Sequence[Layout]) -> list[_Drawn]:
    known: dict[tuple[Item, float, int], str] = {}
    drawn = []
    for layout in layouts:
        parts, symbols = [], []
        for item in layout.items:
            if isinstance(item, PlacedSymbol):
                symbols.append(_symbol(item, layout))
                continue
            # Most items of a job are met again and again.
            part = known.get((item, layout.per_mm, layout.height_dots))
            if part is None:
                part = known[item, layout.per_mm, layout.height_dots] = _part(file, item, layout)
            parts.append(part)
        size = (layout.width_dots, layout.height_dots)
        drawn.append(_Drawn(size, tuple(parts), "\n".join(symbols)))
    return drawn


def _part(file: PdfFile, item: Block | Figure | TextRun, layout: Layout) -> str:
    match item:
        case Block():
            return _block(item, layout)
        case Figure():
            return _figure(item, layout)
        case TextRun():
            return _text(file, item, layout)


def _block(block: Block, layout: Layout) -> str:
    per_mm, extent = layout.per_mm, block.extent
    left, right = round(extent.left * per_mm), round(extent.right * per_mm)
    bottom, top = (layout.height_dots - round(edge * per_mm) for edge in (extent.bottom, extent.top))
    return _inked(block.rgb, f"{left} {bottom} {right - left} {top - bottom} re f")


def _figure(figure: Figure, layout: Layout) -> str:
    points = [
        f"{_number(x * layout.per_mm)} {_number(layout.height_dots - y * layout.per_mm)}" for x, y in figure.points
    ]
    return _inked(figure.rgb, f"{points[0]} m {' '.join(f'{point} l' for point in points[1:])} h f")


def _text(file: PdfFile, run: TextRun, layout: Layout) -> str:
    x, y = (
        _number(dots, 1) for dots in (run.x_mm * layout.per_mm, layout.height_dots - run.baseline_mm * layout.per_mm)
    )
    shown = file.text(run.text, run.weight, round(run.size_mm * layout.per_mm, 2))
    return _inked(run.rgb, f"BT {x} {y} Td {shown} ET")


def _symbol(symbol: PlacedSymbol, layout: Layout) -> str:
    bottom = layout.height_dots - symbol.top_dots - symbol.height_dots
    matrix = f"{symbol.module_dots} 0 0 {symbol.row_dots} {symbol.left_dots} {bottom}"
    return f"q {matrix} cm\n{_rectangles(symbol.modules)}\nf Q"


def _rectangles(modules: Modules) -> str:
    """The dark modules as one path, in modules, y up; equal shapes after each other, which compresses best."""
    found = sorted((height, width, x, y) for x, y, width, height in modules.rectangles())
    return "\n".join(f"{x} {modules.height - y - height} {width} {height} re" for height, width, x, y in found)


def _inked(rgb: Rgb, drawing: str) -> str:
    """Operators that draw in a colour; a page begins in black and is left in black."""
    if rgb == BLACK:
        return drawing
    return f"q {' '.join(_number(channel / 255, 4) for channel in rgb)} rg {drawing} Q"


def _number(value: float, digits: int = 2) -> str:
    return f"{round(value, digits) + 0.0:g}"
