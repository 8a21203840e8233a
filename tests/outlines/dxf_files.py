"""DXF files that tests draw: real ones, written by the DXF library and handed on as bytes."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from ezdxf.document import Drawing as DxfDocument
from ezdxf.entities.circle import Circle
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

Point = tuple[float, float]


def dxf_bytes(
    draw: Callable[[Modelspace], object], *, insunits: int = 4, version: str = "R2010", binary: bool = False
) -> bytes:
    """A DXF file in which ``draw`` has drawn; in mm unless said."""
    document = empty_document(insunits=insunits, version=version)
    draw(document.modelspace())
    return written(document, binary=binary)


def empty_document(*, insunits: int = 4, version: str = "R2010") -> DxfDocument:
    """A document to draw in, with the usual line types; the library's own default would be metres."""
    document = new(version, setup=["linetypes"])
    document.header["$INSUNITS"] = insunits
    return document


def written(document: DxfDocument, *, binary: bool = False) -> bytes:
    """The document as the bytes of a file."""
    if binary:
        stream = io.BytesIO()
        document.write(stream, fmt="bin")
        return stream.getvalue()
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode(document.output_encoding, errors="surrogateescape")


def rectangle(
    msp: Modelspace, left: float, bottom: float, right: float, top: float, *, layer: str = "CUT"
) -> LWPolyline:
    """A closed polyline round a rectangle."""
    return polygon(msp, [(left, bottom), (right, bottom), (right, top), (left, top)], layer=layer)


def polygon(msp: Modelspace, points: Iterable[Point], *, layer: str = "CUT") -> LWPolyline:
    """A closed polyline through some points."""
    return msp.add_lwpolyline(list(points), close=True, dxfattribs={"layer": layer})


def circle(msp: Modelspace, x: float, y: float, radius: float, *, layer: str = "CUT") -> Circle:
    """A circle."""
    return msp.add_circle((x, y), radius, dxfattribs={"layer": layer})


def lines(msp: Modelspace, points: Sequence[Point], *, layer: str = "CUT") -> None:
    """Separate lines from each point to the next; open unless the last point is the first."""
    for start, end in pairwise(points):
        msp.add_line(start, end, dxfattribs={"layer": layer})


def plate(msp: Modelspace) -> None:
    """100 × 40 mm with a hole of 10 mm diameter."""
    rectangle(msp, 0, 0, 100, 40)
    circle(msp, 20, 20, 5)


PLATE_AREA_MM2 = 4000 - math.pi * 25
