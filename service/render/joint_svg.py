"""The picture of a spot at a joint: both outlines, what would lie over each other, the gap in mm, and where it is.

A square of the joint at a large scale, beside it both pieces whole with the square marked. An overlap is hatched and
named; gaps carry figures, so that nothing rests on colour alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from xml.sax.saxutils import escape

import shapely
from shapely.geometry.base import BaseGeometry

from service.outlines.joint_fit import JointFit
from service.outlines.paths import svg_path
from service.render.outline_svg import OUTLINE_LINE, attribute, number

Point = tuple[float, float]

FONT = "'DejaVu Sans',Arial,sans-serif"
NEW_FILL, OLD_FILL, OVERLAP = "#f1d9a7", "#cfdde3", "#b3131f"
NEW_LINE, OLD_LINE = "#8a5a00", "#2f5566"

_SIDE = 520.0
_COLUMN = 250.0
_PAD = 16.0
_CLOSE_MM, _WIDE_MM = 12.0, 30.0
"""Half the side of the square: for gaps, and for an overlap or a gap of more than a millimetre."""
_FIGURES = 5
_ARROW_PX = 26.0


@dataclass(frozen=True, slots=True)
class Named:
    """One of the two pieces: its whole outline as it is cut, and what it is called."""

    material: BaseGeometry
    name: str


def joint_svg(fit: JointFit, new: Named, old: Named, *, at: Point, sentence: str) -> str:
    """The picture of a spot.

    Args:
        fit: how the two pieces meet.
        new: the piece that is to be cut, first in ``fit``.
        old: the neighbour.
        at: the spot, in mm.
        sentence: what is to be said of it.
    """
    half = _WIDE_MM if fit.depth_mm > 0 or fit.greatest_mm > 1 else _CLOSE_MM
    main = _View(at, half, _PAD, _PAD, _SIDE)
    width, height = 3 * _PAD + _SIDE + _COLUMN, 2 * _PAD + _SIDE
    content = [
        f'<rect width="{number(width)}" height="{number(height)}" fill="#ffffff"/>',
        _definitions(main),
        f'<g transform="translate({number(_PAD)} {number(_PAD)})"><g clip-path="url(#spot)">',
        *main.shapes(new.material, NEW_FILL, NEW_LINE, "new-piece"),
        *main.shapes(old.material, OLD_FILL, OLD_LINE, "neighbour"),
        *(part for overlap in fit.overlaps for part in main.shapes(overlap, "url(#over)", OVERLAP, "overlap")),
        *_names(main, new, old),
        *_figures(main, fit, old),
        f'</g><rect width="{number(_SIDE)}" height="{number(_SIDE)}" fill="none" stroke="{OUTLINE_LINE}"/>',
        *_scale(main),
        "</g>",
        *_beside(fit, new, old, at, half, sentence),
    ]
    title = f"{new.name} at {old.name}: {sentence}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}" height="{number(height)}" '
        f'viewBox="0 0 {number(width)} {number(height)}" role="img" aria-label="{attribute(title)}">'
        f"<title>{escape(title)}</title>{''.join(content)}</svg>\n"
    )


def _definitions(main: _View) -> str:
    """The frame of the square, and the hatching: in mm on the drawing, in pixels in the key."""
    hatch = f'<rect width="7" height="7" fill="#f3b6b9"/><rect width="2.4" height="7" fill="{OVERLAP}"/></pattern>'
    begin = '<pattern id="{}" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="{}rotate(45)">'
    return (
        f'<defs><clipPath id="spot"><rect width="{number(_SIDE)}" height="{number(_SIDE)}"/></clipPath>'
        f"{begin.format('over', f'scale({1 / main.scale:.5f}) ')}{hatch}{begin.format('key', '')}{hatch}</defs>"
    )


@dataclass(frozen=True, slots=True)
class _View:
    """A square of the drawing, ``half`` mm to each side of a point, drawn ``side`` pixels wide from the origin."""

    at: Point
    half: float
    left: float
    top: float
    side: float

    @property
    def scale(self) -> float:
        return self.side / (2 * self.half)

    def place(self, point: Point) -> Point:
        return (
            (point[0] - self.at[0] + self.half) * self.scale,
            (self.at[1] + self.half - point[1]) * self.scale,
        )

    def holds(self, point: Point, margin_mm: float = 0.0) -> bool:
        return max(abs(point[0] - self.at[0]), abs(point[1] - self.at[1])) <= self.half - margin_mm

    def box(self, margin_mm: float = 0.0) -> BaseGeometry:
        reach = self.half + margin_mm
        return shapely.box(self.at[0] - reach, self.at[1] - reach, self.at[0] + reach, self.at[1] + reach)

    def shapes(self, shape: BaseGeometry, fill: str, line: str, name: str, width: float = 1.3) -> Iterator[str]:
        path = "".join(svg_path(part, digits=3) for part in shapely.get_parts(shape) if part.geom_type == "Polygon")
        x, y = (-self.at[0] + self.half) * self.scale, (self.at[1] + self.half) * self.scale
        yield (
            f'<path class="{name}" transform="translate({number(x)} {number(y)}) scale({self.scale:.5f})" d="{path}" '
            f'fill="{fill}" fill-rule="evenodd" stroke="{line}" stroke-width="{width}" '
            'vector-effect="non-scaling-stroke" stroke-linejoin="round"/>'
        )


def _names(view: _View, new: Named, old: Named) -> Iterator[str]:
    """Each piece's name in the middle of what is seen of it."""
    for piece, colour in ((new, NEW_LINE), (old, OLD_LINE)):
        inside = shapely.get_parts(piece.material.intersection(view.box(-1.0)))
        seen = [part for part in inside if part.geom_type == "Polygon"]
        if not seen:
            continue
        largest = max(seen, key=lambda part: part.area)
        circle = shapely.maximum_inscribed_circle(largest, tolerance=view.half / 100)
        x, y = view.place(tuple(circle.coords[0]))
        yield _text(piece.name, min(max(x, 80), _SIDE - 80), min(max(y, 20), _SIDE - 34), 15, colour=colour, bold=True)


