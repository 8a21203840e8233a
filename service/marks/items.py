"""A mark that is laid out: what is printed where, in millimetres from its upper left corner, y down.

Whatever must be sharp lies on the printer's dots: symbols in whole dots a module, blocks with their edges on dots.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.marks.dots import dots_covering
from service.marks.lettering import Weight
from service.marks.symbols import QUIET_ZONE_MODULES, Modules, SymbolKind

Rgb = tuple[int, int, int]
BLACK: Rgb = (0, 0, 0)
WHITE: Rgb = (255, 255, 255)


@dataclass(frozen=True, slots=True)
class Extent:
    """A rectangle in mm: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Extent, *, slack_mm: float = 1e-6) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left < other.right - slack_mm
            and other.left < self.right - slack_mm
            and self.top < other.bottom - slack_mm
            and other.top < self.bottom - slack_mm
        )

    def holds(self, other: Extent, *, slack_mm: float = 1e-6) -> bool:
        """Whether the other lies wholly inside."""
        return (
            self.left <= other.left + slack_mm
            and self.top <= other.top + slack_mm
            and self.right >= other.right - slack_mm
            and self.bottom >= other.bottom - slack_mm
        )

    def around(self, other: Extent) -> Extent:
        """The smallest rectangle that holds both."""
        return Extent(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def distance_to(self, x_mm: float, y_mm: float) -> float:
        """Distance of a point from the rectangle, 0 inside."""
        across = max(self.left - x_mm, 0.0, x_mm - self.right)
        along = max(self.top - y_mm, 0.0, y_mm - self.bottom)
        return float((across * across + along * along) ** 0.5)


@dataclass(frozen=True, slots=True)
class Block:
    """A filled rectangle with its edges on dots: the colour band, a rule, or the ground of reversed letters.

    Attributes:
        role: ``band``, ``rule`` or ``ground``.
        extent: where it lies.
        rgb: its colour.
    """

    role: str
    extent: Extent
    rgb: Rgb


@dataclass(frozen=True, slots=True)
class Figure:
    """A filled polygon: a part of the shape that stands for a stock colour."""

    points: tuple[tuple[float, float], ...]
    rgb: Rgb

    @property
    def extent(self) -> Extent:
        """The rectangle round it."""
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return Extent(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class Area:
    """A filled area that may have holes, with a line round it: a part of a plan, a silhouette, a frame's triangle.

    Attributes:
        role: ``plan``, ``silhouette`` or ``frame``.
        rings: its outlines, filled even-odd; not closed.
        rgb: its colour.
        line_rgb: the colour of the line along its outlines.
        line_mm: thickness of that line, 0 for none.
    """

    role: str
    rings: tuple[tuple[tuple[float, float], ...], ...]
    rgb: Rgb
    line_rgb: Rgb = BLACK
    line_mm: float = 0.0

    @property
    def extent(self) -> Extent:
        """The rectangle round it and its line."""
        xs, ys = zip(*(point for ring in self.rings for point in ring), strict=True)
        half = self.line_mm / 2
        return Extent(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)


@dataclass(frozen=True, slots=True)
class TextRun:
    """A line of letters of one weight.

    Attributes:
        field: the template field it comes from.
        text: what it says.
        x_mm: where its first letter begins.
        baseline_mm: where its letters stand.
        cap_height_mm: height of its capitals.
        size_mm: em size that gives this capital height.
        width_mm: sum of its advance widths.
        rise_mm: how far its ink rises above the base line.
        drop_mm: how far its ink falls below.
        weight: of its letters.
        rgb: their colour.
        ground_rgb: what they stand on.
        reading_distance_mm: from where they must be legible.
    """

    field: str
    text: str
    x_mm: float
    baseline_mm: float
    cap_height_mm: float
    size_mm: float
    width_mm: float
    rise_mm: float
    drop_mm: float
    weight: Weight
    rgb: Rgb
    ground_rgb: Rgb
    reading_distance_mm: float

    @property
    def extent(self) -> Extent:
        """The rectangle that holds all its ink."""
        return Extent(
            self.x_mm, self.baseline_mm - self.rise_mm, self.x_mm + self.width_mm, self.baseline_mm + self.drop_mm
        )


@dataclass(frozen=True, slots=True)
class PlacedSymbol:
    """A symbol on the dot grid.

    Attributes:
        kind: of symbol.
        text: what it holds.
        modules: its modules without the quiet zone.
        left_dots: left edge of its first module.
        top_dots: upper edge of its first module.
        module_dots: width of a module.
        row_dots: height of a row; the bar height of a Code 128, else ``module_dots``.
        per_mm: dots per millimetre.
    """

    kind: SymbolKind
    text: str
    modules: Modules
    left_dots: int
    top_dots: int
    module_dots: int
    row_dots: int
    per_mm: float

    @property
    def width_dots(self) -> int:
        """Width without the quiet zone."""
        return self.modules.width * self.module_dots

    @property
    def height_dots(self) -> int:
        """Height without the quiet zone."""
        return self.modules.height * self.row_dots

    @property
    def quiet_dots(self) -> tuple[int, int]:
        """Width of the quiet zone at the sides, and above and below (a Code 128 needs none there)."""
        quiet = QUIET_ZONE_MODULES[self.kind] * self.module_dots
        return quiet, 0 if self.kind == "code128" else quiet

    @property
    def module_mm(self) -> float:
        """Width of a module."""
        return self.module_dots / self.per_mm

    @property
    def extent(self) -> Extent:
        """The rectangle of its modules."""
        return Extent(
            self.left_dots / self.per_mm,
            self.top_dots / self.per_mm,
            (self.left_dots + self.width_dots) / self.per_mm,
            (self.top_dots + self.height_dots) / self.per_mm,
        )

    @property
    def quiet_extent(self) -> Extent:
        """The rectangle of its modules and quiet zone."""
        across, along = self.quiet_dots
        inner = self.extent
        return Extent(
            inner.left - across / self.per_mm,
            inner.top - along / self.per_mm,
            inner.right + across / self.per_mm,
            inner.bottom + along / self.per_mm,
        )


Item = Block | Figure | Area | TextRun | PlacedSymbol


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A hole, and the radius round its centre that text and symbols keep clear of."""

    x_mm: float
    y_mm: float
    hole_radius_mm: float
    radius_mm: float


@dataclass(frozen=True, slots=True)
class Layout:
    """A mark for one printer resolution, ready for any writer.

    Attributes:
        template: name of the template it was laid out with.
        title: what the mark is of, for the properties of a document.
        width_mm: of the mark.
        height_mm: of the mark.
        corner_radius_mm: of its corners; they are not printed.
        margin_mm: the strip along the edge that text and symbols keep clear of.
        per_mm: dots per millimetre.
        keep_outs: holes; they are not printed either.
        items: what is printed, in this order, later over earlier.
    """

    template: str
    title: str
    width_mm: float
    height_mm: float
    corner_radius_mm: float
    margin_mm: float
    per_mm: float
    keep_outs: tuple[KeepOut, ...]
    items: tuple[Item, ...]

    @property
    def width_dots(self) -> int:
        """The fewest whole dots that cover its width."""
        return dots_covering(self.width_mm, self.per_mm)

    @property
    def height_dots(self) -> int:
        """The fewest whole dots that cover its height."""
        return dots_covering(self.height_mm, self.per_mm)

    def symbols(self) -> Iterator[PlacedSymbol]:
        """Its symbols."""
        return (item for item in self.items if isinstance(item, PlacedSymbol))

    def texts(self) -> Iterator[TextRun]:
        """Its lines of letters."""
        return (item for item in self.items if isinstance(item, TextRun))
