"""Parts written as DXF R2010: outline and holes on layer CUT, the rest on HUB, ENGRAVE and KEEPOUT.

The same part always gives the same bytes: what a DXF says of its own making (times, identifiers) is pinned.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from threading import Lock
from typing import Literal

from ezdxf import options, units  # type: ignore[attr-defined] # exported without saying so
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import Vec2

from service.demo.contour import Contour, polar, turned_by
from service.demo.part import Disc, Freeform, Part

CUT, HUB, ENGRAVE, KEEPOUT = "CUT", "HUB", "ENGRAVE", "KEEPOUT"
_LAYER_COLOURS = {CUT: 7, HUB: 4, ENGRAVE: 3, KEEPOUT: 1}
_MM_PER_INCH = 25.4

Unit = Literal["mm", "in"]
Entities = Literal["polylines", "lines and arcs"]

_options_lock = Lock()


def dxf_bytes(part: Part, *, unit: Unit = "mm", entities: Entities = "polylines") -> bytes:
    """The drawing of a part.

    Args:
        part: the part, in millimetres.
        unit: the unit that the drawing is written in and declares.
        entities: contours as closed polylines with bulges, or as chains of single lines and arcs.
    """
    with _pinned_metadata():
        document = _drawn(part, unit, entities)
        text = StringIO()
        _order_classes(document)
        document.write(text)
        return document.encode(text.getvalue())


def _drawn(part: Part, unit: Unit, entities: Entities) -> Drawing:
    document = new("R2010", setup=False, units=units.MM if unit == "mm" else units.IN)
    document.header["$MEASUREMENT"] = 1 if unit == "mm" else 0
    for name, colour in _LAYER_COLOURS.items():
        document.layers.add(name, color=colour)
    pen = _Pen(document.modelspace(), 1.0 if unit == "mm" else 1.0 / _MM_PER_INCH, entities)
    pen.draw(part.outline, CUT)
    for hole in part.holes:
        pen.draw(hole, CUT)
    for layer, shapes in ((HUB, part.hubs), (ENGRAVE, part.engraving), (KEEPOUT, part.keepouts)):
        for shape in shapes:
            pen.draw(shape, layer)
    return document


class _Pen:
    """Writes shapes into a model space, scaled to its unit."""

    def __init__(self, space: Modelspace, scale: float, entities: Entities) -> None:
        self._space, self._scale, self._entities = space, scale, entities

    def draw(self, shape: Contour | Disc | Freeform, layer: str) -> None:
        attributes = {"layer": layer}
        if isinstance(shape, Disc):
            self._space.add_circle(self._scaled(shape.centre), shape.radius_mm * self._scale, attributes)
        elif isinstance(shape, Freeform):
            points = [self._scaled(point) for point in (*shape.through, shape.through[0])]
            # One tangent at both ends, so that the curve closes without a kink.
            tangent = polar(1.0, shape.heading_deg)
            self._space.add_cad_spline_control_frame(points, (tangent, tangent), dxfattribs=attributes)
        elif self._entities == "polylines":
            vertices = [(x * self._scale, y * self._scale, bulge) for x, y, bulge in shape.vertices]
            self._space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs=attributes)
        else:
            self._draw_singly(shape, attributes)

    def _draw_singly(self, contour: Contour, attributes: dict[str, str]) -> None:
        for edge in contour.edges():
            if edge.bulge == 0.0:
                self._space.add_line(self._scaled(edge.start), self._scaled(edge.end), attributes)
                continue
            ends = Vec2(edge.start) - Vec2(edge.centre), Vec2(edge.end) - Vec2(edge.centre)
            start, end = ends if turned_by(edge.bulge) > 0 else ends[::-1]
            self._space.add_arc(
                self._scaled(edge.centre),
                edge.radius_mm * self._scale,
                start.angle_deg,
                end.angle_deg,
                dxfattribs=attributes,
            )

    def _scaled(self, point: tuple[float, float]) -> tuple[float, float]:
        return (point[0] * self._scale, point[1] * self._scale)


def _order_classes(document: Drawing) -> None:
    """Put the CLASSES section into one order: the writer takes it from a set, which each process orders anew."""
    section = document.classes
    section.add_required_classes(document.dxfversion)
    section.classes = OrderedDict(sorted(section.classes.items()))


@contextmanager
def _pinned_metadata() -> Iterator[None]:
    """The writer stamps times and fresh identifiers unless this switch of the whole process is on."""
    with _options_lock:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before
