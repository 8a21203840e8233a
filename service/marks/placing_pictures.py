"""A picture of a template becomes items of the layout: the plan of the kit, or the silhouette of its container."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from schemas.label_template import Picture
from service.marks.content import MarkFacts, composed
from service.marks.items import BLACK, WHITE, Area, Item, TextRun
from service.marks.kit_plan import KitPlan, PlanPanel
from service.marks.lettering import FontMetrics, Typeface
from service.marks.silhouette import silhouette

#: Capitals of the words over a panel, and from where they are read: 15 minutes of arc (NUREG-0700 rev. 3, 11.4.1.5-1).
LABEL_CAP_MM, LABEL_DISTANCE_MM = 2.2, 500.0
#: Height of a panel's label, with the white under it.
_LABEL_MM = LABEL_CAP_MM + 1.3
#: White between panels beside and above each other.
_GAP_MM = 3.0
#: White where the panels of a very large kit stand close, and the least size of its largest panel with labels.
_CLOSE_GAP_MM, _LEAST_PANEL_MM = 0.6, 8.0
#: Lines round the parts.
_LINE_MM = 0.2
#: Halvings of the search for the scale.
_SEARCH = 24


@dataclass(frozen=True, slots=True, eq=False)
class _Cell:
    """A panel on its way into a row, with its label, how wide and high that is, and the white beside the panel."""

    panel: PlanPanel
    label: str
    label_mm: float
    above_mm: float
    gap_mm: float

    def width_mm(self, scale: float) -> float:
        return max(self.panel.width_mm * scale + _LINE_MM, self.label_mm)

    def height_mm(self, scale: float) -> float:
        return self.above_mm + self.panel.height_mm * scale + _LINE_MM


def place_picture(picture: Picture, facts: MarkFacts, typeface: Typeface, *, black_only: bool) -> list[Item]:
    """The picture as large as its box allows; nothing where the facts have none.

    Raises:
        MissingGlyph: the face lacks a letter of a panel's label.
    """
    if picture.kind == "silhouette":
        return _silhouette(picture, facts)
    if facts.plan is None or not facts.plan.panels:
        return []
    return _plan(picture, facts.plan, facts.number, typeface, black_only=black_only)


def picture_text(picture: Picture, facts: MarkFacts) -> str:
    """What tells one picture of this kind from another: equal texts are drawn equally."""
    if picture.kind == "silhouette":
        return repr(facts.container)
    return "" if facts.plan is None else f"{facts.plan.kit} {hash(facts.plan)} {facts.number}"


def _silhouette(picture: Picture, facts: MarkFacts) -> list[Item]:
    if facts.container is None:
        return []
    outline = silhouette(facts.container)
    width, height = facts.container.width_mm, facts.container.height_mm
    scale = min(picture.width_mm / width, picture.height_mm / height)
    left, top = _aligned(picture, width * scale, height * scale)
    middle, foot = left + width * scale / 2, top + height * scale
    return [Area("silhouette", (tuple((middle + x * scale, foot - y * scale) for x, y in outline),), BLACK)]


def _aligned(picture: Picture, width_mm: float, height_mm: float) -> tuple[float, float]:
    """Left and upper edge of something of this size in the picture's box."""
    spare_x, spare_y = picture.width_mm - width_mm, picture.height_mm - height_mm
    return (
        picture.x_mm + {"left": 0.0, "centre": spare_x / 2, "right": spare_x}[picture.align],
        picture.y_mm + {"top": 0.0, "middle": spare_y / 2, "bottom": spare_y}[picture.valign],
    )


