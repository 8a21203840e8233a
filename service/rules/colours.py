"""Stock colours: the word that a shop says, the sRGB that a screen shows, the ink that reads on it, and a shape.

A changeover crew tells kits apart by the colour of the plastic. Colour alone fails in bad light and for people who see
colours differently, so each colour on a mark stands with its word and with a shape. The shapes are this project's own
choice: plain geometry with a loose memory hook (blue is water, yellow a sun). No shape is a warning or first-aid sign,
none has a hole, and none becomes another one when the mark hangs on its side or upside down.

Contrast follows WCAG 2.x, "contrast ratio" and "relative luminance".
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from service.errors import UnknownCode

Rgb = tuple[int, int, int]
Point = tuple[float, float]
Ink = Literal["black", "white"]

INKS: dict[Ink, Rgb] = {"black": (0, 0, 0), "white": (255, 255, 255)}
MIN_CONTRAST = 4.5
"""Contrast ratio that text of any size needs: WCAG 2.x success criterion 1.4.3, level AA."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A filled shape in the unit square, x to the right and y up.

    Attributes:
        name: what a person calls it, for example ``water``.
        polygons: simple polygons without holes, not closed (the first point is not repeated); all are filled.
    """

    name: str
    polygons: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class StockColour:
    """One stock colour.

    Attributes:
        word: the trade's word, lower case; it is what the records hold and the marks say.
        rgb: 8-bit sRGB that stands for the plastic on screens and prints; a real sheet differs a little.
        ink: the ink of the word and shape on this colour; its contrast is at least ``MIN_CONTRAST``.
        shape: the shape that stands for this colour and for no other.
    """

    word: str
    rgb: Rgb
    ink: Ink
    shape: Shape

    @property
    def ink_rgb(self) -> Rgb:
        """The ink as 8-bit sRGB."""
        return INKS[self.ink]

    @property
    def hex(self) -> str:
        """The colour as style sheets write it, for example ``#007a48``."""
        return "#{:02x}{:02x}{:02x}".format(*self.rgb)


