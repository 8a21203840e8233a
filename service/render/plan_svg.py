"""The plan of a kit as SVG: real outlines in stock colours, each with its label, and one of them lit.

Nothing is said by colour alone: every part carries its label, what is lit has a heavy outline and a bold label, and a
part too small to be seen is ringed. A part with an address is a link; then the picture is a group of links to a screen
reader and not one image. Outlines are thinned to what the screen can show.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon

from service.marks.plan import CAPTION_PX, TURNING_PX, PlacedPanel, PlanPart, lay_out_plan
from service.outlines.paths import simplified, svg_path
from service.outlines.room import label_point
from service.render.outline_svg import attribute, number
from service.render.part_labels import label_spot
from service.rules.colours import best_ink

TOLERANCE_PX = 0.3
"""Outlines are thinned by no more than this."""
MAX_POINTS = 12_000
"""With more points than this in all outlines the tolerance grows until they are fewer."""
MARGIN_PX = 6.0
LABEL_PX = 13.0
SMALLEST_LABEL_PX = 9.5
RING_BELOW_PX = 22.0
KEY_BOX_PX = 26.0
KEY_ROW_PX = 24.0

INK = "#15211e"
PALE_INK = "#55625e"
PALE_LINE = "#93a09c"

Rgb = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One part in px on the page, y downwards, and its widest spot."""

    part: PlanPart
    shape: MultiPolygon
    widest: tuple[float, float]


def plan_svg(
    parts: Sequence[PlanPart],
    *,
    lit: Collection[str] = frozenset(),
    deck: str | None = None,
    width_px: float = 1000.0,
    max_points: int = MAX_POINTS,
    title: str = "Plan of the kit",
    strength: float = 0.5,
    key: Sequence[tuple[Rgb, str]] = (),
) -> str:
    """Draw the plan.

    Args:
        parts: the segments in assembly order.
        lit: numbers of the segments that are shown strongly; all others are pale then.
        deck: only this deck, if given.
        width_px: width of the picture; it scales to the width of where it stands.
        max_points: how many points all outlines may have together.
        title: what the picture is called.
        strength: how much of a part's colour its filling has when nothing is lit; the rest is white.
        key: colours and what they mean, set under the plan.
    """
    plan = lay_out_plan(parts, width_px=width_px - 2 * MARGIN_PX, deck=deck)
    tolerance = TOLERANCE_PX
    while True:
        panels = [(panel, _drawn(panel, tolerance)) for panel in plan.panels]
        if tolerance > 4 or sum(_points(drawn.shape) for _, group in panels for drawn in group) <= max_points:
            break
        tolerance *= 1.6
    content = "".join(_panel(panel, group, lit, strength) for panel, group in panels)
    shown = [drawn.part for _, group in panels for drawn in group]
    named = [part.label for part in shown if part.id in lit]
    label = title + (f", {' and '.join(named)} lit" if named else f", {len(shown)} parts")
    role = "group" if any(part.href for part in shown) else "img"
    tall = plan.height_px + 2 * MARGIN_PX
    if key:
        rows, key_px = _key(key, top=tall, width_px=width_px)
        content, tall = content + rows, tall + key_px
    width, height = number(width_px), number(tall)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" '
        f'role="{role}" aria-label="{attribute(label)}" font-family="system-ui, sans-serif" '
        f'style="max-width:100%;height:auto"><title>{escape(label)}</title>{content}</svg>\n'
    )


def _drawn(panel: PlacedPanel, tolerance_px: float) -> list[_Drawn]:
    """The parts of a panel in px, on the page."""
    scale = panel.px_per_mm
    left, _, _, top = panel.panel.bounds_mm
    ox, oy = MARGIN_PX + panel.x_px, MARGIN_PX + panel.y_px + CAPTION_PX
    drawn: list[_Drawn] = []
    for part, dx, dy in panel.panel.parts:
        move = [scale, 0, 0, -scale, ox + (dx - left) * scale, oy + (top - dy) * scale]
        thinned = simplified(part.drawing.material, tolerance_px / scale)
        x_mm, y_mm = label_point(part.drawing)
        drawn.append(
            _Drawn(
                part=part,
                shape=affinity.affine_transform(_multi(thinned), move),
                widest=(move[4] + x_mm * scale, move[5] - y_mm * scale),
            )
        )
    return drawn


def _multi(shape: Polygon | MultiPolygon) -> MultiPolygon:
    return shape if isinstance(shape, MultiPolygon) else MultiPolygon([shape])


def _points(shape: MultiPolygon) -> int:
    return sum(
        len(polygon.exterior.coords) + sum(len(hole.coords) for hole in polygon.interiors) for polygon in shape.geoms
    )


def _panel(panel: PlacedPanel, group: Sequence[_Drawn], lit: Collection[str], strength: float) -> str:
    # What is lit comes last, so that its outline lies over those of its neighbours.
    ordered = sorted(group, key=lambda drawn: drawn.part.id in lit)
    shapes = "".join(_part(drawn, lit, strength) for drawn in ordered)
    return f"<g>{_caption(panel)}{shapes}</g>"