def _figures(view: _View, fit: JointFit, old: Named) -> Iterator[str]:
    """Gaps across the joint with their figures; the depth where the pieces overlap."""
    if fit.depth_at is not None:
        x, y = view.place(fit.depth_at)
        yield f'<circle cx="{number(x)}" cy="{number(y)}" r="9" fill="none" stroke="{OVERLAP}" stroke-width="2"/>'
        yield _text(f"{fit.depth_mm:.2f} mm deep", x, y - 16, 15, colour=OVERLAP, bold=True)
    taken: list[Point] = [view.place(fit.depth_at)] if fit.depth_at is not None else []
    for x_mm, y_mm, gap in _spread(view, fit):
        place = view.place((x_mm, y_mm))
        if any(math.dist(place, other) < 70 for other in taken):
            continue
        taken.append(place)
        towards = _across(old.material, (x_mm, y_mm))
        yield from _gap(view, (x_mm, y_mm), towards, gap)


def _spread(view: _View, fit: JointFit) -> list[tuple[float, float, float]]:
    """Places to put a figure at: the least and the greatest gap, then some in between."""
    seen = [place for place in fit.places if place[2] >= 0 and view.holds(place[:2], view.half * 0.12)]
    if not seen:
        return []
    ends = [min(seen, key=lambda place: place[2]), max(seen, key=lambda place: place[2])]
    step = max(1, len(seen) // _FIGURES)
    return [*ends, *seen[step // 2 :: step]]


def _across(material: BaseGeometry, point: Point) -> Point:
    """The nearest point of the neighbour."""
    line = shapely.shortest_line(shapely.Point(point), material)
    x, y = line.coords[-1]
    return float(x), float(y)


def _gap(view: _View, here: Point, there: Point, gap: float) -> Iterator[str]:
    """Two arrows that point at the gap from either side, as a narrow width is dimensioned, and the figure."""
    (x1, y1), (x2, y2) = view.place(here), view.place(there)
    length = math.hypot(x2 - x1, y2 - y1)
    if length < 1e-6:
        return
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    for (x, y), sign in (((x1, y1), -1.0), ((x2, y2), 1.0)):
        tail = (x + sign * ux * _ARROW_PX, y + sign * uy * _ARROW_PX)
        wing = [(x + sign * ux * 8 + side * -uy * 3, y + sign * uy * 8 + side * ux * 3) for side in (1.0, -1.0)]
        points = " ".join(f"{number(px)},{number(py)}" for px, py in ((x, y), *wing))
        yield (
            f'<path d="M{number(tail[0])},{number(tail[1])}L{number(x)},{number(y)}" stroke="{OUTLINE_LINE}" '
            f'stroke-width="1.2"/><polygon class="gap" points="{points}" fill="{OUTLINE_LINE}"/>'
        )
    x, y = x2 + ux * (_ARROW_PX + 16), y2 + uy * (_ARROW_PX + 14) + 5
    yield _text(f"{gap:.2f}", x, y, 13)


def _scale(view: _View) -> Iterator[str]:
    """A bar of a round length in the lower left corner."""
    length = 10.0 if view.half > _CLOSE_MM else 5.0
    px = length * view.scale
    yield (
        f'<rect x="8" y="{number(_SIDE - 34)}" width="{number(px + 16)}" height="28" fill="#ffffff" opacity="0.85"/>'
        f'<path d="M16,{number(_SIDE - 16)}v4h{number(px)}v-4" fill="none" stroke="{OUTLINE_LINE}" stroke-width="1.6"/>'
    )
    yield _text(f"{length:g} mm", 16 + px / 2, _SIDE - 19, 12)


def _beside(fit: JointFit, new: Named, old: Named, at: Point, half: float, sentence: str) -> Iterator[str]:
    """The column on the right: both pieces whole, what the colours mean, the sentence, the figures."""
    left = 2 * _PAD + _SIDE
    both = shapely.union_all([shapely.box(*new.material.bounds), shapely.box(*old.material.bounds)]).bounds
    reach = max(both[2] - both[0], both[3] - both[1]) / 2 * 1.04
    view = _View(((both[0] + both[2]) / 2, (both[1] + both[3]) / 2), reach, 0, 0, _COLUMN)
    yield f'<g transform="translate({number(left)} {number(_PAD)})">'
    yield from view.shapes(new.material, NEW_FILL, NEW_LINE, "whole", 0.8)
    yield from view.shapes(old.material, OLD_FILL, OLD_LINE, "whole", 0.8)
    x, y = view.place((at[0] - half, at[1] + half))
    side = 2 * half * view.scale
    yield (
        f'<rect x="{number(x)}" y="{number(y)}" width="{number(side)}" height="{number(side)}" fill="none" '
        f'stroke="{OVERLAP if fit.overlaps else OUTLINE_LINE}" stroke-width="2"/>'
    )
    row = _COLUMN + 26
    for fill, line, words in ((NEW_FILL, NEW_LINE, f"{new.name}, to be cut"), (OLD_FILL, OLD_LINE, old.name)):
        yield f'<rect x="0" y="{number(row - 11)}" width="14" height="14" fill="{fill}" stroke="{line}"/>'
        yield _text(words, 22, row, 13, anchor="start")
        row += 22
    if fit.overlaps:
        yield f'<rect x="0" y="{number(row - 11)}" width="14" height="14" fill="url(#key)" stroke="{OVERLAP}"/>'
        yield _text("would lie over each other", 22, row, 13, anchor="start", colour=OVERLAP)
        row += 22
    row += 8
    for line in (*wrap(sentence, 36), "", *_rows(fit)):
        if line:
            yield _text(line, 0, row, 13, anchor="start")
        row += 18 if line else 8
    yield "</g>"


def _rows(fit: JointFit) -> Sequence[str]:
    if fit.overlaps:
        return ()
    play = "can be drawn out" if fit.play_mm is None else f"{fit.play_mm:.2f} mm of play"
    even = f"{fit.greatest_mm:.2f}" == f"{fit.least_mm:.2f}"
    span = f"{fit.least_mm:.2f} to {fit.greatest_mm:.2f} mm, half {fit.median_mm:.2f} mm"
    return (f"gap {fit.median_mm:.2f} mm" if even else f"gap {span}", f"{play}, joint {fit.length_mm:.0f} mm long")


def _text(
    words: str,
    x: float,
    y: float,
    size: float,
    *,
    anchor: str = "middle",
    colour: str = OUTLINE_LINE,
    bold: bool = False,
) -> str:
    weight = "700" if bold else "400"
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-family="{FONT}" font-size="{number(size)}" fill="{colour}" '
        f'font-weight="{weight}" '
        f'text-anchor="{anchor}" stroke="#ffffff" stroke-width="3" stroke-linejoin="round" paint-order="stroke">'
        f"{escape(words)}</text>"
    )
