"""Finished engraving files read back: what goes to the router says what was chosen, in the place where it was planned.

The readers take nothing from the writers: they find the layer, the units and the coordinates in the file itself. What
they find is proven three times over: its grooves are read as a picture, its strokes by their shapes, and every point
lies where it was planned.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from service.errors import ReadBackFailed
from service.findings import Finding
from service.marks.engraving import Engraving, prove
from service.marks.strokes import Point, Stroke
from service.outlines.units import unit_of_insunits
from service.render.dxf import LAYER
from service.render.dxf_tags import Tag, first, header_value, lines_of, records, section, tags_of
from service.render.engraving_match import dot_findings, groove_findings, path_findings

PLACE_TOLERANCE_MM = 0.01
"""How far a point may lie from where it was planned."""


def prove_dxf(data: bytes, engraving: Engraving, *, name: str, mm_per_unit: float | None = None) -> None:
    """Read the engraving out of a DXF and compare text and place.

    Args:
        data: a text DXF.
        engraving: what was planned.
        name: the file's name, for messages.
        mm_per_unit: length of the drawing unit where the file itself names none.

    Raises:
        ReadBackFailed: another text, another place, or no units.
    """
    strokes, dots = found_in_dxf(data, name=name, mm_per_unit=mm_per_unit)
    prove_found(strokes, dots, engraving, name=name)


def prove_svg(text: str, engraving: Engraving, *, name: str) -> None:
    """Read the engraving out of an SVG preview and compare text and place.

    Raises:
        ReadBackFailed: another text or another place.
    """
    found = re.search(r'<path id="ENGRAVE_TEXT" d="([^"]*)"', text)
    runs = found.group(1).split("M")[1:] if found else []
    strokes: list[Stroke] = []
    for run in runs:
        pairs = [pair.split(",") for pair in run.split()]
        strokes.append(tuple((float(x), -float(y)) for x, y in pairs))
    holes = re.search(r'<g id="ENGRAVE_DOTS"[^>]*>(.*?)</g>', text, re.DOTALL)
    circles = re.findall(r"<circle ([^>]*)/>", holes.group(1)) if holes else []
    dots = [(_attribute(circle, "cx"), -_attribute(circle, "cy")) for circle in circles]
    prove_found(strokes, dots, engraving, name=name)


def prove_paths(paths: Sequence[Stroke], engraving: Engraving, *, name: str) -> None:
    """Prove the text among the paths of a program, in mm on the part, as a picture.

    Raises:
        ReadBackFailed: another text, or one that is mirrored, turned or clipped; the rule is named.
    """
    _stop_at(path_findings(paths, engraving), name)


def prove_found(strokes: Sequence[Stroke], dots: Sequence[Point], engraving: Engraving, *, name: str) -> None:
    """Prove what was found in a finished file, in mm on the part.

    Args:
        strokes: where the cutter goes below the surface.
        dots: where it only dips.
        engraving: what was planned.
        name: the file's name, for messages.

    Raises:
        ReadBackFailed: another text, another place, a text that is mirrored, turned or clipped; the rule is named.
    """
    _stop_at([*dot_findings(dots, engraving), *groove_findings(strokes, engraving)], name)
    if not engraving.dots:
        prove(engraving, strokes, name=name)
    found = [*(point for stroke in strokes for point in stroke), *dots]
    planned = [*(point for stroke in engraving.strokes for point in stroke), *engraving.dots]
    if len(found) != len(planned):
        raise _elsewhere(engraving, name, f"{len(found)} points instead of {len(planned)}")
    off = max(max(abs(x - u), abs(y - v)) for (x, y), (u, v) in zip(found, planned, strict=True))
    if off > PLACE_TOLERANCE_MM:
        raise _elsewhere(engraving, name, f"{off:.3f} mm away from where it was planned")


def _stop_at(faults: Sequence[Finding], name: str) -> None:
    for fault in faults:
        raise ReadBackFailed(f"{fault.message} ({fault.rule})", field=name, value=fault.value, todo=fault.todo)


def _elsewhere(engraving: Engraving, name: str, what: str) -> ReadBackFailed:
    return ReadBackFailed(
        f"the text is right, but the strokes are not where they should be: {what}",
        field=name,
        value=" / ".join(engraving.lines),
        todo="Do not cut it; keep the file and report the fault",
    )


def _attribute(element: str, name: str) -> float:
    found = re.search(rf'\b{name}="([^"]*)"', element)
    return float(found.group(1)) if found else 0.0


def found_in_dxf(
    data: bytes, *, name: str, mm_per_unit: float | None = None, layer: str = LAYER
) -> tuple[list[Stroke], list[Point]]:
    """Polylines and centres of circles on a layer, in mm.

    Raises:
        ReadBackFailed: no units, neither in the file nor given.
    """
    tags = tags_of(lines_of(data, name=name), name=name)
    code = header_value(tags, "$INSUNITS")
    unit = unit_of_insunits(int(code.value)) if code is not None else None
    scale = unit.mm if unit is not None else mm_per_unit
    if scale is None:
        raise ReadBackFailed(
            "the file names no units", field=name, value=name, todo="Do not cut it; keep the file and report the fault"
        )
    strokes: list[list[Point]] = []
    dots: list[Point] = []
    for record in records(section(tags, "ENTITIES")):
        if first(record, 8) != layer:
            continue
        kind = record[0].value
        if kind in ("LWPOLYLINE", "POLYLINE"):
            strokes.append([])
        if kind in ("LWPOLYLINE", "VERTEX"):
            strokes[-1] += _points(record, scale)
        if kind == "CIRCLE":
            dots += _points(record, scale)
    return [tuple(stroke) for stroke in strokes], dots


def _points(record: Sequence[Tag], scale: float) -> list[Point]:
    xs = [float(tag.value) * scale for tag in record if tag.code == 10]
    ys = [float(tag.value) * scale for tag in record if tag.code == 20]
    return list(zip(xs, ys, strict=True))
