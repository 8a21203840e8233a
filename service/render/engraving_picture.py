"""The grooves of a finished engraving as a picture, read letter by letter as a person with good eyes would read it.

Nothing of how the text was set is used: the grooves are swept, rasterised in the reading direction, parted into rows
and letters by the blanks between them, and each letter is laid over pictures of all letters of the font, upright,
mirrored and turned. A picture fits when no pixel of either lies farther than :data:`NEAR` from the other. The two
nearest letters of the font, O and 0, are 0.1 cap heights apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from service.marks.strokes import CHARACTERS, Point, Stroke, glyph
from service.marks.sweep import swept

UNREADABLE = "\N{REPLACEMENT CHARACTER}"

PIXELS = 48
"""Pixels of a cap height: letters of 2.4 mm come out at 20 pixels a millimetre."""
NEAR = 2
"""Pixels by which a groove may lie beside that of a letter: 0.04 cap heights."""
HAIR = 2 / PIXELS
"""The thinnest groove that is drawn, in cap heights; a finer one would fall between the pixels."""
WORD_GAP = 0.5
"""Blank between words, in cap heights, groove edge to groove edge; letters stand 0.2 to 0.3 apart, words 0.6."""
MOST_HEIGHTS = 120
"""A picture that is wider or higher, in cap heights, shows no text of a segment."""

Bits = NDArray[np.bool_]
Way = Literal["upright", "mirrored", "upside down", "turned", "on its left side", "on its right side"]
"""How a picture lies: seen in a mirror, in water, turned half round, or a quarter."""
LETTER_WAYS: tuple[Way, ...] = ("mirrored", "upside down", "turned")
"""The ways in which single letters are looked for in a text that itself stands upright."""
_EDGE = 4 * NEAR


@dataclass(frozen=True, slots=True)
class Picture:
    """Grooves in reading direction.

    Attributes:
        ink: pixels of the grooves, the top row first.
        ratio: width of a groove in cap heights.
        corner: of the lower left corner of the lowest pixel, in cap heights from the block's origin.
    """

    ink: Bits
    ratio: float
    corner: Point


@dataclass(frozen=True, slots=True)
class PictureText:
    """What a picture says.

    Attributes:
        lines: from the top; a letter that is none of the font's is the replacement character.
        base_line: whether a line stands under the last row over its whole width.
    """

    lines: tuple[str, ...]
    base_line: bool


def picture(
    strokes: Iterable[Stroke], *, groove_mm: float, cap_height_mm: float, origin: Point, angle_deg: float
) -> Picture | None:
    """Strokes in mm on the part, swept and rasterised along the reading direction; nothing where they reach too far.

    Args:
        strokes: centre lines of the cutter.
        groove_mm: how wide it cuts.
        cap_height_mm: height of the letters.
        origin: where the block's lower left corner should be.
        angle_deg: its reading direction, counter-clockwise from the x axis.
    """
    turn = math.radians(-angle_deg)
    cos, sin = math.cos(turn) / cap_height_mm, math.sin(turn) / cap_height_mm
    x0, y0 = origin
    along = [
        tuple([((x - x0) * cos - (y - y0) * sin, (x - x0) * sin + (y - y0) * cos) for x, y in stroke])
        for stroke in strokes
        if len(stroke) > 1
    ]
    return _drawn(along, max(groove_mm / cap_height_mm, HAIR))


def read(shown: Picture, way: Way = "upright", *, letters: Way = "upright") -> PictureText:
    """The text of a picture that is itself turned over in a ``way``, with letters that are turned over in another."""
    rows = _bands(_turned(shown.ink, way))
    base_line = len(rows) > 1 and _is_rule(rows[-1], rows[-2], shown.ratio)
    if base_line:
        rows.pop()
    return PictureText(lines=tuple(_read_row(row, shown.ratio, letters) for row in rows), base_line=base_line)


def spread(ink: Bits, by: int = NEAR) -> Bits:
    """Ink with everything that is at most ``by`` pixels beside it, in either direction."""
    wide = ink.copy()
    for step in range(1, by + 1):
        wide[:, step:] |= ink[:, :-step]
        wide[:, :-step] |= ink[:, step:]
    high = wide.copy()
    for step in range(1, by + 1):
        high[step:] |= wide[:-step]
        high[:-step] |= wide[step:]
    return high


def over_each_other(first: Picture, second: Picture) -> tuple[Bits, Bits]:
    """Two pictures of one origin on one sheet of paper, as large as both."""
    left = min(first.corner[0], second.corner[0])
    low = min(first.corner[1], second.corner[1])
    right = max(shown.corner[0] + shown.ink.shape[1] / PIXELS for shown in (first, second))
    high = max(shown.corner[1] + shown.ink.shape[0] / PIXELS for shown in (first, second))
    width, height = round((right - left) * PIXELS), round((high - low) * PIXELS)
    sheets: list[Bits] = []
    for shown in (first, second):
        sheet = np.zeros((height, width), dtype=np.bool_)
        rows, columns = shown.ink.shape
        column = round((shown.corner[0] - left) * PIXELS)
        bottom = height - round((shown.corner[1] - low) * PIXELS)
        sheet[bottom - rows : bottom, column : column + columns] = shown.ink
        sheets.append(sheet)
    return sheets[0], sheets[1]


@dataclass(frozen=True, slots=True)
class _Template:
    """A letter as pixels, with a blank edge; ``foot`` is its base line in rows from the top."""

    ink: Bits
    spread: Bits
    foot: int
    width: int
    top: int
    bottom: int


@lru_cache(maxsize=32)
def _templates(ratio: float, way: Way) -> dict[str, _Template]:
    """All letters of the font under a groove, each turned over in a way within the height of a capital."""
    found: dict[str, _Template] = {}
    for char in CHARACTERS:
        shown = _drawn(_over(glyph(char).strokes, glyph(char).width, way), ratio)
        assert shown is not None
        ink = np.pad(shown.ink, _EDGE)
        rows = np.flatnonzero(ink.any(axis=1))
        columns = np.flatnonzero(ink.any(axis=0))
        foot = ink.shape[0] - _EDGE + round(shown.corner[1] * PIXELS)
        found[char] = _Template(
            ink=ink[:, columns[0] - _EDGE : columns[-1] + 1 + _EDGE],
            spread=spread(ink)[:, columns[0] - _EDGE : columns[-1] + 1 + _EDGE],
            foot=foot,
            width=int(columns[-1] - columns[0] + 1),
            top=int(foot - rows[0]),
            bottom=int(foot - rows[-1] - 1),
        )
    return found


def _over(strokes: Sequence[Stroke], width: float, way: Way) -> list[Stroke]:
    """A letter turned over in a way: across its width, its height, or both; letters are not laid on their sides."""
    mirror, flip = way in ("mirrored", "turned"), way in ("upside down", "turned")
    return [tuple([(width - x if mirror else x, 1 - y if flip else y) for x, y in stroke]) for stroke in strokes]


def _turned(ink: Bits, way: Way) -> Bits:
    match way:
        case "mirrored":
            return ink[:, ::-1]
        case "upside down":
            return ink[::-1]
        case "turned":
            return ink[::-1, ::-1]
        case "on its left side":
            return np.rot90(ink, -1)
        case "on its right side":
            return np.rot90(ink)
        case _:
            return ink


def _drawn(strokes: Sequence[Stroke], ratio: float) -> Picture | None:
    """Strokes in cap heights as pixels."""
    if not strokes:
        return Picture(ink=np.zeros((1, 1), dtype=np.bool_), ratio=ratio, corner=(0.0, 0.0))
    shapes = swept(strokes, ratio, quarter_segments=4)
    left, low, right, high = shapes.bounds
    if not (right - left <= MOST_HEIGHTS and high - low <= MOST_HEIGHTS):
        return None
    # Whole pixels from the origin, so that pictures of one origin can be laid over each other.
    left, low = math.floor(left * PIXELS) / PIXELS, math.floor(low * PIXELS) / PIXELS
    width, height = math.ceil((right - left) * PIXELS) + 1, math.ceil((high - low) * PIXELS) + 1
    image = Image.new("1", (width, height))
    draw = ImageDraw.Draw(image)
    for part in sorted(shapes.geoms, key=lambda one: -shapely.area(one.envelope)):
        for ring, ink in ((part.exterior, 1), *((hole, 0) for hole in part.interiors)):
            points = (np.asarray(ring.coords) - (left, low)) * PIXELS
            points[:, 1] = height - points[:, 1]
            draw.polygon([(float(x), float(y)) for x, y in points - 0.5], fill=ink)
    return Picture(ink=np.asarray(image, dtype=np.bool_), ratio=ratio, corner=(left, low))


def _bands(ink: Bits) -> list[Bits]:
    """Rows of ink with blank rows between them, the top one first."""
    return [ink[start:end] for start, end in _runs(_any(ink, axis=1))]


def _any(ink: Bits, *, axis: int) -> Bits:
    """Which rows (axis 1) or columns (axis 0) hold ink."""
    return np.asarray(ink.any(axis=axis))


def _runs(marked: Bits) -> list[tuple[int, int]]:
    """Where runs of marked places begin and end."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], marked, [False])).astype(np.int8)))
    return [(int(start), int(end)) for start, end in edges.reshape(-1, 2)]


