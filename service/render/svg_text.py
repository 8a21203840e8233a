"""Words in a picture whose y is turned over: placed, turned, and lifted off what lies under them."""

from __future__ import annotations

from xml.sax.saxutils import escape

from service.render.outline_svg import OUTLINE_LINE, number

FONT = "'DejaVu Sans',Arial,sans-serif"


def label(
    text: str,
    x: float,
    y: float,
    size: float,
    *,
    anchor: str = "start",
    turn_deg: float = 0.0,
    weight: str = "400",
    colour: str = OUTLINE_LINE,
    halo: bool = False,
) -> str:
    """Words at a point of the part.

    Args:
        text: the words.
        x: of their anchor, in mm.
        y: of their base line, in mm, upwards.
        size: of the font, in mm.
        anchor: ``start``, ``middle`` or ``end``.
        turn_deg: anticlockwise.
        weight: of the font.
        colour: of the letters.
        halo: a white rim that keeps them readable over lines.
    """
    rim = (
        f' stroke="#ffffff" stroke-width="{number(size * 0.3)}" stroke-linejoin="round" paint-order="stroke"'
        if halo
        else ""
    )
    place = f"translate({number(x)} {number(-y)})"
    if turn_deg:
        place += f" rotate({number(-turn_deg)})"
    return (
        f'<text transform="{place}" font-family="{FONT}" font-size="{number(size)}" font-weight="{weight}" '
        f'text-anchor="{anchor}" fill="{colour}"{rim}>{escape(text)}</text>'
    )
