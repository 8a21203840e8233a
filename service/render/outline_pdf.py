"""The outline of a part with overall dimensions, drawn on a reportlab canvas."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable
from shapely.geometry import MultiPolygon, Polygon, box

from service.marks.engraving import Engraving
from service.outlines.drawing import Drawing
from service.outlines.paths import simplified
from service.render.fonts import pdf_font

_DIMENSION_ROOM = 8 * mm
_TEXT_PT = 8.0
_ARROWS_PT = 15.0
"""A dimension line that is shorter ends in strokes."""
_FILL = (0.925, 0.945, 0.92)
_LINE = (0.13, 0.17, 0.16)
_GUIDE = (0.45, 0.5, 0.49)
_CUT = (0.48, 0.07, 0.19)


class OutlinePicture(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A picture of at most ``width`` by ``height`` points, as large as the part's proportions allow."""

    def __init__(self, drawing: Drawing, *, engraving: Engraving | None, width: float, height: float) -> None:
        super().__init__()
        self._drawing, self._engraving = drawing, engraving
        left, bottom, right, top = drawing.bounds_mm
        self._scale = min((width - _DIMENSION_ROOM) / (right - left), (height - _DIMENSION_ROOM) / (top - bottom))
        self.width = (right - left) * self._scale + _DIMENSION_ROOM
        self.height = (top - bottom) * self._scale + _DIMENSION_ROOM
        self.hAlign = "CENTER"

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the part, its engraving and its dimensions."""
        canvas: Canvas = self.canv
        left, bottom, right, top = self._drawing.bounds_mm
        scale = self._scale
        canvas.saveState()
        canvas.translate(0, _DIMENSION_ROOM)
        canvas.setLineJoin(1)
        canvas.setLineCap(1)
        shape = simplified(self._drawing.material, 0.1 / scale)
        self._fill(canvas, shape, left, bottom)
        canvas.setStrokeColorRGB(*_GUIDE)
        canvas.setLineWidth(0.4)
        canvas.setDash(2, 1.5)
        for zone in (*self._drawing.hubs, *self._drawing.keepouts, *self._drawing.engraving_zones):
            self._outline(canvas, zone, left, bottom)
        canvas.setDash()
        if self._engraving is not None:
            canvas.setStrokeColorRGB(*_CUT)
            canvas.setLineWidth(max(0.25, self._engraving.stroke_width_mm * scale))
            path = canvas.beginPath()
            for stroke in self._engraving.strokes:
                _polyline(path, (((x - left) * scale, (y - bottom) * scale) for x, y in stroke))
            radius = self._engraving.dot_diameter_mm / 2 * scale
            for x, y in self._engraving.dots:
                path.circle((x - left) * scale, (y - bottom) * scale, radius)
            canvas.drawPath(path, stroke=1, fill=0)
        self._dimensions(canvas, (right - left) * scale, (top - bottom) * scale)
        canvas.restoreState()

    def _fill(self, canvas: Canvas, shape: Polygon | MultiPolygon, left: float, bottom: float) -> None:
        canvas.setFillColorRGB(*_FILL)
        canvas.setStrokeColorRGB(*_LINE)
        canvas.setLineWidth(0.8)
        path = canvas.beginPath()
        for polygon in shape.geoms if isinstance(shape, MultiPolygon) else (shape,):
            for ring in (polygon.exterior, *polygon.interiors):
                points = [((x - left) * self._scale, (y - bottom) * self._scale) for x, y in ring.coords[:-1]]
                _polyline(path, points)
                path.close()
        canvas.drawPath(path, stroke=1, fill=1, fillMode=0)

    def _outline(self, canvas: Canvas, zone: Polygon, left: float, bottom: float) -> None:
        """A zone, as far as it lies within the extent of the part: a hub is often larger than one segment."""
        path = canvas.beginPath()
        line = zone.exterior.intersection(box(*self._drawing.bounds_mm))
        for part in shapely.get_parts(shapely.line_merge(line) if line.geom_type == "MultiLineString" else line):
            _polyline(path, (((x - left) * self._scale, (y - bottom) * self._scale) for x, y in part.coords))
        canvas.drawPath(path, stroke=1, fill=0)

    def _dimensions(self, canvas: Canvas, width: float, height: float) -> None:
        """Overall width below and height beside, each figure over the middle of its line (ISO 129-1, from memory).

        Where a line is too short for its figure, the figure stands beside it, where the lines of both dimensions would
        meet; where it is too short for arrows, oblique strokes end it.
        """
        left, bottom, right, top = self._drawing.bounds_mm
        canvas.setStrokeColorRGB(*_LINE)
        canvas.setFillColorRGB(*_LINE)
        canvas.setLineWidth(0.4)
        low, far = -0.62 * _DIMENSION_ROOM, width + 0.62 * _DIMENSION_ROOM
        for x in (0, width):
            canvas.line(x, -2, x, low - 3)
        for y in (0, height):
            canvas.line(width + 2, y, far + 3, y)
        canvas.line(0, low, width, low)
        canvas.line(far, 0, far, height)
        _ends(canvas, ((0, low, 1, 0), (width, low, -1, 0)), length=width)
        _ends(canvas, ((far, 0, 0, 1), (far, height, 0, -1)), length=height)
        canvas.setFont(pdf_font("regular"), _TEXT_PT)
        wide, high = f"{right - left:.1f}", f"{top - bottom:.1f}"
        if _has_room(wide, width):
            canvas.drawCentredString(width / 2, low + 2.5, wide)
        else:
            canvas.drawString(width + 3, low - 0.36 * _TEXT_PT, wide)
        if _has_room(high, height):
            canvas.saveState()
            canvas.translate(far - 2.5, height / 2)
            canvas.rotate(90)
            canvas.drawCentredString(0, 0, high)
            canvas.restoreState()
        else:
            canvas.drawCentredString(far, low + 2.5 if _has_room(wide, width) else low + 9, high)


def _has_room(figure: str, length: float) -> bool:
    """Whether a figure stands over a line of this length without touching its ends."""
    return bool(stringWidth(figure, pdf_font("regular"), _TEXT_PT) + 3 <= length)


def _ends(canvas: Canvas, ends: Iterable[tuple[float, float, float, float]], *, length: float) -> None:
    """Both ends of a dimension line: where each is, and the direction to the other one."""
    for x, y, dx, dy in ends:
        path = canvas.beginPath()
        if length < _ARROWS_PT:
            _polyline(path, ((x - 2, y - 2), (x + 2, y + 2)))
            canvas.drawPath(path, stroke=1, fill=0)
            continue
        _polyline(
            path,
            ((x, y), (x + 6 * dx - 1.2 * dy, y + 6 * dy - 1.2 * dx), (x + 6 * dx + 1.2 * dy, y + 6 * dy + 1.2 * dx)),
        )
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)


def _polyline(path: object, points: Iterable[tuple[float, float]]) -> None:
    """Append an open polyline to a reportlab path."""
    move = path.moveTo  # type: ignore[attr-defined]  # reportlab carries no types
    draw = path.lineTo  # type: ignore[attr-defined]  # the same
    for index, (x, y) in enumerate(points):
        (draw if index else move)(round(x, 2), round(y, 2))
