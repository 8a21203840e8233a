"""The picture of one part: its outline in mm with overall dimensions, as SVG.

Width, height and viewBox carry the same numbers, so the picture prints at full size; y is turned over because SVG
counts downwards. Dimensions follow ISO 129-1 (from memory): the figure stands over the middle of its line and reads
from below or from the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from service.marks.engraving import Engraving
from service.marks.strokes import Stroke
from service.outlines.drawing import Drawing
from service.outlines.paths import svg_path

MARGIN_MM = 5.0
"""Free border round the outline."""

OUTLINE_FILL = "#e9efe8"
OUTLINE_LINE = "#33433f"
GUIDE_LINE = "#7d8c88"
TEXT_LINE = "#7a1230"


def outline_svg(
    drawing: Drawing, *, engraving: Engraving | None = None, dims: bool = True, title: str = "Outline"
) -> str:
    """The outline of a part at full size.

    Args:
        drawing: the part, in mm.
        engraving: text that is cut into it, if it is to be shown.
        dims: whether overall width and height are written.
        title: what a screen reader says and a pointer shows.
    """
    left, bottom, right, top = drawing.bounds_mm
    size = max(2.5, 0.032 * max(right - left, top - bottom))
    room = 3.4 * size if dims else 0.0
    content = part_group(drawing)
    if engraving is not None:
        content += strokes_group(engraving)
    if dims:
        content += _dimensions(drawing, size)
    return document(
        content,
        left=left - MARGIN_MM,
        top=top + MARGIN_MM,
        width=right - left + 2 * MARGIN_MM + room,
        height=top - bottom + 2 * MARGIN_MM + room,
        title=f"{title}, {right - left:.1f} mm wide, {top - bottom:.1f} mm high",
    )


def document(content: str, *, left: float, top: float, width: float, height: float, title: str) -> str:
    """An SVG document in mm; ``left`` and ``top`` are coordinates of the part, y upwards."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="{number(left)} {number(-top)} {number(width)} {number(height)}" role="img" '
        f'aria-label="{attribute(title)}"><title>{escape(title)}</title>{content}</svg>\n'
    )


def part_group(drawing: Drawing) -> str:
    """Material, hubs, keep-outs and engraving zones."""
    content = (
        f'<path id="outline" d="{svg_path(drawing.material)}" fill="{OUTLINE_FILL}" fill-rule="evenodd" '
        f'stroke="{OUTLINE_LINE}" stroke-width="0.35" stroke-linejoin="round"/>'
    )
    for name, zones, dash in (
        ("hub", drawing.hubs, "4 1 0.6 1"),
        ("keepout", drawing.keepouts, "1.5 1"),
        ("engraving-zone", drawing.engraving_zones, "0.6 0.8"),
    ):
        if zones:
            path = "".join(svg_path(zone) for zone in zones)
            content += (
                f'<path class="{name}" d="{path}" fill="none" stroke="{GUIDE_LINE}" stroke-width="0.25" '
                f'stroke-dasharray="{dash}"/>'
            )
    return content


def strokes_group(engraving: Engraving) -> str:
    """The text as lines as wide as its grooves, or its drilled dots."""
    if engraving.dots:
        return dots_group(engraving)
    return strokes_path(engraving.strokes, name="ENGRAVE_TEXT", colour=TEXT_LINE, width_mm=engraving.stroke_width_mm)


def strokes_path(strokes: Sequence[Stroke], *, name: str, colour: str, width_mm: float) -> str:
    """Strokes as one path with a name."""
    return (
        f'<path id="{name}" d="{_polylines(strokes)}" fill="none" stroke="{colour}" '
        f'stroke-width="{number(width_mm)}" stroke-linecap="round" stroke-linejoin="round"/>'
    )


def dots_group(engraving: Engraving) -> str:
    """Drilled dots as circles as wide as they open."""
    radius = number(engraving.dot_diameter_mm / 2)
    circles = "".join(f'<circle cx="{number(x)}" cy="{number(-y)}" r="{radius}"/>' for x, y in engraving.dots)
    return f'<g id="ENGRAVE_DOTS" fill="{TEXT_LINE}">{circles}</g>'


def number(value: float) -> str:
    """A length with at most three decimals, and zero without a sign."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def attribute(text: str) -> str:
    """Text made safe inside double quotes."""
    return escape(text, {'"': "&quot;", "'": "&#39;", "\n": " ", "\t": " "})


def _polylines(strokes: Sequence[Stroke]) -> str:
    return "".join(
        [f"M{' '.join([f'{number(x)},{number(-y)}' for x, y in stroke])}" for stroke in strokes],
    )


def _dimensions(drawing: Drawing, size: float) -> str:
    left, bottom, right, top = drawing.bounds_mm
    below = -bottom + MARGIN_MM / 2 + 1.9 * size
    beside = right + MARGIN_MM / 2 + 1.9 * size
    gap = MARGIN_MM / 4
    lines = (
        f"M{number(left)},{number(-bottom + gap)}V{number(below + 0.5 * size)}"
        f"M{number(right)},{number(-bottom + gap)}V{number(below + 0.5 * size)}"
        f"M{number(left)},{number(below)}H{number(right)}"
        f"M{number(right + gap)},{number(-top)}H{number(beside + 0.5 * size)}"
        f"M{number(right + gap)},{number(-bottom)}H{number(beside + 0.5 * size)}"
        f"M{number(beside)},{number(-top)}V{number(-bottom)}"
    )
    a, b = 0.9 * size, 0.17 * size
    heads = "".join(
        f"M{number(x)},{number(y)}l{number(u1)},{number(v1)} {number(u2)},{number(v2)}z"
        for x, y, u1, v1, u2, v2 in (
            (left, below, a, -b, 0.0, 2 * b),
            (right, below, -a, -b, 0.0, 2 * b),
            (beside, -top, -b, a, 2 * b, 0.0),
            (beside, -bottom, -b, -a, 2 * b, 0.0),
        )
    )
    middle, half = (left + right) / 2, -(bottom + top) / 2
    text = f'font-family="sans-serif" font-size="{number(size * 1.25)}" text-anchor="middle" fill="{OUTLINE_LINE}"'
    return (
        f'<path class="dimension" d="{lines}" fill="none" stroke="{OUTLINE_LINE}" stroke-width="0.25"/>'
        f'<path class="dimension" d="{heads}" fill="{OUTLINE_LINE}"/>'
        f'<text {text} x="{number(middle)}" y="{number(below - 0.4 * size)}">{right - left:.1f}</text>'
        f'<text {text} transform="translate({number(beside - 0.4 * size)} {number(half)}) rotate(-90)">'
        f"{top - bottom:.1f}</text>"
    )
