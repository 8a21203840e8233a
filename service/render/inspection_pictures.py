"""Pictures of an inspection sheet: the part with its holes lettered, and outlines that were mistaken for each other."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable
from shapely.geometry import MultiPolygon

from service.marks.engraving import Engraving
from service.marks.inspection_sheet import CandidateOutline
from service.outlines.drawing import Drawing
from service.outlines.paths import simplified
from service.render.fonts import pdf_font
from service.render.outline_pdf import OutlinePicture
from service.render.sheet_parts import INK, legible

DIMENSION_ROOM = 8 * mm
LETTER_PT = 8.5
BESIDE_PT = 9.0
FEWEST_SLOTS = 2
GAP = 5 * mm
TEXT_PT = 8.0
CAPTION = 3.4 * TEXT_PT


class LetteredOutline(OutlinePicture):
    """The outline with its engraving, and a letter beside every mounting hole."""

    def __init__(
        self,
        drawing: Drawing,
        *,
        engraving: Engraving | None,
        holes: Sequence[tuple[str, tuple[float, float]]],
        width: float,
        height: float,
    ) -> None:
        super().__init__(drawing, engraving=engraving, width=width, height=height)
        self._holes = holes

    def draw(self) -> None:
        """Draw the part, then the letters, each on a white ground so that no line runs through it."""
        super().draw()
        canvas: Canvas = self.canv
        left, bottom, _, _ = self._drawing.bounds_mm
        for letter, (x_mm, y_mm) in self._holes:
            x, y = (x_mm - left) * self._scale, DIMENSION_ROOM + (y_mm - bottom) * self._scale
            x, y = x + BESIDE_PT, y + BESIDE_PT
            canvas.setFillColorRGB(1, 1, 1)
            canvas.setStrokeColor(INK)
            canvas.setLineWidth(0.6)
            canvas.circle(x, y, 0.62 * LETTER_PT, stroke=1, fill=1)
            canvas.setFillColor(INK)
            canvas.setFont(pdf_font("bold"), LETTER_PT)
            canvas.drawCentredString(x, y - 0.35 * LETTER_PT, letter)


class CandidateRow(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """Outlines at one scale in a row, each under its number; the chosen one is framed and named so."""

    def __init__(self, candidates: Sequence[CandidateOutline], *, width: float, height: float) -> None:
        super().__init__()
        self._candidates = candidates
        self.width, self.height = width, height + CAPTION
        self._slot = width / max(FEWEST_SLOTS, len(candidates))
        self._picture = height
        bounds = [one.drawing.bounds_mm for one in candidates]
        widest = max(right - left for left, _, right, _ in bounds)
        tallest = max(top - bottom for _, bottom, _, top in bounds)
        self._scale = min((self._slot - GAP) / widest, (height - GAP) / tallest)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw each outline in the middle of its slot."""
        canvas: Canvas = self.canv
        for index, one in enumerate(self._candidates):
            canvas.saveState()
            canvas.translate(index * self._slot, 0)
            self._one(canvas, one)
            canvas.restoreState()

    def _one(self, canvas: Canvas, one: CandidateOutline) -> None:
        left, bottom, right, top = one.drawing.bounds_mm
        dx = (self._slot - (right - left) * self._scale) / 2
        dy = CAPTION + (self._picture - (top - bottom) * self._scale) / 2
        shape = simplified(one.drawing.material, 0.1 / self._scale)
        path = canvas.beginPath()
        for polygon in shape.geoms if isinstance(shape, MultiPolygon) else (shape,):
            for ring in (polygon.exterior, *polygon.interiors):
                for number, (x, y) in enumerate(ring.coords[:-1]):
                    (path.lineTo if number else path.moveTo)(
                        round(dx + (x - left) * self._scale, 2), round(dy + (y - bottom) * self._scale, 2)
                    )
                path.close()
        canvas.setStrokeColor(INK)
        canvas.setFillColorRGB(*((0.86, 0.92, 0.86) if one.chosen else (0.97, 0.97, 0.97)))
        canvas.setLineWidth(1.4 if one.chosen else 0.6)
        canvas.drawPath(path, stroke=1, fill=1, fillMode=0)
        if one.chosen:
            canvas.setLineWidth(1.2)
            canvas.rect(1, 1, self._slot - 3, self.height - 2, stroke=1, fill=0)
        canvas.setFillColor(INK)
        middle = self._slot / 2
        self._text(canvas, "bold", one.number, middle, 2.2 * TEXT_PT)
        self._text(canvas, "regular", f"{'CUT THIS ONE' if one.chosen else 'ruled out'}: {one.words}", middle, TEXT_PT)

    def _text(self, canvas: Canvas, weight: str, text: str, x: float, y: float) -> None:
        bold = weight == "bold"
        font, shown = pdf_font("bold" if bold else "regular"), legible(text, "bold" if bold else "regular")
        wide = stringWidth(shown, font, TEXT_PT)
        canvas.setFont(font, TEXT_PT * min(1.0, (self._slot - 8) / wide))
        canvas.drawCentredString(x, y, shown)