def relative_luminance(rgb: Rgb) -> float:
    """Relative luminance of an 8-bit sRGB colour, 0 (black) to 1 (white).

    Source: WCAG 2.x "relative luminance"; the linear threshold is the corrected 0.04045 of IEC 61966-2-1, which gives
    the same value as 0.03928 for every 8-bit colour.
    """

    def linear(channel: int) -> float:
        value = channel / 255
        return value / 12.92 if value <= 0.04045 else math.pow((value + 0.055) / 1.055, 2.4)

    red, green, blue = (linear(channel) for channel in rgb)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one: Rgb, other: Rgb) -> float:
    """Contrast ratio of two 8-bit sRGB colours, 1 to 21, whichever of them is the lighter.

    Source: WCAG 2.x "contrast ratio".
    """
    lighter, darker = sorted((relative_luminance(one), relative_luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def best_ink(rgb: Rgb) -> Ink:
    """The ink, black or white, that stands out more on a colour; black if both are equal."""
    black, white = (contrast_ratio(rgb, INKS[ink]) for ink in ("black", "white"))
    return "black" if black >= white else "white"


def stock_colour(word: str) -> StockColour:
    """The stock colour of a word.

    Args:
        word: a word of ``STOCK_COLOURS`` or of ``OTHER_WORDS`` in any letter case, blanks around it ignored.

    Raises:
        UnknownCode: no stock colour has this word.
    """
    key = " ".join(word.split()).casefold()
    colour = STOCK_COLOURS.get(OTHER_WORDS.get(key, key))
    if colour is None:
        raise UnknownCode(
            "no stock colour has this word",
            field="stock_colour",
            value=word,
            todo=f"Use one of {', '.join(STOCK_COLOURS)}",
        )
    return colour


def _arc(centre: Point, radius: float, start_deg: float, end_deg: float, steps: int = 24) -> tuple[Point, ...]:
    """Points along an arc, ends included, running from start to end."""
    angles = (math.radians(start_deg + (end_deg - start_deg) * step / steps) for step in range(steps + 1))
    return tuple(
        (round(centre[0] + radius * math.cos(angle), 5), round(centre[1] + radius * math.sin(angle), 5))
        for angle in angles
    )


def _disc(centre: Point, radius: float) -> tuple[Point, ...]:
    return _arc(centre, radius, 0, 345, steps=23)


def _box(left: float, bottom: float, right: float, top: float) -> tuple[Point, ...]:
    return ((left, bottom), (right, bottom), (right, top), (left, top))


def _lens() -> tuple[Point, ...]:
    """Two flat arcs that meet in points at the left and right."""
    radius, drop = 0.6, 0.39686  # the arcs pass through (0.05, 0.5) and (0.95, 0.5)
    angle = math.degrees(math.asin(drop / radius))
    upper = _arc((0.5, 0.5 - drop), radius, 180 - angle, angle)
    lower = _arc((0.5, 0.5 + drop), radius, 360 - angle, 180 + angle)
    return upper + lower[1:-1]


def _ripple(middle_y: float) -> tuple[Point, ...]:
    """A flat band of two sine periods, 0.2 high; two of them, one above the other, are water."""
    steps = 48
    middle = [
        (0.04 + 0.92 * step / steps, middle_y + 0.08 * math.sin(4 * math.pi * step / steps))
        for step in range(steps + 1)
    ]
    above = tuple((round(x, 5), round(y + 0.1, 5)) for x, y in middle)
    below = tuple((round(x, 5), round(y - 0.1, 5)) for x, y in reversed(middle))
    return above + below


def _sun() -> tuple[Point, ...]:
    """A star of eight points."""
    points = []
    for step in range(16):
        radius, angle = (0.48 if step % 2 == 0 else 0.27), math.radians(22.5 * step)
        points.append((round(0.5 + radius * math.cos(angle), 5), round(0.5 + radius * math.sin(angle), 5)))
    return tuple(points)


def _drop() -> tuple[Point, ...]:
    """A drop with its point on top."""
    return ((0.5, 0.98), *_arc((0.5, 0.34), 0.31, 29, -209))


def _colour(word: str, rgb: Rgb, shape: str, *polygons: tuple[Point, ...]) -> StockColour:
    return StockColour(word=word, rgb=rgb, ink=best_ink(rgb), shape=Shape(name=shape, polygons=polygons))


_CHEVRON: tuple[Point, ...] = ((0.04, 0.12), (0.5, 0.52), (0.96, 0.12), (0.96, 0.46), (0.5, 0.88), (0.04, 0.46))
_HOURGLASS: tuple[Point, ...] = ((0.1, 0.04), (0.9, 0.04), (0.6, 0.5), (0.9, 0.96), (0.1, 0.96), (0.4, 0.5))
_STAIRS: tuple[Point, ...] = (
    (0.04, 0.06),
    (0.96, 0.06),
    (0.96, 0.32),
    (0.66, 0.32),
    (0.66, 0.62),
    (0.35, 0.62),
    (0.35, 0.94),
    (0.04, 0.94),
)

STOCK_COLOURS: dict[str, StockColour] = {
    colour.word: colour
    for colour in (
        _colour("natural", (240, 236, 220), "lens", _lens()),
        _colour(
            "white",
            (255, 255, 255),
            "four dots",
            *(_disc((x, y), 0.19) for x, y in ((0.23, 0.23), (0.77, 0.23), (0.23, 0.77), (0.77, 0.77))),
        ),
        _colour("black", (28, 28, 30), "bar", _box(0.04, 0.3, 0.96, 0.7)),
        _colour("grey", (138, 141, 145), "two bars", _box(0.04, 0.14, 0.96, 0.38), _box(0.04, 0.62, 0.96, 0.86)),
        _colour("red", (190, 30, 36), "chevron", _CHEVRON),
        _colour("orange", (240, 124, 22), "half disc", _arc((0.5, 0.26), 0.48, 0, 180)),
        _colour("yellow", (250, 204, 32), "sun", _sun()),
        _colour(
            "green", (0, 118, 68), "three discs", *(_disc(at, 0.22) for at in ((0.26, 0.3), (0.74, 0.3), (0.5, 0.72)))
        ),
        _colour("blue", (18, 88, 168), "water", _ripple(0.72), _ripple(0.28)),
        _colour("purple", (104, 56, 142), "hourglass", _HOURGLASS),
        _colour("pink", (238, 142, 172), "drop", _drop()),
        _colour("brown", (110, 70, 42), "stairs", _STAIRS),
    )
}
"""The stock colours by their word, in the order in which lists show them."""

OTHER_WORDS: dict[str, str] = {"gray": "grey", "violet": "purple", "nature": "natural", "undyed": "natural"}
"""Other words for the same colours; the records hold the word of ``STOCK_COLOURS``."""