def _is_rule(band: Bits, over: Bits, ratio: float) -> bool:
    """Whether a row is one level line that reaches from the first to the last letter of the row over it."""
    runs = _runs(_any(band, axis=0))
    text = np.flatnonzero(over.any(axis=0))
    return (
        band.shape[0] <= ratio * PIXELS + 2 * NEAR
        and len(runs) == 1
        and runs[0][0] <= text[0] + NEAR
        and runs[0][1] >= text[-1] + 1 - NEAR
    )


def _read_row(band: Bits, ratio: float, way: Way) -> str:
    cells = _runs(_any(band, axis=0))
    boxes = [_rows_of(band[:, start:end]) for start, end in cells]
    foot = _foot(boxes, ratio)
    near = spread(np.pad(band, _EDGE))
    text = ""
    for before, cell, box in zip([None, *cells], cells, boxes, strict=False):
        if before is not None and cell[0] - before[1] > WORD_GAP * PIXELS:
            text += " "
        text += _nearest(band, near, cell, box, foot, ratio, way)
    return text


def _rows_of(cell: Bits) -> tuple[int, int]:
    rows = np.flatnonzero(cell.any(axis=1))
    return int(rows[0]), int(rows[-1]) + 1


def _foot(boxes: Sequence[tuple[int, int]], ratio: float) -> int:
    """The base line in rows from the top: under most of the letters that are as high as a capital, half a groove up."""
    capital = (1 + ratio) * PIXELS
    feet = [bottom for top, bottom in boxes if abs(bottom - top - capital) <= NEAR]
    chosen = max(feet, key=lambda foot: sum(abs(foot - other) <= 1 for other in feet)) if feet else boxes[0][1]
    return round(chosen - ratio * PIXELS / 2)


