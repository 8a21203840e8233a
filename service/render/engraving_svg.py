"""An engraving over the real outline of its part, at full size, as SVG."""

from __future__ import annotations

from service.marks.engraving import Engraving
from service.outlines.drawing import Drawing
from service.render.outline_svg import MARGIN_MM, document, part_group, strokes_group


def engraving_svg(engraving: Engraving, drawing: Drawing) -> str:
    """The preview of an engraving: pale outline, and each stroke as wide as its groove.

    The strokes alone stand in the element ``ENGRAVE_TEXT``, with millimetres as units and y turned over.
    """
    left, bottom, right, top = drawing.bounds_mm
    return document(
        part_group(drawing) + strokes_group(engraving),
        left=left - MARGIN_MM,
        top=top + MARGIN_MM,
        width=right - left + 2 * MARGIN_MM,
        height=top - bottom + 2 * MARGIN_MM,
        title=f"Engraving {' / '.join(engraving.lines)}, letters {engraving.cap_height_mm:g} mm high",
    )
