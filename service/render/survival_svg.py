"""The picture of a survival card: the plate as it is printed, each symbol outlined, numbered, and with its share.

The tag over each symbol also keeps the picture from being used as a mark: no symbol of it can be read.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.layout import lay_out
from service.marks.survival import SurvivalCard, SymbolSurvival
from service.render.fonts import typeface
from service.render.survival import survival_card
from service.render.svg import svg

#: Width of an outline in mm, and how far it stands off the modules.
_LINE_MM, _OFF_MM = 0.35, 0.45


def card_and_picture(template: LabelTemplate, facts: MarkFacts, *, dpi: int) -> tuple[SurvivalCard, str]:
    """The survival card of a mark and its picture as SVG; errors as for ``survival_card``."""
    card = survival_card(template, facts, dpi=dpi)
    drawn = svg(lay_out(template, facts, typeface(), dots_per_mm(dpi)), preview=True)
    body, end, rest = drawn.rpartition("</svg>")
    return card, body + "\n".join(_tags(card)) + "\n" + end + rest


def _tags(card: SurvivalCard) -> Iterator[str]:
    for symbol in card.symbols:
        yield from _tag(symbol, card.per_mm)


def _tag(symbol: SymbolSurvival, per_mm: float) -> Iterator[str]:
    extent = symbol.extent
    left, top = (extent.left - _OFF_MM) * per_mm, (extent.top - _OFF_MM) * per_mm
    width = (extent.right - extent.left + 2 * _OFF_MM) * per_mm
    height = (extent.bottom - extent.top + 2 * _OFF_MM) * per_mm
    line = _LINE_MM * per_mm
    yield (
        f'<rect class="survival-symbol" x="{left:.1f}" y="{top:.1f}" width="{width:.1f}" height="{height:.1f}" '
        f'fill="none" stroke="#0e5a5f" stroke-width="{line:.2f}"/>'
    )
    size = min(width * 0.34, height * 0.42)
    middle_x, middle_y = left + width / 2, top + height / 2
    panel_width, panel_height = min(size * 2.6, width - 2 * line), min(size * 2.1, height - 2 * line)
    yield (
        f'<rect x="{middle_x - panel_width / 2:.1f}" y="{middle_y - panel_height / 2:.1f}" width="{panel_width:.1f}" '
        f'height="{panel_height:.1f}" rx="{size * 0.2:.1f}" fill="#ffffff" stroke="#0e5a5f" '
        f'stroke-width="{line * 0.6:.2f}"/>'
    )
    text = f'text-anchor="middle" fill="#16302e" font-family="Plate, Arial Narrow, sans-serif" x="{middle_x:.1f}"'
    yield (
        f'<text {text} y="{middle_y - size * 0.08:.1f}" font-size="{size:.1f}" font-weight="700">{symbol.index}</text>'
    )
    yield (
        f'<text {text} y="{middle_y + size * 0.78:.1f}" font-size="{size * 0.84:.1f}" font-weight="500">'
        f"{symbol.share * 100:.0f} %</text>"
    )
