"""The pieces of the paper book: type, chapter heads, page references, the cover's band, tables of label and value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Paragraph, Spacer, Table

from service.marks.lettering import Weight
from service.outlines.drawing import Drawing
from service.render.fonts import pdf_font
from service.render.sheet_parts import INK, RULE, SheetStyles, legible, paragraph, sheet_styles
from service.render.sheet_tables import TIGHT
from service.rules.colours import Shape, best_ink

CHAPTERS = (
    ("find", "1  How to find a part"),
    ("number", "2  How to read a number"),
    ("check", "3  How the check of a number is computed"),
    ("key", "4  How a key is checked"),
    ("revision", "5  Which revision to cut"),
    ("plans", "6  Plans and segment tables"),
    ("segments", "7  Segment pages"),
    ("joints", "8  Joint table"),
    ("materials", "9  Materials and colours"),
    ("others", "10  The machine, other kits, spent numbers"),
    ("pages", "11  How a page proves itself"),
    ("index", "12  Index of keys and older marks"),
    ("notes", "13  Written in by hand"),
)
"""Names and heads of the chapters."""

Cell = Any
"""A flowable or a list of them; reportlab carries no types."""

SHADE = HexColor("#eef2ed")
TEXT_PT = 9.5
TABLE_PT = 8.0
BAND = 3.0
_CHAPTER_NEEDS = 75 * mm
"""A chapter begins on the next page where less than this is left."""
_SPLIT_ABOVE = 90 * mm
"""Rows stay whole unless one is taller than this."""


@dataclass(frozen=True, slots=True)
class Pages:
    """Where chapters and segments begin; filled while a book is set, read when it is set again."""

    found: dict[str, int] = field(default_factory=dict)

    def of(self, name: str) -> str:
        """The page of a chapter or a number; a blank as long as it is not known."""
        page = self.found.get(name)
        return "" if page is None else str(page)


@dataclass(frozen=True, slots=True)
class Setting:
    """What the chapters are set with: width, type, outlines by name, and the pages of the last setting."""

    width: float
    height: float
    outlines: Mapping[str, Drawing]
    pages: Pages
    now: Pages
    text: SheetStyles = field(default_factory=lambda: sheet_styles(TEXT_PT, bar_colour=INK))
    small: SheetStyles = field(default_factory=lambda: sheet_styles(TABLE_PT, bar_colour=INK))
    body: ParagraphStyle = field(
        default_factory=lambda: sized("body", "regular", TEXT_PT, leading=1.36, spaceAfter=0.5 * TEXT_PT)
    )
    code: ParagraphStyle = field(default_factory=lambda: sized("code", "bold", 12))


class Milestone(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """Nothing to see: notes the page of a chapter or a segment, and makes it a target of links and of the outline."""

    def __init__(self, setting: Setting, name: str, title: str, *, level: int, before: float = 0.0) -> None:
        super().__init__()
        self.spaceBefore = before
        self._pages, self._name, self._title, self._level = setting.now, name, legible(title, "regular"), level

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """No room is taken."""
        return 0, 0

    def draw(self) -> None:
        """Note the page."""
        self._pages.found.setdefault(self._name, self.canv.getPageNumber())
        self.canv.bookmarkHorizontal(self._name, 0, 14)
        self.canv.addOutlineEntry(self._title, self._name, level=self._level, closed=self._level > 0)


class ShapePatch(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """The shape that stands for a stock colour, in its ink."""

    def __init__(self, shape: Shape, ink: tuple[int, int, int], side: float) -> None:
        super().__init__()
        self._shape, self._ink = shape, ink
        self.width = self.height = side
        self.hAlign = "RIGHT"

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Fill every polygon of the shape."""
        self.canv.setFillColorRGB(*(level / 255 for level in self._ink))
        for polygon in self._shape.polygons:
            path = self.canv.beginPath()
            for index, (x, y) in enumerate(polygon):
                (path.lineTo if index else path.moveTo)(round(x * self.width, 2), round(y * self.height, 2))
            path.close()
            self.canv.drawPath(path, stroke=0, fill=1)


def sized(
    name: str, weight: Weight, size: float, *, colour: Color = INK, leading: float = 1.22, **more: float
) -> ParagraphStyle:
    """A paragraph style of one size."""
    return ParagraphStyle(
        name, fontName=pdf_font(weight), fontSize=size, leading=leading * size, textColor=colour, **more
    )


def head(setting: Setting, name: str) -> list[Flowable]:
    """The head of a chapter by its name."""
    return _chapter(setting, name, dict(CHAPTERS)[name])


