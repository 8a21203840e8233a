"""An engraving over the real outline of its part, at full size, as SVG: what is pinned up at the router.

The part lies between its pale neighbours. The free area is hatched; the edges say what they are by their colour, with
the margin that each keeps. Grooves are drawn as wide as the cutter leaves them, their centre lines in them. Chain lines
are hubs, broken lines keep-outs and zones, grey is what the deck above covers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from textwrap import wrap

from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from service.marks.engraving_lint import lint_engraving
from service.marks.placed import PlacedEngraving
from service.marks.strokes import Point
from service.marks.sweep import sweep, swept
from service.outlines.face import HOLE_MM, PLAIN_MM
from service.outlines.paths import svg_path
from service.render.outline_svg import MARGIN_MM, OUTLINE_LINE, document, dots_group, number, strokes_path
from service.render.svg_text import label

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y in mm."""

FREE = "#4d8f6a"
NEIGHBOUR_FILL, NEIGHBOUR_LINE = "#f4f2ec", "#c9c4b6"
PART_FILL = "#ffffff"
SHADE = "#9aa3a0"
JOINT, WORKING, PLAIN = "#2f5fa8", "#b3541e", "#33433f"
GROOVE, CENTRE_LINE, REVISION = "#7a1230", "#f3d9df", "#5b2a86"
MARK_LINE = "#1d4d4f"
_LEAST_WIDTH = 46  # of the picture, in heights of its words


def engraving_svg(placed: PlacedEngraving) -> str:
    """The preview of an engraving at its place.

    The strokes alone stand in the element ``ENGRAVE_TEXT``, drilled dots in ``ENGRAVE_DOTS``, the revision's in
    ``ENGRAVE_REV``, with millimetres as units and y turned over.
    """
    left, bottom, right, top = placed.face.drawing.bounds_mm
    size = max(2.0, 0.015 * max(right - left, top - bottom))
    direction, tip = _direction(placed, size)
    left, bottom, right, top = _around((left, bottom, right, top), tip)
    centre, around = _centre_mark(placed, size)
    left, bottom, right, top = _around((left, bottom, right, top), around)
    border = MARGIN_MM + size
    window = (left - border, bottom - border, max(right, left + _LEAST_WIDTH * size) + border, top + border)
    width, height = window[2] - window[0], window[3] - window[1]
    letters = int((width - 2 * border) / (0.56 * size))
    caption = [line for text in _caption(placed) for line in wrap(text, letters)]
    legend = _legend(placed, size, (left, window[1]), width - 2 * border)
    foot = (legend.rows * 1.7 + 1.5 * len(caption) + 2.0) * size
    words = "".join(
        label(
            line,
            left,
            window[1] - ((legend.rows * 1.7 + 1.6) + 1.5 * row) * size,
            size,
            weight="600" if row == 0 else "400",
        )
        for row, line in enumerate(caption)
    )
    frame = f'x="{number(window[0])}" y="{number(-window[3])}" width="{number(width)}" height="{number(height)}"'
    return document(
        f'<defs><clipPath id="window"><rect {frame}/></clipPath>{_hatching(size)}</defs>'
        f'<g clip-path="url(#window)">{_neighbours(placed, window)}{_part(placed, size)}{_grooves(placed)}'
        f"{_cap_height(placed, size)}{direction}{centre}</g>{legend.content}{words}",
        left=window[0],
        top=window[3],
        width=width,
        height=height + foot,
        title=f"Engraving {placed.engraving.words}, {placed.place_words}",
    )


def _caption(placed: PlacedEngraving) -> list[str]:
    text = placed.engraving
    x, y = text.origin
    revision = placed.revision
    lines = [
        text.words,
        placed.place_words,
        (
            f"{text.cutter.words}, groove {text.cutter.groove_mm:.2f} mm; lower left corner of the text at "
            f"X {x:.1f} Y {y:.1f} mm, turned {round(text.angle_deg, 1) + 0.0:.1f}°"
        ),
    ]
    if revision is not None:
        lines.append(f"revision {revision.letter} in its ring, {revision.cap_height_mm:g} mm: only with this profile")
    lines += [f"{finding.message}. {finding.todo}" for finding in lint_engraving(text) if finding.level == "warning"]
    return lines