def _plan(picture: Picture, plan: KitPlan, number: str, typeface: Typeface, *, black_only: bool) -> list[Item]:
    """All panels in one scale, in rows; the parts in their stock colours, the one that the mark stands for black.

    Where a kit has so many that labels would leave no room for them, the panels stand close and without labels.
    """
    metrics = typeface["regular"]
    labelled, close = [], []
    for panel in plan.panels:
        label = composed(panel.label)
        metrics.demand(label, field="plan")
        labelled.append(_Cell(panel, label, metrics.text_width_mm(label, LABEL_CAP_MM), _LABEL_MM, _GAP_MM))
        close.append(_Cell(panel, "", 0.0, 0.0, _CLOSE_GAP_MM))
    largest = max(max(panel.width_mm, panel.height_mm) for panel in plan.panels)
    scale, rows = _arranged(labelled, picture)
    if scale * largest < min(_LEAST_PANEL_MM, picture.width_mm / 2, picture.height_mm / 2):
        scale, rows = _arranged(close, picture)
    left, top = _aligned(picture, *_size(rows, scale))
    items: list[Item] = []
    for row in rows:
        x = left
        for cell in row:
            if cell.label:
                items.append(_label(cell, metrics, x, top))
            items += _panel(cell.panel, x, top + cell.above_mm, scale, number, black_only=black_only)
            x += cell.width_mm(scale) + cell.gap_mm
        top += max(cell.height_mm(scale) for cell in row) + row[0].gap_mm
    return items


def _label(cell: _Cell, metrics: FontMetrics, x: float, top: float) -> TextRun:
    rise = metrics.rise_mm(cell.label, LABEL_CAP_MM)
    return TextRun(
        field="plan",
        text=cell.label,
        x_mm=x,
        baseline_mm=top + rise,
        cap_height_mm=LABEL_CAP_MM,
        size_mm=metrics.size_mm(LABEL_CAP_MM),
        width_mm=cell.label_mm,
        rise_mm=rise,
        drop_mm=metrics.drop_mm(cell.label, LABEL_CAP_MM),
        weight="regular",
        rgb=BLACK,
        ground_rgb=WHITE,
        reading_distance_mm=LABEL_DISTANCE_MM,
    )


def _panel(panel: PlanPanel, left: float, top: float, scale: float, number: str, *, black_only: bool) -> list[Item]:
    foot = top + panel.height_mm * scale + _LINE_MM
    half = _LINE_MM / 2
    areas: list[Item] = []
    marked: list[Item] = []
    for shape in panel.shapes:
        rings = tuple(
            tuple((round(left + half + x * scale, 3), round(foot - half - y * scale, 3)) for x, y in ring)
            for ring in shape.rings
        )
        areas.append(Area("plan", rings, WHITE if black_only else shape.rgb, BLACK, _LINE_MM))
        if shape.number == number:
            # Drawn over its own colour, so that all else of the plan is the same on every mark of the kit.
            marked.append(Area("plan", rings, BLACK, BLACK, _LINE_MM))
    return areas + marked


def _arranged(cells: Sequence[_Cell], picture: Picture) -> tuple[float, list[list[_Cell]]]:
    """The largest scale at which the panels, in order, fill rows no wider and together no higher than the box."""
    low, high = (
        0.0,
        max(picture.width_mm, picture.height_mm)
        / max(max(cell.panel.width_mm, cell.panel.height_mm) for cell in cells),
    )
    for _ in range(_SEARCH):
        middle = (low + high) / 2
        width, height = _size(_rows(cells, picture.width_mm, middle), middle)
        if width <= picture.width_mm and height <= picture.height_mm:
            low = middle
        else:
            high = middle
    return low, _rows(cells, picture.width_mm, low)


def _rows(cells: Sequence[_Cell], width_mm: float, scale: float) -> list[list[_Cell]]:
    rows: list[list[_Cell]] = []
    used = 0.0
    for cell in cells:
        width = cell.width_mm(scale)
        if not rows or used + cell.gap_mm + width > width_mm:
            rows.append([])
            used = -cell.gap_mm
        rows[-1].append(cell)
        used += cell.gap_mm + width
    return rows


def _size(rows: Sequence[Sequence[_Cell]], scale: float) -> tuple[float, float]:
    gap = rows[0][0].gap_mm
    width = max(sum(cell.width_mm(scale) for cell in row) + gap * (len(row) - 1) for row in rows)
    height = sum(max(cell.height_mm(scale) for cell in row) for row in rows)
    return width, height + gap * (len(rows) - 1)
