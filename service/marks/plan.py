"""The plan of a kit: which parts share a picture, and how the pictures fill a page.

Parts of one assembly and deck are drawn in the same assembly coordinates, so together they show the assembly as it
lies in the machine. Each assembly and deck is a panel of its own. Panels stand in rows in the given order; within a
row all have one scale, so that neighbours may be compared by eye. Parts whose drawings lie on top of each other were
not drawn in assembly coordinates; such a panel is spread out side by side instead of shown as a heap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from service.outlines.drawing import Drawing

Bounds = tuple[float, float, float, float]

GAP_PX = 28.0
"""Between panels of a row and between rows."""
CAPTION_PX = 40.0
"""Height of the two lines over a panel."""
TURNING_PX = 18.0
"""Width of the turning arrow before the second line."""
MAX_PX_PER_MM = 0.9
"""Small parts are not blown up beyond this."""
ROW_PX = 235.0
"""The height that a row should have; on a narrow page at most ``NARROW_SHARE`` of its width."""
MAX_ROW_PX = 330.0
"""The height that no row exceeds, likewise."""
NARROW_SHARE = 0.7
LEGIBLE_PX = 64.0
"""A panel drawn smaller than this speaks against putting it into a row."""
MAX_ROW_PANELS = 8
PARTED_COST = 0.8
"""What it costs to break a row between two decks of one assembly."""
HEAP_SHARE = 0.2
"""Parts that overlap by more than this share of the smaller one are a heap."""
_CAPTION_CHAR_PX = 8.8
_SMALL_CHAR_PX = 7.2


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """One segment as the plan shows it.

    Attributes:
        id: the number of the segment.
        place: its place, for example ``SW2-U3``.
        deck: the deck in words (``upper``), empty where there is none.
        assembly: the assembly in words (``discharge star wheel 2``).
        drawing: its outline in assembly coordinates, in mm.
        colour: the stock colour in sRGB.
        label: the short text inside the part, for example ``U3``.
        href: where a click leads.
        title: what a pointer shows and a screen reader says; the number and place if empty.
        quantity: how many pieces one set has.
        rotation: ``clockwise`` or ``counter-clockwise`` seen from above, empty for what does not turn.
    """

    id: str
    place: str
    deck: str
    assembly: str
    drawing: Drawing
    colour: tuple[int, int, int]
    label: str
    href: str | None = None
    title: str = ""
    quantity: int = 1
    rotation: str = ""

    @property
    def words(self) -> str:
        """The title, or number and place."""
        return self.title or f"{self.id}, {self.place}" + (f", {self.quantity} pieces" if self.quantity > 1 else "")

    @property
    def shown_label(self) -> str:
        """The short text with the quantity, if it is more than one."""
        return f"{self.label} ×{self.quantity}" if self.quantity > 1 else self.label


@dataclass(frozen=True, slots=True)
class Panel:
    """One assembly and deck.

    Attributes:
        assembly: first line of the caption.
        deck: second line, for example ``upper deck``; may be empty.
        rotation: as in :class:`PlanPart`.
        parts: the parts with the shift in mm that each is drawn with.
        bounds_mm: what they cover, after the shift.
    """

    assembly: str
    deck: str
    rotation: str
    parts: tuple[tuple[PlanPart, float, float], ...]
    bounds_mm: Bounds

    @property
    def width_mm(self) -> float:
        """What the parts cover from left to right."""
        return self.bounds_mm[2] - self.bounds_mm[0]

    @property
    def height_mm(self) -> float:
        """What the parts cover from bottom to top."""
        return self.bounds_mm[3] - self.bounds_mm[1]

    @property
    def place_words(self) -> str:
        """The second line of the caption: deck and rotation."""
        turns = f"turns {self.rotation}" if self.rotation else ""
        return " · ".join(words for words in (self.deck, turns) if words)

    @property
    def caption_px(self) -> float:
        """The width that the caption needs."""
        second = len(self.place_words) * _SMALL_CHAR_PX + (TURNING_PX if self.rotation else 0.0)
        return max(len(self.assembly) * _CAPTION_CHAR_PX, second)


@dataclass(frozen=True, slots=True)
class PlacedPanel:
    """A panel on the page: its scale, and the upper left corner of its caption."""

    panel: Panel
    px_per_mm: float
    x_px: float
    y_px: float
    width_px: float


@dataclass(frozen=True, slots=True)
class Plan:
    """All panels of a page."""

    width_px: float
    height_px: float
    panels: tuple[PlacedPanel, ...]


def lay_out_plan(parts: Sequence[PlanPart], *, width_px: float, deck: str | None = None) -> Plan:
    """Group parts into panels and panels into rows.

    Args:
        parts: in assembly order.
        width_px: width of the page.
        deck: only this deck, if given.
    """
    panels = grouped([part for part in parts if deck is None or part.deck == deck])
    placed: list[PlacedPanel] = []
    y = 0.0
    for row in _rows(panels, width_px):
        scale = _row_scale(row, width_px)
        cells = [_cell_px(panel, scale) for panel in row]
        spare = (width_px - sum(cells)) / len(row) if len(row) > 1 else 0.0
        x = 0.0
        for panel, cell in zip(row, cells, strict=True):
            placed.append(PlacedPanel(panel=panel, px_per_mm=scale, x_px=x, y_px=y, width_px=cell))
            x += cell + min(spare, 2 * GAP_PX)
        y += CAPTION_PX + max(panel.height_mm for panel in row) * scale + GAP_PX
    return Plan(width_px=width_px, height_px=max(y - GAP_PX, 1.0), panels=tuple(placed))


def grouped(parts: Sequence[PlanPart]) -> list[Panel]:
    """A panel for each assembly and deck, in the order of the parts."""
    groups: dict[tuple[str, str], list[PlanPart]] = {}
    for part in parts:
        groups.setdefault((part.assembly, part.deck), []).append(part)
    return [_panel(assembly, deck, group) for (assembly, deck), group in groups.items()]


def _panel(assembly: str, deck: str, parts: list[PlanPart]) -> Panel:
    shifts = _spread(parts) if _is_heap(parts) else [(part, 0.0, 0.0) for part in parts]
    boxes = [
        (left + dx, bottom + dy, right + dx, top + dy)
        for part, dx, dy in shifts
        for left, bottom, right, top in [part.drawing.bounds_mm]
    ]
    return Panel(
        assembly=assembly,
        deck=f"{deck} deck" if deck else "",
        rotation=next((part.rotation for part in parts if part.rotation), ""),
        parts=tuple(shifts),
        bounds_mm=(
            min(box[0] for box in boxes),
            min(box[1] for box in boxes),
            max(box[2] for box in boxes),
            max(box[3] for box in boxes),
        ),
    )


def _is_heap(parts: Sequence[PlanPart]) -> bool:
    for one, other in combinations(parts, 2):
        a, b = one.drawing.bounds_mm, other.drawing.bounds_mm
        if a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]:
            continue
        smaller = min(one.drawing.area_mm2, other.drawing.area_mm2)
        if one.drawing.material.intersection(other.drawing.material).area > HEAP_SHARE * smaller:
            return True
    return False


def _spread(parts: Sequence[PlanPart]) -> list[tuple[PlanPart, float, float]]:
    """The parts in rows beside each other, on a common foot in each row."""
    widest = max(part.drawing.width_mm for part in parts)
    covered = sum(part.drawing.width_mm * part.drawing.height_mm for part in parts)
    gap = 0.2 * (covered / len(parts)) ** 0.5
    limit = max(widest, (2.5 * covered) ** 0.5)
    shifts: list[tuple[PlanPart, float, float]] = []
    x, foot, lowest = 0.0, 0.0, 0.0
    for part in parts:
        left, bottom, right, top = part.drawing.bounds_mm
        if x > 0 and x + right - left > limit:
            x, foot = 0.0, lowest - gap
        shifts.append((part, x - left, foot - top))
        lowest = min(lowest, foot - (top - bottom))
        x += right - left + gap
    return shifts


def _cell_px(panel: Panel, scale: float) -> float:
    return max(panel.width_mm * scale, panel.caption_px)


def _row_scale(row: Sequence[Panel], width_px: float) -> float:
    """The largest scale in px a mm at which the row keeps within width and height of a row."""
    high = min(MAX_PX_PER_MM, min(MAX_ROW_PX, NARROW_SHARE * width_px) / max(panel.height_mm for panel in row))
    free = width_px - GAP_PX * (len(row) - 1)
    low = high / 2**12
    if sum(_cell_px(panel, high) for panel in row) <= free:
        return high
    for _ in range(24):
        middle = (low + high) / 2
        if sum(_cell_px(panel, middle) for panel in row) <= free:
            low = middle
        else:
            high = middle
    return low


def _rows(panels: Sequence[Panel], width_px: float) -> list[Sequence[Panel]]:
    """Break the sequence of panels into rows so that the sum of :func:`_cost` is least."""
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(panels) + 1):
        best.append(
            min(
                (best[start][0] + _cost(panels[start:end], width_px) + _parting_cost(panels, start), start)
                for start in range(max(0, end - MAX_ROW_PANELS), end)
            )
        )
    rows: list[Sequence[Panel]] = []
    end = len(panels)
    while end > 0:
        start = best[end][1]
        rows.append(panels[start:end])
        end = start
    rows.reverse()
    return rows


def _parting_cost(panels: Sequence[Panel], start: int) -> float:
    """The cost of a row that begins with panel ``start``."""
    return PARTED_COST if start and panels[start].assembly == panels[start - 1].assembly else 0.0


def _cost(row: Sequence[Panel], width_px: float) -> float:
    """What is bad about a row: too high or too low, empty width, panels too small to be made out."""
    scale = _row_scale(row, width_px)
    cells = sum(_cell_px(panel, scale) for panel in row) + GAP_PX * (len(row) - 1)
    height = max(panel.height_mm for panel in row) * scale / min(ROW_PX, NARROW_SHARE * width_px)
    small = sum(
        max(0.0, 1 - max(panel.width_mm, panel.height_mm) * scale / LEGIBLE_PX) ** 2
        for panel in row
        if max(panel.width_mm, panel.height_mm) * MAX_PX_PER_MM > LEGIBLE_PX
    )
    over = max(0.0, cells / width_px - 1)
    return 0.1 + (1 - height) ** 2 + max(0.0, 1 - cells / width_px) ** 2 + 4 * small + 50 * over