def _hatching(size: float) -> str:
    pitch = number(size * 0.9)
    return (
        f'<pattern id="free-hatch" width="{pitch}" height="{pitch}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><path d="M0,0V{pitch}" stroke="{FREE}" stroke-width="{number(size * 0.07)}" '
        f'stroke-opacity="0.55"/></pattern>'
    )


def _neighbours(placed: PlacedEngraving, window: Box) -> str:
    """Those that touch the part, cut off where the picture ends."""
    shown = []
    frame = Polygon([(window[0], window[1]), (window[2], window[1]), (window[2], window[3]), (window[0], window[3])])
    for neighbour in placed.face.neighbours:
        shape = _polygons(neighbour.material.intersection(frame))
        if shape.is_empty:
            continue
        shown.append(
            f'<path class="neighbour" d="{svg_path(shape)}" fill="{NEIGHBOUR_FILL}" fill-rule="evenodd" '
            f'stroke="{NEIGHBOUR_LINE}" stroke-width="0.3"/>'
        )
    return "".join(shown)


def _part(placed: PlacedEngraving, size: float) -> str:
    face = placed.face
    drawing = face.drawing
    free = _polygons(face.free(placed.margins, seen=placed.seen))
    parts = [
        (
            f'<path id="outline" d="{svg_path(drawing.material)}" fill="{PART_FILL}" fill-rule="evenodd" '
            f'stroke="{OUTLINE_LINE}" stroke-width="0.3" stroke-linejoin="round"/>'
        )
    ]
    shadow = _polygons(face.shadow)
    if not shadow.is_empty:
        parts.append(
            f'<path class="shadow" d="{svg_path(shadow)}" fill="{SHADE}" fill-opacity="0.28" fill-rule="evenodd"/>'
        )
    if not free.is_empty:
        parts.append(
            f'<path class="free" d="{svg_path(free)}" fill="url(#free-hatch)" fill-rule="evenodd" stroke="{FREE}" '
            f'stroke-width="0.25" stroke-dasharray="2 1.2"/>'
        )
    for name, zones, dash in (
        ("hub", drawing.hubs, "4 1 0.6 1"),
        ("keepout", drawing.keepouts, "1.5 1"),
        ("engraving-zone", drawing.engraving_zones, "0.6 0.8"),
    ):
        path = "".join(svg_path(_polygons(zone.intersection(drawing.material))) for zone in zones)
        if path:
            fill = '#e9e4d8" fill-opacity="0.5' if name == "keepout" else "none"
            parts.append(
                f'<path class="{name}" d="{path}" fill="{fill}" stroke="{OUTLINE_LINE}" stroke-opacity="0.75" '
                f'stroke-width="0.25" stroke-dasharray="{dash}"/>'
            )
    for name, edge, colour in (
        ("plain", face.plain, PLAIN),
        ("working", face.working, WORKING),
        ("joint", face.joints, JOINT),
    ):
        path = _lines(edge)
        if path:
            parts.append(
                f'<path class="{name}" d="{path}" fill="none" stroke="{colour}" stroke-width="{number(0.17 * size)}" '
                f'stroke-linecap="round" stroke-linejoin="round"/>'
            )
    return "".join(parts)


def _grooves(placed: PlacedEngraving) -> str:
    text = placed.engraving
    path = "".join(svg_path(_polygons(groove), digits=3) for groove in sweep(text).grooves)
    parts = [f'<path class="groove" d="{path}" fill="{GROOVE}" fill-rule="nonzero"/>']
    if text.dots:
        parts.append(dots_group(text))
    else:
        parts.append(strokes_path(text.strokes, name="ENGRAVE_TEXT", colour=CENTRE_LINE, width_mm=0.06))
    revision = placed.revision
    if revision is not None:
        ring = svg_path(swept(revision.strokes, text.cutter.groove_mm), digits=3)
        parts.append(f'<path class="groove" d="{ring}" fill="{REVISION}" fill-rule="evenodd"/>')
        parts.append(strokes_path(revision.strokes, name="ENGRAVE_REV", colour=CENTRE_LINE, width_mm=0.06))
    return "".join(parts)


