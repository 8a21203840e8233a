"""A mark as PNG: one pixel is one printer dot, so that a raster printer can take it as it is."""

from __future__ import annotations

import math
from functools import lru_cache
from io import BytesIO

import numpy as np
from PIL import Image, ImageChops, ImageDraw, ImageFont

from service.errors import BadRequest
from service.marks.dots import dots_per_mm
from service.marks.items import WHITE, Area, Block, Figure, Layout, PlacedSymbol, Rgb, TextRun
from service.marks.lettering import Weight
from service.render.fonts import FONT_FILES, metrics

#: Polygons are drawn this many times larger and averaged, for smooth edges in colour.
_SUPERSAMPLING = 4

#: Grey below this is a black dot in a one-bit picture.
_BLACK_BELOW = 128


def png(layout: Layout, *, dpi: int, one_bit: bool = False) -> bytes:
    """The mark in pixels that are printer dots.

    Args:
        layout: laid out for this resolution; for a one-bit picture, with ``black_only``.
        dpi: 203, 300 or 600; written into the file, 203 as its exact 203.2.
        one_bit: black and white only, as thermal heads print.

    Raises:
        BadRequest: an unknown resolution, or another than the layout was made for.
    """
    per_mm = dots_per_mm(dpi)
    if abs(layout.per_mm - per_mm) > 1e-9:
        raise BadRequest(
            f"{layout.title} was laid out for {layout.per_mm * 25.4:.1f} dpi",
            field="dpi",
            value=dpi,
            todo="Lay the mark out for the printer that prints it",
        )
    image = picture(layout)
    if one_bit:
        image = (
            image.convert("L").point(lambda grey: 255 * (grey >= _BLACK_BELOW)).convert("1", dither=Image.Dither.NONE)
        )
    buffer = BytesIO()
    image.save(buffer, "PNG", dpi=(per_mm * 25.4, per_mm * 25.4))
    return buffer.getvalue()


def picture(layout: Layout) -> Image.Image:
    """The mark as an RGB image, one pixel a dot."""
    image = Image.new("RGB", (layout.width_dots, layout.height_dots), WHITE)
    draw = ImageDraw.Draw(image)
    for item in layout.items:
        match item:
            case Block(extent=extent):
                left, top, right, bottom = (
                    round(edge * layout.per_mm) for edge in (extent.left, extent.top, extent.right, extent.bottom)
                )
                draw.rectangle((left, top, right - 1, bottom - 1), fill=item.rgb)
            case Figure():
                _fill_polygon(image, [(x * layout.per_mm, y * layout.per_mm) for x, y in item.points], item.rgb)
            case Area():
                _fill_area(image, item, layout.per_mm)
            case TextRun():
                _draw_text(image, item, layout.per_mm)
            case PlacedSymbol():
                _paste_symbol(image, item)
    return image


def _fill_polygon(image: Image.Image, points: list[tuple[float, float]], rgb: Rgb) -> None:
    left, top, mask = _mask([points])
    image.paste(Image.new("RGB", mask.size, rgb), (left, top), mask)


def _fill_area(image: Image.Image, area: Area, per_mm: float) -> None:
    """An area filled even-odd, and the line along its outlines over it."""
    rings = [[(x * per_mm, y * per_mm) for x, y in ring] for ring in area.rings]
    left, top, mask = _mask(rings)
    image.paste(Image.new("RGB", mask.size, area.rgb), (left, top), mask)
    if area.line_mm:
        left, top, mask = _mask(rings, line=area.line_mm * per_mm)
        image.paste(Image.new("RGB", mask.size, area.line_rgb), (left, top), mask)


def _mask(rings: list[list[tuple[float, float]]], line: float = 0.0) -> tuple[int, int, Image.Image]:
    """Where rings are filled even-odd, or the line along them lies, with smooth edges; its left and upper edge."""
    border = line / 2 + 1
    xs, ys = zip(*(point for ring in rings for point in ring), strict=True)
    left, top = math.floor(min(xs) - border), math.floor(min(ys) - border)
    size = (math.ceil(max(xs) + border) - left, math.ceil(max(ys) + border) - top)
    large = (size[0] * _SUPERSAMPLING, size[1] * _SUPERSAMPLING)
    whole = Image.new("1", large)
    for ring in rings:
        corners = [((x - left) * _SUPERSAMPLING - 0.5, (y - top) * _SUPERSAMPLING - 0.5) for x, y in ring]
        if line:
            width = max(1, round(line * _SUPERSAMPLING))
            ImageDraw.Draw(whole).line([*corners, corners[0]], fill=1, width=width, joint="curve")
        else:
            one = Image.new("1", large)
            ImageDraw.Draw(one).polygon(corners, fill=1)
            whole = ImageChops.logical_xor(whole, one)
    return left, top, whole.convert("L").resize(size, Image.Resampling.BOX)


def _draw_text(image: Image.Image, run: TextRun, per_mm: float) -> None:
    """Letters one by one at the positions of the layout: the library's own spacing rounds each advance to a pixel.

    They are set four times as large and shrunk, as areas are: its hinting moves strokes by up to a pixel, and what the
    lint measured would not be what is drawn.
    """
    face = metrics(run.weight)
    font = _face(run.weight, round(run.size_mm * per_mm * _SUPERSAMPLING, 3))
    extent = run.extent
    left, top = math.floor(extent.left * per_mm) - 2, math.floor(extent.top * per_mm) - 2
    size = (math.ceil(extent.right * per_mm) + 2 - left, math.ceil(extent.bottom * per_mm) + 2 - top)
    large = Image.new("L", (size[0] * _SUPERSAMPLING, size[1] * _SUPERSAMPLING))
    draw = ImageDraw.Draw(large)
    x, baseline = run.x_mm * per_mm, round((run.baseline_mm * per_mm - top) * _SUPERSAMPLING)
    for char in run.text:
        draw.text((round((x - left) * _SUPERSAMPLING), baseline), char, font=font, fill=255, anchor="ls")
        x += face.advances[ord(char)] * run.cap_height_mm / face.cap_height * per_mm
    mask = large.resize(size, Image.Resampling.BOX)
    image.paste(Image.new("RGB", size, run.rgb), (left, top), mask)


def _paste_symbol(image: Image.Image, symbol: PlacedSymbol) -> None:
    light = ~np.array(symbol.modules.rows, dtype=bool)
    pixels = np.repeat(np.repeat(light, symbol.row_dots, axis=0), symbol.module_dots, axis=1)
    image.paste(Image.fromarray((pixels * 255).astype(np.uint8)), (symbol.left_dots, symbol.top_dots))


@lru_cache(maxsize=64)
def _face(weight: Weight, size: float) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONT_FILES[weight]), size=size, layout_engine=ImageFont.Layout.BASIC)
