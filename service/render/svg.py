"""A mark as SVG: real millimetres outside, printer dots inside, letters as outlines so that it looks the same anywhere.

Each distinct letter is drawn once and used where it stands. What a group of outlines says is in its ``aria-label``.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from xml.sax.saxutils import escape, quoteattr

from service.marks.items import Area, Block, Figure, Item, Layout, PlacedSymbol, Rgb, TextRun
from service.marks.lettering import Weight
from service.marks.symbols import SYMBOL_NAMES, Modules
from service.render.fonts import metrics, outline

#: Grey of the plate's edge and holes in a preview; nothing that is printed has it.
_PREVIEW_GREY = "#8a9096"


def svg(layout: Layout, *, preview: bool = False) -> str:
    """The mark as an SVG document.

    Args:
        layout: the mark.
        preview: also draw the edge and the holes of the plate, which no printer should.
    """
    width, height = layout.width_dots, layout.height_dots
    letters = sorted({(run.weight, char) for run in layout.texts() for char in run.text if char != " "})
    size = (
        f'width="{_n(width / layout.per_mm)}mm" height="{_n(height / layout.per_mm)}mm" viewBox="0 0 {width} {height}"'
    )
    body = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label={quoteattr(_spoken(layout))}>',
        f"<title>{escape(layout.title)}</title>",
        "<defs>",
        *(f'<path id="{_glyph_id(weight, char)}" d="{outline(weight, char)}"/>' for weight, char in letters),
        "</defs>",
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
        *(_drawn(item, layout.per_mm) for item in layout.items),
        *(_preview(layout) if preview else ()),
        "</svg>",
    ]
    return "\n".join(body) + "\n"


def _drawn(item: Item, per_mm: float) -> str:
    match item:
        case Block(extent=extent):
            left, top, right, bottom = (
                round(edge * per_mm) for edge in (extent.left, extent.top, extent.right, extent.bottom)
            )
            return (
                f'<rect x="{left}" y="{top}" width="{right - left}" height="{bottom - top}" fill="{_hex(item.rgb)}"/>'
            )
        case Figure():
            points = " ".join(f"{_n(x * per_mm)},{_n(y * per_mm)}" for x, y in item.points)
            return f'<polygon points="{points}" fill="{_hex(item.rgb)}"/>'
        case Area():
            return _area(item, per_mm)
        case TextRun():
            return _lettered(item, per_mm)
        case PlacedSymbol():
            return (
                f'<g role="img" aria-label="{SYMBOL_NAMES[item.kind]}" fill="#000000" shape-rendering="crispEdges" '
                f'transform="translate({item.left_dots} {item.top_dots}) scale({item.module_dots} {item.row_dots})">'
                f'<path d="{_rectangles(item.modules)}"/></g>'
            )


def _area(area: Area, per_mm: float) -> str:
    """An area filled even-odd, with its line."""
    path = "".join(f"M{'L'.join(f'{_n(x * per_mm)} {_n(y * per_mm)}' for x, y in ring)}Z" for ring in area.rings)
    line = ""
    if area.line_mm:
        width = _n(area.line_mm * per_mm)
        line = f' stroke="{_hex(area.line_rgb)}" stroke-width="{width}" stroke-linejoin="round"'
    return f'<path d="{path}" fill="{_hex(area.rgb)}" fill-rule="evenodd"{line}/>'


def _lettered(run: TextRun, per_mm: float) -> str:
    """Letters in font units, placed by the layout's own advances."""
    face = metrics(run.weight)
    scale = run.cap_height_mm * per_mm / face.cap_height
    uses = []
    x = 0
    for char in run.text:
        if char != " ":
            uses.append(f'<use href="#{_glyph_id(run.weight, char)}"' + (f' x="{x}"/>' if x else "/>"))
        x += face.advances[ord(char)]
    return (
        f'<g role="img" aria-label={quoteattr(run.text)} fill="{_hex(run.rgb)}" '
        f'transform="translate({_n(run.x_mm * per_mm)} {_n(run.baseline_mm * per_mm)}) '
        f'scale({scale:.6g} {-scale:.6g})">{"".join(uses)}</g>'
    )


def _preview(layout: Layout) -> Iterator[str]:
    per_mm = layout.per_mm
    line = f'fill="none" stroke="{_PREVIEW_GREY}" stroke-width="{_n(0.2 * per_mm)}"'
    radius = _n(layout.corner_radius_mm * per_mm)
    yield f'<rect width="{layout.width_dots}" height="{layout.height_dots}" rx="{radius}" {line}/>'
    for hole in layout.keep_outs:
        x, y = _n(hole.x_mm * per_mm), _n(hole.y_mm * per_mm)
        yield f'<circle cx="{x}" cy="{y}" r="{_n(hole.hole_radius_mm * per_mm)}" {line.replace("none", "#ffffff")}/>'


def _spoken(layout: Layout) -> str:
    """All that the mark says, for people who have it read to them."""
    return ", ".join([f"mark {layout.title}", *(run.text for run in layout.texts())])


def _glyph_id(weight: Weight, char: str) -> str:
    return f"{weight}-{ord(char):x}"


@lru_cache(maxsize=1024)
def _rectangles(modules: Modules) -> str:
    return "".join(f"M{x} {y}h{width}v{height}h-{width}z" for x, y, width, height in modules.rectangles())


def _hex(rgb: Rgb) -> str:
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def _n(value: float) -> str:
    """A number in at most three decimals, without trailing zeros."""
    return f"{value:.3f}".rstrip("0").rstrip(".")