def _nearest(
    band: Bits, near: Bits, cell: tuple[int, int], box: tuple[int, int], foot: int, ratio: float, way: Way
) -> str:
    """The letter whose picture fits a cell, the one with the fewest pixels of difference if several do."""
    start, end = cell
    best, least = UNREADABLE, math.inf
    for char, known in _templates(round(ratio, 6), way).items():
        if (
            abs(end - start - known.width) > NEAR
            or abs(foot - box[0] - known.top) > NEAR
            or abs(foot - box[1] - known.bottom) > NEAR
        ):
            continue
        apart = _difference(band, near, cell, foot, known)
        if apart is not None and apart < least:
            best, least = char, apart
    return best


def _difference(band: Bits, near: Bits, cell: tuple[int, int], foot: int, known: _Template) -> int | None:
    """Pixels that differ, or nothing where one lies farther from the other picture than is near."""
    rows, columns = known.ink.shape
    start, end = cell
    own = np.zeros((rows, columns), dtype=np.bool_)
    own_near = np.zeros((rows, columns), dtype=np.bool_)
    shift = known.foot - foot
    first, last = max(0, -shift), min(band.shape[0], rows - shift)
    width = min(end - start, columns - _EDGE)
    own[first + shift : last + shift, _EDGE : _EDGE + width] = band[first:last, start : start + width]
    # The spread picture has an edge of its own all round.
    low, high = max(0, -(shift - _EDGE)), min(near.shape[0], rows - (shift - _EDGE))
    wide = min(end - start + 2 * _EDGE, columns)
    own_near[low + shift - _EDGE : high + shift - _EDGE, :wide] = near[low:high, start : start + wide]
    if (own & ~known.spread).any() or (known.ink & ~own_near).any():
        return None
    return int((own ^ known.ink).sum())