def _caption(panel: PlacedPanel) -> str:
    x, y = MARGIN_PX + panel.x_px, MARGIN_PX + panel.y_px
    content = (
        f'<text x="{number(x)}" y="{number(y + 13)}" font-size="14" font-weight="700" fill="{INK}">'
        f"{escape(panel.panel.assembly)}</text>"
    )
    words = panel.panel.place_words
    if panel.panel.rotation:
        content += _turning_arrow(x + 6, y + 24, clockwise=panel.panel.rotation == "clockwise")
        x += TURNING_PX
    if words:
        content += f'<text x="{number(x)}" y="{number(y + 28)}" font-size="12" fill="{INK}">{escape(words)}</text>'
    return content


def _key(key: Sequence[tuple[Rgb, str]], *, top: float, width_px: float) -> tuple[str, float]:
    """Boxes of colour with their words in rows, and how tall the rows are."""
    content, x, y = "", MARGIN_PX, top + 8.0
    for colour, words in key:
        wide = KEY_BOX_PX + 8 + 7.4 * len(words) + 18
        if x > MARGIN_PX and x + wide > width_px:
            x, y = MARGIN_PX, y + KEY_ROW_PX
        content += (
            f'<rect x="{number(x)}" y="{number(y)}" width="{number(KEY_BOX_PX)}" height="14" fill="{_hex(colour)}" '
            f'stroke="{INK}" stroke-width="1"/><text x="{number(x + KEY_BOX_PX + 8)}" y="{number(y + 12)}" '
            f'font-size="13" fill="{INK}">{escape(words)}</text>'
        )
        x += wide
    return f"<g>{content}</g>", y + KEY_ROW_PX - top


def _turning_arrow(x: float, y: float, *, clockwise: bool) -> str:
    """Three quarters of a circle with a head, seen from above."""
    turn = "" if clockwise else " scale(-1 1)"
    return (
        f'<g transform="translate({number(x)} {number(y)}){turn}" aria-hidden="true">'
        f'<path d="M-5 0A5 5 0 1 1 0 5" fill="none" stroke="{INK}" stroke-width="1.5"/>'
        f'<path d="M1 2V8L-4 5z" fill="{INK}"/></g>'
    )


def _part(drawn: _Drawn, lit: Collection[str], strength: float) -> str:
    part = drawn.part
    strong, pale = part.id in lit, bool(lit) and part.id not in lit
    fill = _mixed(part.colour, 1.0 if strong else 0.14 if pale else strength)
    line, weight = (INK, 3.2) if strong else (PALE_LINE, 0.8) if pale else (INK, 1.0)
    content = (
        f'<path d="{svg_path(drawn.shape, digits=1, flip_y=False)}" fill="{_hex(fill)}" fill-rule="evenodd" '
        f'stroke="{line}" stroke-width="{weight:g}" stroke-linejoin="round"/>'
    )
    left, top, right, bottom = drawn.shape.bounds
    if strong and max(right - left, bottom - top) < RING_BELOW_PX:
        content += (
            f'<circle cx="{number((left + right) / 2)}" cy="{number((top + bottom) / 2)}" r="{RING_BELOW_PX:g}" '
            f'fill="none" stroke="{INK}" stroke-width="2" stroke-dasharray="5 4"/>'
        )
    content += _label(drawn, fill, strong=strong, pale=pale)
    content = f"<title>{escape(part.words)}</title>{content}"
    marks = ' aria-current="true" class="lit"' if strong else ""
    if part.href is None:
        return f"<g{marks}>{content}</g>"
    return f'<a href="{attribute(part.href)}" aria-label="{attribute(part.words)}"{marks}>{content}</a>'


def _label(drawn: _Drawn, fill: Rgb, *, strong: bool, pale: bool) -> str:
    """The short text where it fits best, with a halo where it reaches over the edge."""
    text = drawn.part.shown_label
    largest = LABEL_PX + (4 if strong else 0)
    x, y, size, inside = label_spot(drawn.shape, drawn.widest, text, (largest, 0.85 * largest, SMALLEST_LABEL_PX))
    ink = PALE_INK if pale else "#000000" if best_ink(fill) == "black" else "#ffffff"
    halo = "" if inside else f' paint-order="stroke" stroke="{_hex(fill)}" stroke-width="3" stroke-linejoin="round"'
    weight = "800" if strong else "600"
    return (
        f'<text x="{x:.1f}" y="{y + 0.36 * size:.1f}" font-size="{size:.1f}" font-weight="{weight}" '
        f'text-anchor="middle" fill="{ink}"{halo}>{escape(text)}</text>'
    )


def _mixed(colour: Rgb, share: float) -> Rgb:
    """A colour thinned with white."""
    red, green, blue = (round(255 - (255 - level) * share) for level in colour)
    return red, green, blue


def _hex(colour: Rgb) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