def _cap_height(placed: PlacedEngraving, size: float) -> str:
    """The height of the capitals of the first line, dimensioned beside it (ISO 129-1, from memory)."""
    text = placed.engraving
    if not text.letters:
        return ""
    foot = max(letter.y for letter in text.letters)
    first = [letter for letter in text.letters if abs(letter.y - foot) < 1e-6]
    edge = min(letter.x for letter in first)
    away = edge - 1.6 * size
    ends = (
        ((edge - 0.4 * size, foot), (away - 0.5 * size, foot)),
        (
            (edge - 0.4 * size, foot + text.cap_height_mm),
            (away - 0.5 * size, foot + text.cap_height_mm),
        ),
    )
    lines = [*ends, ((away, foot), (away, foot + text.cap_height_mm))]
    on_part = ["M" + " ".join(_at(point) for point in (_put(placed, *a), _put(placed, *b))) for a, b in lines]
    a, b = 0.75 * size, 0.16 * size
    heads = [
        "M" + " ".join(_at(_put(placed, away + dx, y + dy)) for dx, dy in ((0.0, 0.0), (-b, up * a), (b, up * a))) + "z"
        for y, up in ((foot, 1), (foot + text.cap_height_mm, -1))
    ]
    words = _put(placed, away - 0.4 * size, foot + text.cap_height_mm / 2)
    return (
        f'<path class="dimension" d="{"".join(on_part)}" fill="none" stroke="{OUTLINE_LINE}" stroke-width="0.2"/>'
        f'<path class="dimension" d="{"".join(heads)}" fill="{OUTLINE_LINE}"/>'
        + label(
            f"{text.cap_height_mm:g}", *words, size * 1.1, anchor="middle", turn_deg=text.angle_deg + 90.0, halo=True
        )
    )


def _direction(placed: PlacedEngraving, size: float) -> tuple[str, Box]:
    """An arrow from the text to the axis, with how far that is; upward where none is known. And what it takes up."""
    at = placed.block.centre
    axis = placed.face.axis
    up = math.radians(placed.engraving.angle_deg + 90.0)
    aim = up if axis is None else math.atan2(axis.at[1] - at[1], axis.at[0] - at[0])
    words = "up as drawn" if axis is None else f"centre {math.dist(axis.at, at):.0f} mm"
    begin = placed.block.height_mm / 2 + 1.2 * size
    end = begin + 4.5 * size
    cos, sin = math.cos(aim), math.sin(aim)

    def point(along: float, aside: float = 0.0) -> Point:
        return at[0] + along * cos - aside * sin, at[1] + along * sin + aside * cos

    head = [point(end), point(end - 1.4 * size, 0.42 * size), point(end - 1.4 * size, -0.42 * size)]
    # Beside the middle of the shaft, on whichever side the words run away from it.
    right = sin >= 0 if abs(cos) > 0.3 else True
    x, y = point((begin + end) / 2)
    across = 0.8 * size + abs(cos) * 0.6 * size
    words_at = (x + across if right else x - across, y - 0.35 * size if abs(sin) > 0.3 else y + 0.7 * size)
    length = 0.6 * len(words) * size
    reach = words_at[0] + length if right else words_at[0] - length
    xs, ys = [point(begin)[0], point(end)[0], reach], [point(begin)[1], point(end)[1], words_at[1]]
    return (
        f'<path class="direction" d="M{_at(point(begin))} {_at(point(end - size))}" fill="none" stroke="{MARK_LINE}" '
        f'stroke-width="{number(0.12 * size)}"/><path class="direction" d="M{" ".join(map(_at, head))}z" '
        f'fill="{MARK_LINE}"/>'
        + label(words, *words_at, 0.9 * size, anchor="start" if right else "end", colour=MARK_LINE, halo=True)
    ), (min(xs), min(ys) - size, max(xs), max(ys) + size)


