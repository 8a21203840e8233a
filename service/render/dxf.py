"""Engraving as DXF on a layer of its own, in the units of the file it was planned on.

Each stroke is an open LWPOLYLINE; of drilled dots each is a CIRCLE as wide as it opens at the surface.

The file is a checked-in frame of DXF release 2000 (``frames/engraving.dxf``: header, tables and blocks, no entity) into
which units, extents and strokes are written, so the bytes depend on the engraving and on nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import chain, count
from pathlib import Path

from service.errors import BadCutFile
from service.marks.engraving import Engraving
from service.marks.strokes import Point, Stroke
from service.outlines.drawing import ENGRAVED_REVISION, ENGRAVED_TEXT

LAYER = ENGRAVED_TEXT
"""The layer that carries strokes of text and nothing else."""
REVISION_LAYER = ENGRAVED_REVISION
"""The layer that carries the letter of the revision in its ring."""

_FRAME = Path(__file__).parent / "frames" / "engraving.dxf"
_MODEL_SPACE = "17"
_FIRST_HANDLE = 0x100
_INCH_FAMILY = frozenset({1, 2, 3, 8, 9, 10, 21, 22, 23, 24})
"""``$INSUNITS`` of the inch, foot, mile, microinch, mil, yard and the US survey units."""


def engraving_dxf(engraving: Engraving, *, mm_per_unit: float = 1.0, insunits: int = 4) -> bytes:
    """The strokes as a DXF file.

    Args:
        engraving: strokes in the coordinates of the part, in mm.
        mm_per_unit: length of one drawing unit of the source file in mm, for example 25.4.
        insunits: the ``$INSUNITS`` code of that unit, for example 1 for inches.
    """
    head, tail = _frame()
    scaled = to_drawing_units(engraving.strokes, mm_per_unit)
    dots = to_drawing_units([engraving.dots], mm_per_unit)[0]
    radius = engraving.dot_diameter_mm / 2 / mm_per_unit
    every = [
        *chain.from_iterable(scaled),
        *((x + side * radius, y + side * radius) for x, y in dots for side in (-1, 1)),
    ]
    xs, ys = [x for x, _ in every], [y for _, y in every]
    digits = decimals(mm_per_unit)
    head = (
        head.replace("$INSUNITS\n 70\n4\n", f"$INSUNITS\n 70\n{insunits}\n")
        .replace("$MEASUREMENT\n 70\n1\n", f"$MEASUREMENT\n 70\n{0 if insunits in _INCH_FAMILY else 1}\n")
        .replace("$EXTMIN\n 10\n1e+20\n 20\n1e+20\n 30\n1e+20\n", _corner("$EXTMIN", min(xs), min(ys), digits))
        .replace("$EXTMAX\n 10\n-1e+20\n 20\n-1e+20\n 30\n-1e+20\n", _corner("$EXTMAX", max(xs), max(ys), digits))
    )
    handles = (f"{number:X}" for number in count(_FIRST_HANDLE))
    drawn = [lwpolyline(stroke, digits=digits, handle=next(handles), owner=_MODEL_SPACE) for stroke in scaled]
    drawn += [circle(dot, radius, digits=digits, handle=next(handles), owner=_MODEL_SPACE) for dot in dots]
    body = "".join(drawn)
    return (head + body + tail).encode("ascii")


def to_drawing_units(strokes: Sequence[Stroke], mm_per_unit: float) -> list[Stroke]:
    """Strokes in mm as coordinates of a drawing whose unit is ``mm_per_unit`` long.

    Raises:
        BadCutFile: a unit without a length.
    """
    if not (math.isfinite(mm_per_unit) and mm_per_unit > 0):
        raise BadCutFile(
            "the drawing unit has no length",
            field="mm_per_unit",
            value=mm_per_unit,
            todo="State the units of the cut file",
        )
    return [tuple([(x / mm_per_unit, y / mm_per_unit) for x, y in stroke]) for stroke in strokes]


def decimals(mm_per_unit: float) -> int:
    """Decimal places that keep a coordinate within a tenth of a micrometre, whatever the unit."""
    return max(1, 4 + math.ceil(math.log10(mm_per_unit)))


def lwpolyline(stroke: Stroke, *, digits: int, handle: str, owner: str | None, layer: str = LAYER) -> str:
    """One open LWPOLYLINE (DXF release 14 and later) as lines of a DXF file."""
    space = f"330\n{owner}\n" if owner else ""
    return (
        f"  0\nLWPOLYLINE\n  5\n{handle}\n{space}100\nAcDbEntity\n  8\n{layer}\n100\nAcDbPolyline\n"
        f" 90\n{len(stroke)}\n 70\n0\n{points(stroke, digits=digits, before='')}"
    )


def circle(centre: Point, radius: float, *, digits: int, handle: str, owner: str | None, layer: str = LAYER) -> str:
    """One CIRCLE (DXF release 14 and later) as lines of a DXF file."""
    space = f"330\n{owner}\n" if owner else ""
    return (
        f"  0\nCIRCLE\n  5\n{handle}\n{space}100\nAcDbEntity\n  8\n{layer}\n100\nAcDbCircle\n"
        f"{points((centre,), digits=digits, before='')} 30\n0.0\n 40\n{radius:.{digits}f}\n"
    )


def points(stroke: Stroke, *, digits: int, before: str) -> str:
    """The points of a stroke as groups 10 and 20, each point after the lines ``before``; zero has no sign."""
    form = f"{before} 10\n%.{digits}f\n 20\n%.{digits}f\n" * len(stroke)
    text = form % tuple(chain.from_iterable(stroke))
    return text.replace(f"\n-0.{'0' * digits}\n", f"\n0.{'0' * digits}\n")


def _corner(name: str, x: float, y: float, digits: int) -> str:
    return f"{name}\n{points(((x, y),), digits=digits, before='')} 30\n0.0\n"


@cache
def _frame() -> tuple[str, str]:
    """The frame up to where its entities begin, and the rest."""
    text = _FRAME.read_text(encoding="ascii")
    start = text.index("ENTITIES\n") + len("ENTITIES\n")
    return text[:start], text[start:]
