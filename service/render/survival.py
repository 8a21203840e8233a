"""Marks put to the set of damages and read again by the independent decoder.

Each symbol is read as a person aims a scanner at it: a window of the plate with its quiet zone and a little round it,
every kind of symbol looked for, so that a text which nobody printed is noticed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
import zxingcpp

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.items import Layout, PlacedSymbol
from service.marks.layout import lay_out
from service.marks.survival import SurvivalCard, Trial, card_of, names_the_piece, taken_for_another
from service.render.damage_window import Grey, Window
from service.render.damages import DAMAGES, Damage
from service.render.fonts import typeface
from service.render.merge_modules import Copy, merge_copies, text_before_key
from service.render.merge_sampling import sample_placed
from service.render.png import picture

#: A scanner that is aimed at a symbol sees this much of the mark beyond its quiet zone.
ROUND_MM = 1.0

#: The same when it is aimed anew: nearer, so that the decoder lays its grid from another corner.
NEARER_MM = 0.5

#: What covers a symbol that is taken away to see what the others say.
_COVER = 240

_ALL_KINDS = zxingcpp.BarcodeFormats(
    [zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.DataMatrix, zxingcpp.BarcodeFormat.Code128]
)


def survival_card(template: LabelTemplate, facts: MarkFacts, *, dpi: int) -> SurvivalCard:
    """The card of one mark: the whole set of damages, and each symbol taken away in turn.

    Raises:
        BadRequest: an unknown resolution.
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph, UnknownCode: the mark cannot be laid out.
    """
    return _card(template, facts, dpi)


@lru_cache(maxsize=64)
def _card(template: LabelTemplate, facts: MarkFacts, dpi: int) -> SurvivalCard:
    layout = lay_out(template, facts, typeface(), dots_per_mm(dpi))
    grey = as_printed(layout)
    return card_of(template, layout, facts, run_trials(layout, facts, grey=grey), taken_away(layout, grey))


def as_printed(layout: Layout) -> Grey:
    """The mark in grey, one value a printer dot."""
    return np.asarray(picture(layout).convert("L"))


def run_trials(
    layout: Layout,
    facts: MarkFacts,
    damages: Iterable[Damage] = DAMAGES,
    *,
    grey: Grey | None = None,
    merge: bool = True,
    round_mm: float = ROUND_MM,
) -> tuple[Trial, ...]:
    """What each damage leaves of a mark.

    Args:
        layout: of the mark.
        facts: of the mark.
        damages: what it is put to.
        grey: the mark as it is printed; drawn from the layout unless given.
        merge: whether the modules of all symbols are weighed together where no symbol reads.
        round_mm: how much of the mark a scanner sees beyond the quiet zone of the symbol it is aimed at.
    """
    whole = as_printed(layout) if grey is None else grey
    seen = [(symbol, window_of(whole, layout, symbol, round_mm)) for symbol in layout.symbols()]
    texts = {symbol.text for symbol, _ in seen}
    return tuple(_trial(damage, seen, texts, facts, merge=merge) for damage in damages)


def _trial(
    damage: Damage, seen: Sequence[tuple[PlacedSymbol, Window]], texts: set[str], facts: MarkFacts, *, merge: bool
) -> Trial:
    damaged = [damage.on(window) for _, window in seen]
    said = [read_texts(grey) for grey in damaged]
    read = tuple(symbol.text in found for (symbol, _), found in zip(seen, said, strict=True))
    strange = [text for found in said for text in found if text not in texts]
    identity = any(reads and names_the_piece(facts, symbol.text) for (symbol, _), reads in zip(seen, read, strict=True))
    merged = False
    # Merging looks for modules where the layout puts them, so the picture must be straight.
    if merge and not identity and damage.family != "tilt":
        key = merge_copies(_copies(seen, damaged)).key
        merged = key == facts.key
        if key is not None and not merged:
            strange.append(key)
    wrong = [text for text in dict.fromkeys(strange) if taken_for_another(facts, text)]
    return Trial(
        damage=damage.name,
        family=damage.family,
        sentence=damage.sentence,
        severity=damage.severity,
        read=read,
        identity=identity,
        merged=merged,
        wrong=tuple(wrong),
        refused=tuple(text for text in dict.fromkeys(strange) if text not in wrong),
    )


def _copies(seen: Sequence[tuple[PlacedSymbol, Window]], damaged: Sequence[Grey]) -> list[Copy]:
    """The symbols that end in a key, each as its own window shows it."""
    copies = []
    for index, ((symbol, window), grey) in enumerate(zip(seen, damaged, strict=True)):
        before = text_before_key(symbol.kind, symbol.text)
        if before is not None:
            inside = replace(
                symbol, left_dots=symbol.left_dots - window.left_dots, top_dots=symbol.top_dots - window.top_dots
            )
            copies.append(Copy(index, symbol.kind, symbol.modules.width, before, sample_placed(grey, inside)))
    return copies


def taken_away(layout: Layout, grey: Grey) -> tuple[tuple[bool, ...], ...]:
    """For each symbol, which symbols read when it and its quiet zone are covered."""
    symbols = list(layout.symbols())
    outcomes = []
    for gone in symbols:
        left, top, right, bottom = _quiet_box(gone)
        covered = grey.copy()
        covered[max(top, 0) : bottom, max(left, 0) : right] = _COVER
        outcomes.append(tuple(symbol.text in read_texts(window_of(covered, layout, symbol).grey) for symbol in symbols))
    return tuple(outcomes)


def window_of(grey: Grey, layout: Layout, symbol: PlacedSymbol, round_mm: float = ROUND_MM) -> Window:
    """What a scanner sees that is aimed at a symbol."""
    left, top, right, bottom = _quiet_box(symbol)
    beyond = round(round_mm * layout.per_mm)
    left, top = max(left - beyond, 0), max(top - beyond, 0)
    return Window(
        grey[top : bottom + beyond, left : right + beyond],
        left,
        top,
        (layout.width_mm, layout.height_mm),
        layout.per_mm,
        symbol.module_mm,
    )


def whole_plate(grey: Grey, layout: Layout) -> Window:
    """The whole mark as one window."""
    module_mm = min(symbol.module_mm for symbol in layout.symbols())
    return Window(grey, 0, 0, (layout.width_mm, layout.height_mm), layout.per_mm, module_mm)


def read_texts(grey: Grey) -> tuple[str, ...]:
    """Every text that the decoder finds, byte for byte."""
    found = zxingcpp.read_barcodes(np.ascontiguousarray(grey), formats=_ALL_KINDS)
    return tuple(bytes(code.bytes).decode("latin-1") for code in found)


def _quiet_box(symbol: PlacedSymbol) -> tuple[int, int, int, int]:
    """Left, upper, right and lower dot edge of a symbol with its quiet zone."""
    across, along = symbol.quiet_dots
    return (
        symbol.left_dots - across,
        symbol.top_dots - along,
        symbol.left_dots + symbol.width_dots + across,
        symbol.top_dots + symbol.height_dots + along,
    )
