"""The faces that marks and sheets are set in: Fira Sans Condensed, Medium and Bold, under the SIL Open Font License.

The files lie in ``fonts/`` beside this module with their licence (``OFL.txt``). They hold Latin with all European
accents, Greek and Cyrillic. Condensed letters let the container's name stand large on a small plate.
"""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import cast

from fontTools.pens.svgPathPen import SVGPathPen  # type: ignore[import-untyped]  # the library carries no types
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # the library carries no types
from reportlab.pdfbase import pdfmetrics, ttfonts

from service.marks.lettering import FontMetrics, Typeface, Weight

FONT_FOLDER = Path(__file__).parent / "fonts"
FONT_FILES: dict[Weight, Path] = {
    "regular": FONT_FOLDER / "FiraSansCondensed-Medium.ttf",
    "bold": FONT_FOLDER / "FiraSansCondensed-Bold.ttf",
}


@cache
def typeface() -> Typeface:
    """The metrics of both weights, for :func:`service.marks.layout.lay_out`."""
    return {weight: metrics(weight) for weight in FONT_FILES}


@cache
def metrics(weight: Weight) -> FontMetrics:
    """Widths and extents of one weight, read from its font file once."""
    font = _font(weight)
    glyphs, widths = font["glyf"], font["hmtx"]
    advances: dict[int, int] = {}
    extents: dict[int, tuple[int, int]] = {}
    for code_point, glyph_name in font.getBestCmap().items():
        # Letters are set one by one: an accent that no letter took in would stand beside its letter.
        if not chr(code_point).isprintable() or unicodedata.category(chr(code_point)).startswith("M"):
            continue
        glyph = glyphs[glyph_name]
        advances[code_point] = widths[glyph_name][0]
        extents[code_point] = (glyph.yMin, glyph.yMax) if glyph.numberOfContours else (0, 0)
    return FontMetrics(
        name=cast("str", font["name"].getDebugName(6)),
        units_per_em=font["head"].unitsPerEm,
        cap_height=font["OS/2"].sCapHeight,
        advances=advances,
        extents=extents,
    )


def pdf_font(weight: Weight) -> str:
    """The name under which reportlab knows this weight; registered on first use, embedded as a subset."""
    name = metrics(weight).name
    if name not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(ttfonts.TTFont(name, str(FONT_FILES[weight])))
    return name


@lru_cache(maxsize=1024)
def outline(weight: Weight, char: str) -> str:
    """The outline of one character as SVG path data, in font units with y up."""
    font = _font(weight)
    glyph_set = font.getGlyphSet()
    pen = SVGPathPen(glyph_set)
    glyph_set[font.getBestCmap()[ord(char)]].draw(pen)
    return str(pen.getCommands())


@cache
def _font(weight: Weight) -> TTFont:
    return TTFont(FONT_FILES[weight])
