"""Single-stroke lettering: text as centre lines of a cutter, scaled by cap height.

The letters are those of the font "futural" (:mod:`service.marks.futural`), with three faults put right (``AMENDED``).
Heights and spacings are those of ISO 3098, type B lettering, where the stroke is one tenth of the height h:

* nominal heights in steps of the square root of 2, of which 2.5 mm and more are cut;
* between characters a clear gap of a = 2/10 h, between words e = 6/10 h;
* between the base lines of capitals b3 = 13/10 h.

The gap is kept between the extents of neighbouring letters and measured from groove edge to groove edge, so that no
pair fuses: the font's own spacing lets AA, FT, TT and LA run together as soon as the cutter has some width.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from service.errors import MissingGlyph
from service.marks.futural import BASE_LINE, CAP_TOP, FUTURAL

Point = tuple[float, float]
Stroke = tuple[Point, ...]

CAP_HEIGHTS_MM: tuple[float, ...] = (2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
"""Nominal heights of lettering, ISO 3098 (the 1.8 mm of the series is too small to cut and is left out)."""

CHARACTER_SPACING = 0.2
"""ISO 3098 type B: spacing a between characters, in cap heights."""
WORD_SPACING = 0.6
"""ISO 3098 type B: spacing e between words, in cap heights."""
LINE_SPACING = 1.3
"""ISO 3098 type B: spacing b3 of the base lines where only capitals are set, in cap heights."""
STROKE_WIDTH = 0.1
"""ISO 3098 type B: stroke width d, in cap heights."""

AMENDED: dict[str, str] = {
    # The bar of the A ends a third of a unit short of both legs; the legs stand at x = ±16/3 where y = 2.
    "A": f"0,-12 -8,9 | 0,-12 8,9 | {-16 / 3!r},2 {16 / 3!r},2",
    # The hyphen is a minus sign as wide as the widest letter; half of it says the same and saves room on the part.
    "-": "-5,0 5,0",
    # The full stop floats above the base line.
    ".": "0,7 -1,8 0,9 1,8 0,7",
}


@dataclass(frozen=True, slots=True)
class Glyph:
    """One letter in cap heights: x from its leftmost point, y up from the base line.

    Attributes:
        char: the character.
        strokes: its centre lines.
        width: from its leftmost to its rightmost point.
        bottom: its lowest point; below 0 for one that hangs under the base line.
        top: its highest point; above 1 for one that is taller than a capital.
    """

    char: str
    strokes: tuple[Stroke, ...]
    width: float
    bottom: float
    top: float


class Letter(NamedTuple):
    """A letter in its place.

    Attributes:
        char: the character.
        x: of its leftmost centre line.
        y: of its base line.
    """

    char: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Line:
    """A set line in mm: x from the leftmost centre line, y up from the base line.

    Attributes:
        strokes: the centre lines, letter by letter in reading order.
        width_mm: from the leftmost to the rightmost centre line; grooves add half their width at each end.
        letters: where each letter stands.
    """

    strokes: tuple[Stroke, ...]
    width_mm: float
    letters: tuple[Letter, ...]


CHARACTERS = "".join(FUTURAL)
"""Every character that can be cut, besides the blank."""


@cache
def glyph(char: str) -> Glyph:
    """The letter ``char``.

    Raises:
        MissingGlyph: the font has no such letter.
    """
    source = AMENDED.get(char) or FUTURAL.get(char)
    if source is None:
        raise MissingGlyph(
            "the engraving font has no such letter",
            field="character",
            value=char,
            todo="Use capital letters without accents, digits and - / . : + # ( ) only",
        )
    unit = 1 / (BASE_LINE - CAP_TOP)
    raw = [[(float(x), float(y)) for x, y in (pair.split(",") for pair in run.split())] for run in source.split("|")]
    left = min(x for stroke in raw for x, _ in stroke)
    right = max(x for stroke in raw for x, _ in stroke)
    strokes = tuple(tuple(((x - left) * unit, (BASE_LINE - y) * unit) for x, y in stroke) for stroke in raw)
    heights = [y for stroke in strokes for _, y in stroke]
    return Glyph(char=char, strokes=strokes, width=(right - left) * unit, bottom=min(heights), top=max(heights))


def line_width(text: str, *, spacing: float, word_spacing: float) -> float:
    """Width of a line in cap heights, from the leftmost to the rightmost centre line; nothing is set.

    Args:
        text: as for :func:`set_line`.
        spacing: gap between the centre lines of neighbouring characters, in cap heights.
        word_spacing: likewise between words.
    """
    words = text.split()
    width = (len(words) - 1) * word_spacing if words else 0.0
    for word in words:
        width += (len(word) - 1) * spacing + sum(map(letter_width, word))
    return width


@cache
def letter_width(char: str) -> float:
    """Width of a letter in cap heights, as :func:`glyph` gives it."""
    return glyph(char).width


def set_line(
    text: str,
    cap_height_mm: float,
    *,
    spacing: float = CHARACTER_SPACING,
    word_spacing: float = WORD_SPACING,
    stroke_width: float = STROKE_WIDTH,
) -> Line:
    """Set ``text`` in one line.

    Args:
        text: the characters of :data:`CHARACTERS`, and blanks between words.
        cap_height_mm: height of the capitals, between centre lines.
        spacing: clear gap between characters, in cap heights.
        word_spacing: clear gap between words, in cap heights.
        stroke_width: width of the groove for which the gaps are kept clear, in cap heights.

    Raises:
        MissingGlyph: a character that the font lacks.
    """
    strokes: list[Stroke] = []
    letters: list[Letter] = []
    pen = 0.0
    right = 0.0
    gap = 0.0
    for word in text.split():
        for char in word:
            letter = glyph(char)
            pen = right + gap
            letters.append(Letter(char, pen * cap_height_mm, 0.0))
            strokes += [
                tuple([((pen + x) * cap_height_mm, y * cap_height_mm) for x, y in stroke]) for stroke in letter.strokes
            ]
            right = pen + letter.width
            gap = spacing + stroke_width
        gap = word_spacing + stroke_width
    return Line(strokes=tuple(strokes), width_mm=right * cap_height_mm, letters=tuple(letters))
