"""The lint of a layout: what a person with a ruler would find wrong with a mark before it is printed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from schemas.label_template import LabelTemplate
from service.findings import Finding
from service.marks.items import WHITE, Area, Block, Extent, Figure, Item, Layout, PlacedSymbol, TextRun
from service.marks.lettering import LEAST_VISUAL_ANGLE_ARCMIN, least_cap_height_mm
from service.marks.symbols import QUIET_ZONE_MODULES, SYMBOL_NAMES, SymbolKind
from service.rules.colours import MIN_CONTRAST, contrast_ratio

LEGIBILITY_SOURCE = "NUREG-0700 rev. 3, 11.4.1.5-1: characters of labels subtend at least 15 minutes of arc"
CONTRAST_SOURCE = "WCAG 2.x, success criterion 1.4.3"
PRACTICE = "common practice, no source"
QUIET_ZONE_SOURCES: dict[SymbolKind, str] = {
    "qr": "ISO/IEC 18004: quiet zone 4X",
    "data_matrix": "ISO/IEC 16022: quiet zone 1X",
    "code128": "ISO/IEC 15417: quiet zone 10X (from memory)",
}

#: A capital may fall short of the rule by this much, in mm: a tenth of what the eye can tell at reading distance.
HEIGHT_TOLERANCE_MM = 0.01


# Items with the rectangles of their ink.
Inked = Sequence[tuple[Item, Extent]]
ItemFault = tuple[Item, Finding]


def lint_layout(template: LabelTemplate, layout: Layout) -> list[Finding]:
    """Every fault of a layout.

    Ink off the mark, on a hole, in a quiet zone or on other ink; letters too small or too pale to read.
    """
    return [finding for _item, finding in faults_of_items(template, layout)]


def faults_of_items(template: LabelTemplate, layout: Layout) -> list[ItemFault]:
    """The faults of a layout, each with the item that has it."""
    inked = [(item, item.extent) for item in layout.items]
    return [
        *_outside(template, layout, inked),
        *_in_corners(template, layout, inked),
        *_on_holes(template, layout, inked),
        *_quiet_zones(template, layout, inked),
        *_overlaps(template, inked),
        *_legibility(template, layout),
    ]


def _finding(rule: str, item: Item, template: LabelTemplate, message: str, todo: str, source: str) -> ItemFault:
    field, value = _named(item)
    finding = Finding(
        rule=rule,
        level="error",
        message=message,
        field=field,
        value=value,
        todo=todo,
        place=f"template {template.name}",
        source=source,
    )
    return item, finding


def _named(item: Item) -> tuple[str, str]:
    match item:
        case TextRun():
            return item.field, item.text
        case PlacedSymbol():
            return SYMBOL_NAMES[item.kind], item.text
        case Block():
            return item.role, ""
        case Figure():
            return "colour shape", ""
        case Area():
            return item.role, ""


def _outside(template: LabelTemplate, layout: Layout, inked: Inked) -> Iterator[ItemFault]:
    margin = layout.margin_mm
    inner = Extent(margin, margin, layout.width_mm - margin, layout.height_mm - margin)
    for item, extent in inked:
        if isinstance(item, TextRun | PlacedSymbol | Area) and not inner.holds(extent):
            yield _finding(
                "outside_margin",
                item,
                template,
                f"it comes nearer to the edge than the margin of {margin:g} mm",
                "Move or narrow the box in the template",
                PRACTICE,
            )


def _in_corners(template: LabelTemplate, layout: Layout, inked: Inked) -> Iterator[ItemFault]:
    """Ink in the part of a corner that the rounding cuts off."""
    radius = layout.corner_radius_mm
    for item, box in inked:
        if not isinstance(item, TextRun | PlacedSymbol | Area):
            continue
        across = min(box.left, layout.width_mm - box.right)
        along = min(box.top, layout.height_mm - box.bottom)
        if across < radius and along < radius and math.hypot(radius - across, radius - along) > radius + 1e-6:
            yield _finding(
                "in_cut_corner",
                item,
                template,
                f"it reaches into a corner that is rounded with {radius:g} mm",
                "Move the box in the template away from the corner",
                PRACTICE,
            )


def _on_holes(template: LabelTemplate, layout: Layout, inked: Inked) -> Iterator[ItemFault]:
    for item, ink in inked:
        if isinstance(item, Block):
            continue
        extent = item.quiet_extent if isinstance(item, PlacedSymbol) else ink
        for hole in layout.keep_outs:
            if extent.distance_to(hole.x_mm, hole.y_mm) < hole.radius_mm - 1e-6:
                yield _finding(
                    "on_hole",
                    item,
                    template,
                    f"it reaches under the fixing at {hole.x_mm:g}, {hole.y_mm:g} mm",
                    "Move the box in the template clear of the hole and its ring",
                    PRACTICE,
                )


def _quiet_zones(template: LabelTemplate, layout: Layout, inked: Inked) -> Iterator[ItemFault]:
    whole = Extent(0.0, 0.0, layout.width_mm, layout.height_mm)
    for symbol in layout.symbols():
        quiet, source = symbol.quiet_extent, QUIET_ZONE_SOURCES[symbol.kind]
        if not whole.holds(quiet):
            yield _finding(
                "quiet_zone_at_edge",
                symbol,
                template,
                f"its quiet zone of {QUIET_ZONE_MODULES[symbol.kind]} modules reaches beyond the edge",
                "Move the symbol inwards",
                source,
            )
        for item, extent in inked:
            if item is not symbol and extent.overlaps(quiet):
                field, value = _named(item)
                yield _finding(
                    "quiet_zone_inked",
                    symbol,
                    template,
                    f"its quiet zone is not free of ink: {field} '{value}' reaches into it",
                    "Move one of them",
                    source,
                )


def _overlaps(template: LabelTemplate, inked: Inked) -> Iterator[ItemFault]:
    """Ink on ink. A text may stand wholly on a block of its own ground; anything else is a clash.

    Where a symbol is touched its quiet zone tells it.
    """
    inked = [(item, extent) for item, extent in inked if not isinstance(item, PlacedSymbol)]
    for (first, below), (second, above) in combinations(inked, 2):
        if below.overlaps(above) and _clash(first, below, second, above):
            field, value = _named(first)
            yield _finding(
                "overlap",
                second,
                template,
                f"it lies on {field} '{value}'",
                "Move or narrow one of the boxes in the template",
                PRACTICE,
            )


def _clash(first: Item, below: Extent, second: Item, above: Extent) -> bool:
    """Whether the second of two that overlap must not lie on the first."""
    if isinstance(first, Figure) and isinstance(second, Figure):
        return False  # parts of one shape
    if isinstance(first, Area) and isinstance(second, Area):
        return first.role != second.role  # parts of one plan lie against each other
    if isinstance(first, Block) and isinstance(second, Block):
        return first.role != "band" and "frame" not in (first.role, second.role)
    if isinstance(first, Block):
        return not (below.holds(above) and first.rgb == _ground_of(second, first))
    return True


def _ground_of(item: Item, block: Block) -> tuple[int, int, int]:
    """The colour that an item expects under it; a shape is drawn for whatever band it stands on."""
    return item.ground_rgb if isinstance(item, TextRun) else block.rgb if block.role == "band" else WHITE


def _legibility(template: LabelTemplate, layout: Layout) -> Iterator[ItemFault]:
    for run in layout.texts():
        least = least_cap_height_mm(run.reading_distance_mm)
        if run.cap_height_mm < least - HEIGHT_TOLERANCE_MM:
            yield _finding(
                "too_small_to_read",
                run,
                template,
                f"capitals of {run.cap_height_mm:.2f} mm are below the {least:.2f} mm that "
                f"{run.reading_distance_mm:g} mm of distance ask for ({LEAST_VISUAL_ANGLE_ARCMIN:g}')",
                "Give the field more room, or state the shorter distance",
                LEGIBILITY_SOURCE,
            )
        contrast = contrast_ratio(run.rgb, run.ground_rgb)
        if contrast < MIN_CONTRAST:
            yield _finding(
                "contrast",
                run,
                template,
                f"its contrast of {contrast:.1f} to 1 is below {MIN_CONTRAST:g} to 1",
                "Choose the other ink",
                CONTRAST_SOURCE,
            )
