"""Marks as PDF: one mark a page for a roll, or as many as fit on A4 and Letter sheets.

Everything is drawn in the printer's dots: one scale at the head of a page, whole numbers after it. Symbols are vector
rectangles, one path a symbol; one that is met again, on the same mark or another, is in the file once. So is what many
marks of a job show alike, as the container, the band and the shop. Marks are taken, drawn and written some at a time,
so that a long job needs no more room than a short one. Equal input gives equal bytes.
"""

from __future__ import annotations

import hashlib
import io
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import IO

from service.marks.items import BLACK, Area, Block, Figure, Item, Layout, PlacedSymbol, Rgb, TextRun
from service.marks.symbols import Modules
from service.render.pdf_file import PdfFile
from service.render.sheets import Page, Paper, impose

POINTS_PER_MM = 72 / 25.4

#: Thickness of cut ticks.
TICK_WIDTH_MM = 0.15

#: What at least this part of some marks show is worth a form of its own.
_COMMON_PART = 0.2

#: So many marks are looked at together for what they have in common.
_TOGETHER = 32


def pdf(layouts: Iterable[Layout], *, paper: Paper, dots_per_mm: float, start_cell: int = 1) -> bytes:
    """A PDF file of marks, in the order given; errors as for :func:`write_pdf`."""
    stream = io.BytesIO()
    write_pdf(stream, layouts, paper=paper, dots_per_mm=dots_per_mm, start_cell=start_cell)
    return stream.getvalue()


def write_pdf(
    stream: IO[bytes],
    layouts: Iterable[Layout],
    *,
    paper: Paper,
    dots_per_mm: float,
    start_cell: int = 1,
    cell: tuple[int, int] | None = None,
) -> int:
    """Write a PDF file of marks, in the order given, and say how many marks are in it.

    Args:
        stream: where the file goes.
        layouts: the marks, taken some at a time where :func:`service.render.sheets.impose` takes them so.
        paper: on which they are printed.
        dots_per_mm: of the printer.
        start_cell: the first free cell of the first sheet.
        cell: room of a mark on a sheet in dots; unless said that of the largest.

    Raises:
        BadRequest: no marks, an unknown paper, a mark larger than the paper, one laid out for another resolution, or a
            cell that no sheet has.
    """
    pages = impose(layouts, paper=paper, dots_per_mm=dots_per_mm, start_cell=start_cell, cell=cell)
    pen: _Pen | None = None
    titles: list[str] = []
    count = 0
    for some in _together(pages):
        placed = [placement.layout for page in some for placement in page.marks]
        sizes = [
            (_page_points(page.width_dots, dots_per_mm), _page_points(page.height_dots, dots_per_mm)) for page in some
        ]
        if pen is None:
            pen = _Pen(PdfFile(stream, width=sizes[0][0], height=sizes[0][1]))
        contents = iter(pen.contents(placed))
        for page, (width, height) in zip(some, sizes, strict=True):
            pen.file.page(_page_content(page, contents, dots_per_mm), width, height)
        titles = [*titles[:1], placed[0].title, placed[-1].title]
        count += len(placed)
    assert pen is not None  # no marks at all were refused
    pen.file.finish(
        title=titles[0] if count == 1 else f"{count} marks, {titles[0]} to {titles[-1]}",
        subject="Nameplates of change parts",
    )
    return count


def _together(pages: Iterable[Page]) -> Iterator[list[Page]]:
    some: list[Page] = []
    for page in pages:
        some.append(page)
        if sum(len(one.marks) for one in some) >= _TOGETHER:
            yield some
            some = []
    if some:
        yield some


