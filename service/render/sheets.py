"""Imposition: which mark goes where on which page, in whole printer dots.

A roll has one mark a page. A sheet has as many as fit, with room for the knife between them and ticks to cut by.
Every origin lies on the dot grid, since a symbol of whole-dot modules is only sharp if it also begins on a dot.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from service.errors import BadRequest
from service.marks.dots import dots_covering, nearest_dot
from service.marks.items import Layout

Paper = Literal["roll", "a4", "letter"]

#: Width and height of the sheets in mm. A4: ISO 216. Letter: 8.5 × 11 in.
SHEET_SIZES_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}

#: What office printers leave white along the edge; kept where the marks leave room for it.
SHEET_MARGIN_MM = 8.0

#: Room for the knife between two marks, kept where the marks leave room for it.
GUTTER_MM = 4.0

#: Length of a cut tick and its distance from the mark.
TICK_MM, TICK_GAP_MM = 2.0, 0.8


@dataclass(frozen=True, slots=True)
class Placement:
    """A mark on a page: its index in the order given, and its upper left corner in dots, y down."""

    mark: int
    layout: Layout
    left_dots: int
    top_dots: int

    @property
    def right_dots(self) -> int:
        """Right edge of the mark."""
        return self.left_dots + self.layout.width_dots

    @property
    def bottom_dots(self) -> int:
        """Lower edge of the mark."""
        return self.top_dots + self.layout.height_dots


#: A straight line in dots: x1, y1, x2, y2, y down.
Tick = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Page:
    """A page in whole dots, with its marks and the ticks to cut them by."""

    width_dots: int
    height_dots: int
    marks: tuple[Placement, ...]
    ticks: tuple[Tick, ...] = ()


@dataclass(frozen=True, slots=True)
class Grid:
    """The cells of a sheet in whole dots: counted from 1, along a row, then the next row down.

    Attributes:
        width_dots: of the sheet.
        height_dots: of the sheet.
        cell: width and height of a cell.
        gutter_dots: between two cells.
        columns: cells in a row.
        rows: of cells.
    """

    width_dots: int
    height_dots: int
    cell: tuple[int, int]
    gutter_dots: int
    columns: int
    rows: int

    @classmethod
    def of(cls, paper: Paper, cell: tuple[int, int], dots_per_mm: float) -> Grid:
        """As many cells as a sheet takes.

        Raises:
            BadRequest: a paper that is not known, or one that is smaller than a cell.
        """
        if paper not in SHEET_SIZES_MM:
            raise BadRequest(
                "the service does not lay marks out on this paper",
                field="paper",
                value=paper,
                todo="Ask for roll, a4 or letter",
            )
        width, height = (dots_covering(length, dots_per_mm) for length in SHEET_SIZES_MM[paper])
        margin, gutter = nearest_dot(SHEET_MARGIN_MM, dots_per_mm), nearest_dot(GUTTER_MM, dots_per_mm)
        columns, rows = _count(width, cell[0], margin, gutter), _count(height, cell[1], margin, gutter)
        if not (columns and rows):
            # No room for the paper's margin: the marks go edge to edge and their own margin has to do, as for A5 on A4.
            gutter = 0
            columns, rows = _count(width, cell[0], 0, 0), _count(height, cell[1], 0, 0)
        if not (columns and rows):
            raise BadRequest(
                f"a mark of {cell[0] / dots_per_mm:.0f} × {cell[1] / dots_per_mm:.0f} mm is larger than the paper",
                field="paper",
                value=paper,
                todo="Print on a roll, or choose a smaller format",
            )
        return cls(width, height, cell, gutter, columns, rows)

    @property
    def cells(self) -> int:
        """How many marks a sheet takes."""
        return self.columns * self.rows

    def place(self, index: int) -> tuple[int, int]:
        """Upper left corner of a cell, counted from 0; the cells stand in the middle of the sheet."""
        across, down = (length + self.gutter_dots for length in self.cell)
        left = (self.width_dots - self.columns * across + self.gutter_dots) // 2
        top = (self.height_dots - self.rows * down + self.gutter_dots) // 2
        return left + index % self.columns * across, top + index // self.columns * down


def impose(
    layouts: Iterable[Layout],
    *,
    paper: Paper,
    dots_per_mm: float,
    start_cell: int = 1,
    cell: tuple[int, int] | None = None,
) -> Iterator[Page]:
    """Pages of marks, in the order given.

    Args:
        layouts: the marks; they are taken page by page when ``cell`` is given, or the paper is a roll.
        paper: on which they are printed.
        dots_per_mm: of the printer.
        start_cell: the first free cell of the first sheet, from 1, for a sheet of which some marks are taken already.
        cell: width and height in dots of the room that each mark gets; unless said that of the largest.

    Raises:
        BadRequest: a paper that is not known, no marks, a mark larger than the paper, marks that were laid out for
            another resolution, or a cell that no sheet has.
    """
    marks = _checked(layouts, dots_per_mm)
    if paper == "roll":
        if start_cell != 1:
            raise BadRequest(
                "a roll has one mark a page and no cells to begin at",
                field="start_cell",
                value=start_cell,
                todo="Leave it out, or ask for a4 or letter",
            )
        for index, layout in enumerate(marks):
            yield Page(layout.width_dots, layout.height_dots, (Placement(index, layout, 0, 0),))
        return
    if cell is None:
        held = tuple(marks)
        marks = iter(held)
        cell = max(layout.width_dots for layout in held), max(layout.height_dots for layout in held)
    grid = Grid.of(paper, cell, dots_per_mm)
    if not 1 <= start_cell <= grid.cells:
        raise BadRequest(
            f"a sheet of these marks has {grid.cells} cells, {grid.columns} in each of {grid.rows} rows",
            field="start_cell",
            value=start_cell,
            todo=f"Give the first free one, from 1 to {grid.cells}, counted along the rows",
        )
    yield from _sheets(enumerate(marks), grid, start_cell - 1, dots_per_mm)


def _checked(layouts: Iterable[Layout], dots_per_mm: float) -> Iterator[Layout]:
    none = True
    for layout in layouts:
        none = False
        if abs(layout.per_mm - dots_per_mm) > 1e-9:
            raise BadRequest(
                f"{layout.title} was laid out for {layout.per_mm * 25.4:.1f} dpi",
                field="dpi",
                value=f"{dots_per_mm * 25.4:.1f}",
                todo="Lay the marks out for the printer that prints them",
            )
        yield layout
    if none:
        raise BadRequest("there are no marks to print", field="marks", value=0, todo="Choose a kit or segment")


def _sheets(marks: Iterator[tuple[int, Layout]], grid: Grid, taken: int, per_mm: float) -> Iterator[Page]:
    while some := list(islice(marks, grid.cells - taken)):
        placements = tuple(
            Placement(index, layout, *grid.place(cell)) for cell, (index, layout) in enumerate(some, taken)
        )
        yield Page(
            grid.width_dots,
            grid.height_dots,
            placements,
            tuple(_ticks(placements, grid.width_dots, grid.height_dots, per_mm)),
        )
        taken = 0


def _count(length: int, cell: int, margin: int, gutter: int) -> int:
    return (length - 2 * margin + gutter) // (cell + gutter)


def _ticks(placements: Sequence[Placement], width: int, height: int, per_mm: float) -> Iterator[Tick]:
    """Ticks in line with each mark's edges, outside it, on the paper, and on no other mark."""
    near, far = nearest_dot(TICK_GAP_MM, per_mm), nearest_dot(TICK_GAP_MM + TICK_MM, per_mm)
    seen: set[Tick] = set()
    for mark in placements:
        wanted: list[Tick] = []
        for x in (mark.left_dots, mark.right_dots):
            wanted += [
                (x, mark.top_dots - far, x, mark.top_dots - near),
                (x, mark.bottom_dots + near, x, mark.bottom_dots + far),
            ]
        for y in (mark.top_dots, mark.bottom_dots):
            wanted += [
                (mark.left_dots - far, y, mark.left_dots - near, y),
                (mark.right_dots + near, y, mark.right_dots + far, y),
            ]
        for tick in wanted:
            x1, y1, x2, y2 = tick
            on_paper = x1 >= 0 and y1 >= 0 and x2 <= width and y2 <= height
            clear = all(
                x2 <= other.left_dots or x1 >= other.right_dots or y2 <= other.top_dots or y1 >= other.bottom_dots
                for other in placements
            )
            if on_paper and clear and tick not in seen:
                seen.add(tick)
                yield tick