def _chapter(setting: Setting, name: str, title: str) -> list[Flowable]:
    """The head of a chapter over a rule."""
    return [
        Milestone(setting, name, title, level=0),
        Table(
            [[paragraph(title, sized("chapter", "bold", 16), "bold")]],
            colWidths=[setting.width],
            style=[*TIGHT, ("LINEBELOW", (0, 0), (-1, -1), 1.2, INK), ("BOTTOMPADDING", (0, 0), (-1, -1), 5)],
            spaceAfter=3 * mm,
        ),
    ]


def gap(needs: float = _CHAPTER_NEEDS) -> list[Flowable]:
    """Between two chapters that may share a page, when the second has the height in points that it needs."""
    return [Spacer(0, 6 * mm), CondPageBreak(needs)]


def prose(setting: Setting, *texts: str) -> list[Flowable]:
    """Running text, one paragraph each."""
    return [paragraph(text, setting.body) for text in texts]


def numbered(setting: Setting, texts: Sequence[str]) -> Table:
    """Steps with their figures."""
    rows = [
        [paragraph(f"{n}", setting.text.strong, "bold"), paragraph(text, setting.body)]
        for n, text in enumerate(texts, 1)
    ]
    return Table(rows, colWidths=[6 * mm, setting.width - 6 * mm], splitInRow=1, style=TIGHT)


def fact_table(styles: SheetStyles, width: float, rows: Sequence[tuple[str, str]], label_width: float) -> Table:
    """Labels and values over hairlines."""
    return Table(
        [[paragraph(label, styles.label), paragraph(value, styles.text)] for label, value in rows] or [["", ""]],
        colWidths=[label_width, width - label_width],
        splitInRow=1,
        style=[
            *TIGHT,
            ("LINEBELOW", (0, 0), (-1, -1), 0.3, RULE),
            ("TOPPADDING", (0, 0), (-1, -1), 1.3),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.9),
        ],
    )


def number_cell(number: str, styles: SheetStyles) -> Paragraph:
    """A number whose check stands out."""
    body, hyphen, check = number.rpartition("-")
    bold = pdf_font("bold")
    return Paragraph(
        f'{escape(legible(body + hyphen, "regular"))}<font name="{bold}">{escape(legible(check, "bold"))}</font>',
        styles.text,
    )


def linked(text: str, name: str, style: ParagraphStyle) -> Paragraph:
    """A text that leads to a chapter or a segment."""
    return Paragraph(f'<a href="#{escape(name)}" color="#15211e">{escape(legible(text, "regular"))}</a>', style)


def ink_on(colour: tuple[int, int, int]) -> tuple[int, int, int]:
    """The ink that can be read on a colour, in sRGB."""
    return (0, 0, 0) if best_ink(colour) == "black" else (255, 255, 255)


def colour_of(rgb: tuple[int, int, int]) -> Color:
    """An sRGB colour as reportlab takes it."""
    return Color(*(level / 255 for level in rgb))


def grid_table(
    styles: SheetStyles,
    widths: Sequence[float],
    heads: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    *,
    shaded: bool = True,
) -> Table:
    """Rows of cells under a head that repeats on the next page; every second row is shaded."""
    cells = [[paragraph(head, styles.label) for head in heads], *rows]
    bands = [("BACKGROUND", (0, row), (-1, row), SHADE) for row in range(2, len(cells), 2)] if shaded else []
    return Table(
        cells,
        colWidths=list(widths),
        repeatRows=1,
        splitInRow=int(_tallest(widths, rows) > _SPLIT_ABOVE),
        style=[
            *bands,
            *TIGHT,
            ("LEFTPADDING", (0, 0), (-1, -1), BAND),
            ("RIGHTPADDING", (0, 0), (-1, -1), BAND),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, RULE),
            ("TOPPADDING", (0, 0), (-1, -1), 1.6),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
        ],
    )


def text_rows(setting: Setting, heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float]) -> Table:
    """Rows of text, the first column bold."""
    return grid_table(
        setting.text,
        [share * setting.width for share in shares],
        heads,
        [
            [paragraph(row[0], setting.text.strong, "bold"), *(paragraph(text, setting.text.text) for text in row[1:])]
            for row in rows
        ],
        shaded=False,
    )


def _tallest(widths: Sequence[float], rows: Sequence[Sequence[Cell]]) -> float:
    """The height of the tallest cell."""
    return max(
        (
            sum(one.wrap(width - 2 * BAND, 1e6)[1] for one in (cell if isinstance(cell, list) else [cell]))
            for row in rows
            for width, cell in zip(widths, row, strict=True)
        ),
        default=0.0,
    )
