"""A symbol of a template becomes items of the layout: modules in whole dots, and the frame of an identification link.

The frame follows IEC 61406-1 from memory, since the text of the standard was not at hand: a line all round, in the
lower right corner a filled triangle, the quiet zone inside. That the module is 0.35 mm at least is quoted from its
predecessor DIN SPEC 91406. The thickness of the line and the size of the triangle are this project's own choice.
"""

from __future__ import annotations

from schemas.label_template import Symbol
from service.marks.content import MarkFacts, symbol_text
from service.marks.dots import dots_within, module_dots
from service.marks.items import BLACK, Area, Block, Extent, Item, PlacedSymbol
from service.marks.symbols import QUIET_ZONE_MODULES, SYMBOL_NAMES, encode

#: Thickness of the frame's line, and the room between it and the quiet zone, where the triangle lies; in modules.
FRAME_LINE_MODULES, FRAME_ROOM_MODULES = 1, 3

#: The least module of an identification link: DIN SPEC 91406, "module X >= 0.35 mm", as quoted in public text.
LINK_MODULE_MM = 0.35


def place_symbol(symbol: Symbol, facts: MarkFacts, per_mm: float) -> list[Item]:
    """A symbol, as large as whole dots allow, aligned in its room with its quiet zone and frame inside.

    Raises:
        SymbolDoesNotFit: below the smallest readable module, or the text is none that the symbol holds.
    """
    text = symbol_text(facts, symbol.content)
    modules = encode(symbol.kind, text)
    framed = symbol.frame == "identification_link"
    quiet = QUIET_ZONE_MODULES[symbol.kind]
    around = quiet + (FRAME_LINE_MODULES + FRAME_ROOM_MODULES if framed else 0)
    linear = symbol.kind == "code128"
    first_x, last_x = dots_within(symbol.x_mm, symbol.width_mm, per_mm)
    first_y, last_y = dots_within(symbol.y_mm, symbol.height_mm, per_mm)
    across, along = modules.width + 2 * around, modules.height + 2 * around
    room = last_x - first_x if linear else min(last_x - first_x, (last_y - first_y) * across // along)
    dots = module_dots(
        room_dots=room,
        modules=across,
        per_mm=per_mm,
        min_module_mm=max(symbol.min_module_mm, LINK_MODULE_MM) if framed else symbol.min_module_mm,
        max_module_mm=symbol.max_module_mm,
        field=f"{SYMBOL_NAMES[symbol.kind]} ({symbol.content})",
        value=text,
    )
    spare_x = last_x - first_x - across * dots
    spare_y = 0 if linear else last_y - first_y - along * dots
    left = first_x + {"left": 0, "centre": spare_x // 2, "right": spare_x}[symbol.align]
    top = first_y + {"top": 0, "middle": spare_y // 2, "bottom": spare_y}[symbol.valign]
    placed = PlacedSymbol(
        kind=symbol.kind,
        text=text,
        modules=modules,
        left_dots=left + around * dots,
        top_dots=top if linear else top + around * dots,
        module_dots=dots,
        row_dots=last_y - first_y if linear else dots,
        per_mm=per_mm,
    )
    return [*(link_frame(placed) if framed else ()), placed]


def link_frame(symbol: PlacedSymbol) -> list[Item]:
    """The frame of an identification link: four lines on the dots, and the triangle in the lower right corner."""
    module, quiet = symbol.module_mm, symbol.quiet_extent
    room, line = FRAME_ROOM_MODULES * module, FRAME_LINE_MODULES * module
    left, top, right, bottom = quiet.left - room, quiet.top - room, quiet.right + room, quiet.bottom + room
    corner = ((right, bottom), (right - room, bottom), (right, bottom - room))
    return [
        Block("frame", Extent(left - line, top - line, right + line, top), BLACK),
        Block("frame", Extent(left - line, bottom, right + line, bottom + line), BLACK),
        Block("frame", Extent(left - line, top, left, bottom), BLACK),
        Block("frame", Extent(right, top, right + line, bottom), BLACK),
        Area("frame", (corner,), BLACK),
    ]