def _centre_mark(placed: PlacedEngraving, size: float) -> tuple[str, Box | None]:
    """The axis as a crossed ring where it is near the part, and what that takes up."""
    axis = placed.face.axis
    left, bottom, right, top = placed.face.drawing.bounds_mm
    near = max(right - left, top - bottom) * 0.35
    if axis is None:
        return "", None
    x, y = axis.at
    if not (left - near <= x <= right + near and bottom - near <= y <= top + near):
        return "", None
    ring, arm = 1.2 * size, 2.4 * size
    return (
        f'<path class="centre" d="M{_at((x - arm, y))} {_at((x + arm, y))}M{_at((x, y - arm))} {_at((x, y + arm))}" '
        f'fill="none" stroke="{MARK_LINE}" stroke-width="{number(0.1 * size)}" stroke-dasharray="{number(size)} '
        f'{number(0.25 * size)} {number(0.25 * size)} {number(0.25 * size)}"/><circle cx="{number(x)}" '
        f'cy="{number(-y)}" r="{number(ring)}" fill="none" stroke="{MARK_LINE}" stroke-width="{number(0.12 * size)}"/>'
    ), (x - arm, y - arm, x + arm, y + arm)


def _around(box: Box, other: Box | None) -> Box:
    if other is None:
        return box
    return min(box[0], other[0]), min(box[1], other[1]), max(box[2], other[2]), max(box[3], other[3])


@dataclass(frozen=True, slots=True)
class _Legend:
    content: str
    rows: int


def _legend(placed: PlacedEngraving, size: float, corner: Point, width: float) -> _Legend:
    """What the colours of the edges mean, with the margin that each keeps here; as many rows as it takes."""
    face, margins = placed.face, placed.margins
    zone = margins.name == "zone"
    entries: list[tuple[str | None, str]] = [
        (colour, words if zone else f"{words} {margin:g} mm")
        for colour, words, margin, edge in (
            (JOINT, "joint", margins.joint_mm, face.joints),
            (WORKING, "pocket or guiding edge", margins.working_mm, face.working),
            (PLAIN, "plain edge", PLAIN_MM, face.plain),
        )
        if not edge.is_empty
    ]
    entries.append((None, "free: engraving zone" if zone else f"free; from holes {HOLE_MM:g} mm"))
    if not face.shadow.is_empty:
        entries.append((SHADE, "under the deck above"))
    parts: list[str] = []
    x, row = 0.0, 0
    for colour, words in entries:
        long = (3.6 + 0.56 * len(words)) * size
        if x and x + long > width:
            x, row = 0.0, row + 1
        left, y = corner[0] + x, corner[1] - (1.4 + 1.7 * row) * size
        parts.append(_swatch(colour, left, y, size) + label(words, left + 2.6 * size, y, 0.9 * size))
        x += long
    return _Legend("".join(parts), row + 1)


def _swatch(colour: str | None, x: float, y: float, size: float) -> str:
    if colour in (None, SHADE):
        fill = f'url(#free-hatch)" stroke="{FREE}' if colour is None else f'{SHADE}" fill-opacity="0.28'
        return (
            f'<rect x="{number(x)}" y="{number(-y - 0.9 * size)}" width="{number(2 * size)}" '
            f'height="{number(1.1 * size)}" fill="{fill}" stroke-width="0.25"/>'
        )
    middle = y + 0.35 * size
    return (
        f'<path d="M{_at((x, middle))} {_at((x + 2 * size, middle))}" stroke="{colour}" '
        f'stroke-width="{number(0.17 * size)}" stroke-linecap="round"/>'
    )


def _put(placed: PlacedEngraving, x: float, y: float) -> Point:
    """A point of the text's block on the part."""
    text = placed.engraving
    turn = math.radians(text.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    return text.origin[0] + x * cos - y * sin, text.origin[1] + x * sin + y * cos


def _at(point: Point) -> str:
    return f"{number(point[0])},{number(-point[1])}"


def _polygons(shape: BaseGeometry) -> MultiPolygon:
    return MultiPolygon([part for part in getattr(shape, "geoms", [shape]) if isinstance(part, Polygon)])


def _lines(edge: BaseGeometry) -> str:
    """Stretches of an outline as path data."""
    runs: Iterable[Sequence[Point]] = (
        [(x, y) for x, y, *_ in part.coords] for part in getattr(edge, "geoms", [edge]) if not part.is_empty
    )
    return "".join("M" + " ".join(_at(point) for point in run) for run in runs if len(run) > 1)