def _page_content(page: Page, marks: Iterator[str], dots_per_mm: float) -> str:
    scale = f"{POINTS_PER_MM / dots_per_mm:.6f}"
    drawn = [f"{scale} 0 0 {scale} 0 0 cm"]
    for placement in page.marks:
        left, bottom = placement.left_dots, page.height_dots - placement.bottom_dots
        content = next(marks)
        drawn.append(f"q 1 0 0 1 {left} {bottom} cm\n{content}\nQ" if left or bottom else content)
    return "\n".join(drawn + _ticks(page, dots_per_mm))


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
        symbols: where each symbol is, as a matrix, and its modules.
    """

    size: tuple[int, int]
    parts: tuple[str, ...]
    symbols: tuple[tuple[str, Modules], ...]


class _Pen:
    """Draws marks into a file, some at a time, and knows what is in the file already."""

    def __init__(self, file: PdfFile) -> None:
        self.file = file
        # What was shown by several marks is likely to come again.
        self._known: dict[tuple[Item, float, int], str] = {}
        self._forms: dict[tuple[tuple[int, int], tuple[str, ...]], str] = {}
        # Symbols by their modules, with the operator of their form, or None while each was met only once.
        self._symbols: dict[bytes, str | None] = {}

    def contents(self, layouts: Sequence[Layout]) -> list[str]:
        """The operators of each mark. Parts that several share come first, as a form, in the order of the layout.

        No text slips under its ground by that: whatever bears a text bears its ground too, so both are shared or
        neither.
        """
        drawn = self._draw(layouts)
        shown = Counter(part for mark in drawn for part in set(mark.parts))
        enough = max(2.0, _COMMON_PART * len(drawn))
        common = [(mark.size, tuple(part for part in mark.parts if shown[part] >= enough)) for mark in drawn]
        alike = Counter(common)
        met = Counter(_digest(modules) for mark in drawn for _, modules in mark.symbols)
        contents = []
        for mark, shared in zip(drawn, common, strict=True):
            if shared[1] and alike[shared] > 1 and shared not in self._forms:
                self._forms[shared] = self.file.form("\n".join(shared[1]), *mark.size)
            whole = self._form_of(mark, shared)
            own = mark.parts if whole is None else tuple(part for part in mark.parts if part not in whole[1])
            forms = () if whole is None else (self._forms[whole],)
            contents.append("\n".join([*forms, *own, *self._placed(mark.symbols, met)]))
        self._known = {key: part for key, part in self._known.items() if shown[part] > 1}
        return contents

    def _form_of(
        self, mark: _Drawn, shared: tuple[tuple[int, int], tuple[str, ...]]
    ) -> tuple[tuple[int, int], tuple[str, ...]] | None:
        """The form that a mark shows, if there is one: what it shares with those beside it, else with earlier ones."""
        if shared in self._forms:
            return shared
        parts = set(mark.parts)
        return max(
            (form for form in self._forms if form[0] == mark.size and parts.issuperset(form[1])),
            key=lambda form: len(form[1]),
            default=None,
        )

    def _placed(self, symbols: Sequence[tuple[str, Modules]], met: Counter[bytes]) -> Iterator[str]:
        for matrix, modules in symbols:
            digest = _digest(modules)
            drawing = self._symbols.get(digest)
            if drawing is None:
                drawing = f"{_rectangles(modules)}\nf"
                if met[digest] > 1 or digest in self._symbols:
                    drawing = self._symbols[digest] = self.file.form(
                        drawing, modules.width, modules.height, letters=False
                    )
                else:
                    self._symbols[digest] = None
            yield f"q {matrix} cm\n{drawing} Q"

    def _draw(self, layouts: Sequence[Layout]) -> list[_Drawn]:
        drawn = []
        for layout in layouts:
            parts, symbols = [], []
            for item in layout.items:
                if isinstance(item, PlacedSymbol):
                    bottom = layout.height_dots - item.top_dots - item.height_dots
                    symbols.append((f"{item.module_dots} 0 0 {item.row_dots} {item.left_dots} {bottom}", item.modules))
                    continue
                # Most items of a job are met again and again.
                part = self._known.get((item, layout.per_mm, layout.height_dots))
                if part is None:
                    part = _part(self.file, item, layout)
                    self._known[item, layout.per_mm, layout.height_dots] = part
                parts.append(part)
            drawn.append(_Drawn((layout.width_dots, layout.height_dots), tuple(parts), tuple(symbols)))
        return drawn


def _digest(modules: Modules) -> bytes:
    """By what symbols of the same modules are known again; two different ones never share it in practice."""
    rows = b"".join(bytes(row) for row in modules.rows)
    return hashlib.blake2b(rows + modules.width.to_bytes(2, "big"), digest_size=16).digest()


def _part(file: PdfFile, item: Block | Figure | Area | TextRun, layout: Layout) -> str:
    match item:
        case Block():
            return _block(item, layout)
        case Figure():
            return _figure(item, layout)
        case Area():
            return _area(item, layout)
        case TextRun():
            return _text(file, item, layout)


def _block(block: Block, layout: Layout) -> str:
    per_mm, extent = layout.per_mm, block.extent
    left, right = round(extent.left * per_mm), round(extent.right * per_mm)
    bottom, top = (layout.height_dots - round(edge * per_mm) for edge in (extent.bottom, extent.top))
    return _inked(block.rgb, f"{left} {bottom} {right - left} {top - bottom} re f")


def _figure(figure: Figure, layout: Layout) -> str:
    points = [_corner(point, layout) for point in figure.points]
    return _inked(figure.rgb, f"{points[0]} m {' '.join(f'{point} l' for point in points[1:])} h f")


def _area(area: Area, layout: Layout) -> str:
    """An area filled even-odd, with its line (ISO 32000-1, 8.5.3: ``B*`` fills and strokes)."""
    path = " ".join(
        f"{_corner(ring[0], layout)} m {' '.join(f'{_corner(point, layout)} l' for point in ring[1:])} h"
        for ring in area.rings
    )
    if not area.line_mm:
        return _inked(area.rgb, f"{path} f*")
    line = " ".join(_number(channel / 255, 4) for channel in area.line_rgb)
    width = _number(area.line_mm * layout.per_mm)
    fill = " ".join(_number(channel / 255, 4) for channel in area.rgb)
    return f"q {fill} rg {line} RG {width} w 1 j {path} B* Q"


def _corner(point: tuple[float, float], layout: Layout) -> str:
    x, y = point
    return f"{_number(x * layout.per_mm)} {_number(layout.height_dots - y * layout.per_mm)}"


def _text(file: PdfFile, run: TextRun, layout: Layout) -> str:
    x, y = (
        _number(dots, 1) for dots in (run.x_mm * layout.per_mm, layout.height_dots - run.baseline_mm * layout.per_mm)
    )
    shown = file.text(run.text, run.weight, round(run.size_mm * layout.per_mm, 2))
    return _inked(run.rgb, f"BT {x} {y} Td {shown} ET")


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
