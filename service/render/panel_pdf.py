"""One assembly and deck as it lies in the machine, with the label of every segment, drawn on a reportlab canvas."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon

from service.marks.plan import Panel, PlanPart
from service.outlines.paths import simplified
from service.outlines.room import label_point
from service.render.fonts import pdf_font
from service.render.part_labels import label_spot
from service.render.sheet_parts import INK, legible
from service.rules.colours import best_ink

MAX_PT_PER_MM = 1.2
"""Small parts are not blown up beyond this."""
_LABEL_PT = (9.0, 8.0, 7.0)
_COLOUR_SHARE = 0.5
_ROW_GAP_PT = 6.0


class PanelPicture(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A picture of at most ``width`` by ``height`` points; outlines in their stock colours, thinned with white."""

    def __init__(self, panel: Panel, *, width: float, height: float) -> None:
        super().__init__()
        self._panel = panel
        self._scale = min(MAX_PT_PER_MM, width / panel.width_mm, height / panel.height_mm)
        self.width = panel.width_mm * self._scale
        self.height = panel.height_mm * self._scale
        self.hAlign = "CENTER"

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw all parts, then all labels, so that no neighbour covers one."""
        placed = [self._placed(part, dx, dy) for part, dx, dy in self._panel.parts]
        for part, shape, _ in placed:
            self._outline(part, shape)
        for label in _in_reading_order(
            [_Label(part, *label_spot(shape, widest, part.shown_label, _LABEL_PT)) for part, shape, widest in placed]
        ):
            self._label(label)

    def _placed(self, part: PlanPart, dx: float, dy: float) -> tuple[PlanPart, MultiPolygon, tuple[float, float]]:
        """The part in points, its lower left corner and its widest spot with it."""
        left, bottom, _, _ = self._panel.bounds_mm
        scale = self._scale
        thinned = simplified(part.drawing.material, 0.1 / scale)
        shape = affinity.affine_transform(
            thinned if isinstance(thinned, MultiPolygon) else MultiPolygon([thinned]),
            [scale, 0, 0, scale, (dx - left) * scale, (dy - bottom) * scale],
        )
        x_mm, y_mm = label_point(part.drawing)
        return part, shape, ((x_mm + dx - left) * scale, (y_mm + dy - bottom) * scale)

    def _outline(self, part: PlanPart, shape: MultiPolygon) -> None:
        canvas: Canvas = self.canv
        canvas.setFillColorRGB(*(level / 255 for level in _thinned(part.colour)))
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.setLineJoin(1)
        path = canvas.beginPath()
        for ring in (ring for polygon in shape.geoms for ring in _rings(polygon)):
            for index, (x, y) in enumerate(ring):
                (path.lineTo if index else path.moveTo)(round(x, 2), round(y, 2))
            path.close()
        canvas.drawPath(path, stroke=1, fill=1, fillMode=0)

    def _label(self, label: _Label) -> None:
        canvas: Canvas = self.canv
        x, y, size = label.x, label.y, label.size
        fill = _thinned(label.part.colour)
        if not label.inside:
            half = label.half_width + 0.3 * mm
            canvas.setFillColorRGB(*(level / 255 for level in fill))
            canvas.roundRect(x - half, y - 0.5 * size, 2 * half, size, 0.2 * size, stroke=0, fill=1)
        shade = 0.0 if best_ink(fill) == "black" else 1.0
        canvas.setFillColorRGB(shade, shade, shade)
        canvas.setFont(pdf_font("bold"), size)
        canvas.drawCentredString(x, y - 0.36 * size, label.text)


@dataclass(frozen=True, slots=True)
class _Label:
    """Where a label stands and how large it is; ``inside`` its part."""

    part: PlanPart
    x: float
    y: float
    size: float
    inside: bool

    @property
    def text(self) -> str:
        """What is drawn."""
        return legible(self.part.shown_label, "bold")

    @property
    def half_width(self) -> float:
        """Half the width of the text in points."""
        return float(stringWidth(self.text, pdf_font("bold"), self.size)) / 2

    @property
    def left(self) -> float:
        """Where the text begins."""
        return self.x - self.half_width


def _in_reading_order(labels: list[_Label]) -> list[_Label]:
    """Row by row from the top, in each row from the left: the order in which a program that reads a page gives them.

    Labels belong to one row as long as no gap parts them; so no label of another row stands on nearly the same height.
    """
    rows: list[list[_Label]] = []
    for label in sorted(labels, key=lambda one: -one.y):
        if rows and rows[-1][-1].y - label.y <= _ROW_GAP_PT:
            rows[-1].append(label)
        else:
            rows.append([label])
    return [label for row in rows for label in sorted(row, key=lambda one: one.left)]


def _rings(polygon: Polygon) -> list[list[tuple[float, float]]]:
    return [list(ring.coords[:-1]) for ring in (polygon.exterior, *polygon.interiors)]


def _thinned(colour: tuple[int, int, int]) -> tuple[int, int, int]:
    """A colour thinned with white."""
    red, green, blue = (round(255 - (255 - level) * _COLOUR_SHARE) for level in colour)
    return red, green, blue
