"""Imposition: which mark goes where on which page, in whole printer dots.

A roll has one mark a page. A sheet has as many as fit, with room for the knife between them and ticks to cut by.
Every origin lies on the dot grid, since a symbol of whole-dot modules is only sharp if it also begins on a dot.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
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


def impose(layouts: Iterable[Layout], *, paper: Paper, dots_per_mm: float) -> Iterator[Page]:
    """Pages of marks, in the order given. On sheets all marks get the room of the largest.

    Raises:
        BadRequest: a paper that is not known, no marks, a mark larger than the paper, or marks that were laid out for
            another resolution.
    """
    marks = tuple(layouts)
    if not marks:
        raise BadRequest("there are no marks to print", field="marks", value=0, todo="Choose a kit or segment")
    for layout in marks:
        if abs(layout.per_mm - dots_per_mm) > 1e-9:
            raise BadRequest(
                f"{layout.title} was laid out for {layout.per_mm * 25.4:.1f} dpi",
                field="dpi",
                value=f"{dots_per_mm * 25.4:.1f}",
                todo="Lay the marks out for the printer that prints them",
            )
    if paper == "roll":
        return (
            Page(layout.width_dots, layout.height_dots, (Placement(index, layout, 0, 0),))
            for index, layout in enumerate(marks)
        )
    if paper not in SHEET_SIZES_MM:
        raise BadRequest(
            "the service does not lay marks out on this paper",
            field="paper",
            value=paper,
            todo="Ask for roll, a4 or letter",
        )
    return _sheets(marks, paper, dots_per_mm)


def _sheets(marks: Sequence[Layout], paper: Paper, per_mm: float) -> Iterator[Page]:
    width, height = (dots_covering(length, per_mm) for length in SHEET_SIZES_MM[paper])
    cell_width = max(layout.width_dots for layout in marks)
    cell_height = max(layout.height_dots for layout in marks)
    margin, gutter = nearest_dot(SHEET_MARGIN_MM, per_mm), nearest_dot(GUTTER_MM, per_mm)
    columns, rows = _count(width, cell_width, margin, gutter), _count(height, cell_height, margin, gutter)
    if not (columns and rows):
        # No room for the paper's margin: the marks go edge to edge and their own margin has to do, as for A5 on A4.
        gutter = 0
        columns, rows = _count(width, cell_width, 0, 0), _count(height, cell_height, 0, 0)
    if not (columns and rows):
        raise BadRequest(
            f"a mark of {cell_width / per_mm:.0f} × {cell_height / per_mm:.0f} mm is larger than the paper",
            field="paper",
            value=paper,
            todo="Print on a roll, or choose a smaller format",
        )
    left = (width - columns * cell_width - (columns - 1) * gutter) // 2
    top = (height - rows * cell_height - (rows - 1) * gutter) // 2
    for start in range(0, len(marks), columns * rows):
        placements = tuple(
            Placement(
                start + index,
                layout,
                left + index % columns * (cell_width + gutter),
                top + index // columns * (cell_height + gutter),
            )
            for index, layout in enumerate(marks[start : start + columns * rows])
        )
        yield Page(width, height, placements, tuple(_ticks(placements, width, height, per_mm)))


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
