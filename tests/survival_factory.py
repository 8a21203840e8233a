"""Bare plates with nothing but symbols of one ink on them, to compare few large symbols with many small ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.marks.content import MarkFacts
from service.marks.items import Layout, PlacedSymbol
from service.marks.symbols import QrLevel, SymbolKind, encode, qr

KEY = "K7M4XRAW"
PLATE_MM = (60.0, 40.0)


@dataclass(frozen=True, slots=True)
class Bare:
    """A symbol of about this size, its upper left corner here; 0 to 1 is the room that the plate leaves."""

    kind: SymbolKind
    size_mm: float
    across: float
    along: float
    level: QrLevel = "Q"


ONE_MATRIX = (Bare("data_matrix", 12.0, 0.85, 0.5),)
TWO_MATRICES = (Bare("data_matrix", 8.5, 0.0, 0.5), Bare("data_matrix", 8.5, 1.0, 0.5))
FOUR_MATRICES = tuple(Bare("data_matrix", 6.0, x, y) for y in (0.0, 1.0) for x in (0.0, 1.0))
ONE_QR = (Bare("qr", 24.0, 0.85, 0.5, "H"),)
FOUR_QR = tuple(Bare("qr", 6.0, x, y, "H") for y in (0.0, 1.0) for x in (0.0, 1.0))


def key_only(key: str = KEY) -> MarkFacts:
    """The facts of a plate that says nothing but its key."""
    return MarkFacts(number="", key=key, link="", message="")


def bare_plate(
    symbols: Sequence[Bare],
    *,
    text: str = KEY,
    per_mm: float = 8.0,
    plate_mm: tuple[float, float] = PLATE_MM,
    edge_mm: float = 2.0,
) -> Layout:
    """A plate with these symbols, their modules whole dots, as near to the size asked for as they come."""
    placed = []
    for bare in symbols:
        modules = qr(text, bare.level) if bare.kind == "qr" else encode(bare.kind, text)
        dots = max(1, round(bare.size_mm * per_mm / modules.width))
        free = [side * per_mm - 2 * edge_mm * per_mm - modules.width * dots for side in plate_mm]
        left, top = (
            round(edge_mm * per_mm + room * at) for room, at in zip(free, (bare.across, bare.along), strict=True)
        )
        placed.append(PlacedSymbol(bare.kind, text, modules, left, top, dots, dots, per_mm))
    return Layout(
        template="bare",
        title=text,
        width_mm=plate_mm[0],
        height_mm=plate_mm[1],
        corner_radius_mm=0.0,
        margin_mm=0.0,
        per_mm=per_mm,
        keep_outs=(),
        items=tuple(placed),
    )
