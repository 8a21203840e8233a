"""A QR Code for a screen as SVG, proved with the decoder before it is handed out."""

from __future__ import annotations

from xml.sax.saxutils import quoteattr

import numpy as np
import zxingcpp

from service.errors import ReadBackFailed
from service.marks.symbols import QUIET_ZONE_MODULES, Modules
from service.render.svg_raster import rasterised

_SCALE = 4
"""Units of the drawing a module: the decoder wants some pixels of each."""


def screen_code_svg(modules: Modules, text: str, *, title: str) -> str:
    """The symbol with its quiet zone, black on white.

    Args:
        modules: the symbol without its quiet zone.
        text: what it has to say.
        title: what a screen reader says of it.

    Raises:
        ReadBackFailed: the drawing does not decode to ``text``.
    """
    quiet = QUIET_ZONE_MODULES["qr"]
    size = (modules.width + 2 * quiet) * _SCALE
    squares = "".join(
        f'<rect x="{(column + quiet) * _SCALE}" y="{(row + quiet) * _SCALE}" width="{width * _SCALE}" '
        f'height="{height * _SCALE}" fill="#000000"/>'
        for column, row, width, height in modules.rectangles()
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" role="img" aria-label={quoteattr(title)} '
        f'shape-rendering="crispEdges"><rect width="{size}" height="{size}" fill="#ffffff"/>{squares}</svg>'
    )
    read = [code.text for code in zxingcpp.read_barcodes(np.ascontiguousarray(rasterised(svg)))]
    if read != [text]:
        raise ReadBackFailed(
            f"the QR Code reads back as {read[0] if read else 'nothing'}",
            field="QR Code",
            value=text,
            todo="Report this; the code was not shown",
        )
    return svg
