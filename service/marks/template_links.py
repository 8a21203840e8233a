"""What the length of the links costs a template: each step of a QR Code's version takes size from its modules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from urllib.parse import urlsplit

from schemas.label_template import LabelTemplate
from service.errors import SymbolDoesNotFit
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.items import PlacedSymbol
from service.marks.placing_symbols import place_symbol
from service.marks.symbols import QR_ALPHANUMERIC
from service.marks.template_findings import Pointer, TemplateFinding

#: What version 2 of a QR Code holds at level Q in alphanumeric mode: ISO/IEC 18004, as every encoder publishes it.
SHORT_LINK = 29

#: While the service bears one of these addresses nobody prints with it for good.
_OWN = ("127.0.0.1", "localhost", "::1")


def link_findings(template: LabelTemplate, facts: MarkFacts, pointer: Pointer) -> Iterator[TemplateFinding]:
    """A note for each link whose modules would be larger if it had no more than 29 characters.

    Args:
        template: that is looked at.
        facts: of any mark; all links are of one length.
        pointer: to the places of the file.
    """
    link = facts.link
    if len(link) <= SHORT_LINK or not set(link) <= QR_ALPHANUMERIC or (urlsplit(link).hostname or "") in _OWN:
        return
    for index, symbol in enumerate(template.symbols):
        if symbol.kind != "qr" or symbol.content != "link":
            continue
        costs = []
        for dpi in template.resolutions:
            short = _module_mm(replace(facts, link=link[:SHORT_LINK]), template, index, dpi)
            long = _module_mm(facts, template, index, dpi)
            if short is not None and long is not None and long < short:
                costs.append(f"{long:.3f} mm instead of {short:.3f} mm at {dpi} dpi")
        if costs:
            yield pointer.finding(
                "link_costs_modules",
                ("symbols", index, "content"),
                f"a link of {len(link)} characters is more than the {SHORT_LINK} of version 2: its modules come out at "
                + ", ".join(costs),
                value=link,
                todo="Choose a shorter public address if there is one, or give the symbol more room",
            )


def _module_mm(facts: MarkFacts, template: LabelTemplate, index: int, dpi: int) -> float | None:
    """The module of the symbol at a resolution, None where it does not fit."""
    try:
        *_, placed = place_symbol(template.symbols[index], facts, dots_per_mm(dpi))
    except SymbolDoesNotFit:
        return None
    return placed.module_mm if isinstance(placed, PlacedSymbol) else None
