"""Lettering: how wide a text is, how large it may be set in a box, and how large it must be to be read.

Pure: the widths come in as a :class:`FontMetrics`; ``render.fonts`` reads them out of the font files. All sizes are
capital heights in millimetres, since that is what a reader sees and what the legibility rules speak of.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise
from typing import Literal

from service.errors import MissingGlyph

Weight = Literal["regular", "bold"]

#: Visual angle that a capital must subtend at the eye: 15 minutes of arc. Source: NUREG-0700 rev. 3, 11.4.1.5-1
#: (labels: minimum 15', preferred 20').
LEAST_VISUAL_ANGLE_ARCMIN = 15.0

#: The angle that the same source prefers.
PREFERRED_VISUAL_ANGLE_ARCMIN = 20.0

#: Distance between base lines in capital heights. ISO 3098 type B asks 15/10 h where no accents occur and 19/10 h with
#: accents (tabulated from NF EN ISO 3098-0 by a public course page); the ink of the lines themselves is checked too.
LINE_PITCH = 1.5

#: Clear space between the ink of two lines in capital heights: accents under descenders push the lines apart.
LINE_GAP = 0.08

#: A break between two texts is worth so much of the letters' size: nobody likes a name that is broken in the middle.
NEAT = 1.15

#: At so many blanks a text is tried to be broken; the longest that marks show has a dozen.
_MOST_CUTS = 24

#: Sizes are tried in steps of this many millimetres, so that equal texts come out equal.
SIZE_STEP_MM = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class FontMetrics:
    """What layout must know of one face; each is its own, so that what was measured of a text is known again.

    Attributes:
        name: the face's PostScript name.
        units_per_em: font units in one em.
        cap_height: height of a capital in font units.
        advances: advance width of each character that the face has, by code point, in font units.
        extents: lowest and highest point of each character's ink, by code point, in font units.
    """

    name: str
    units_per_em: int
    cap_height: int
    advances: Mapping[int, int]
    extents: Mapping[int, tuple[int, int]]

    def size_mm(self, cap_height_mm: float) -> float:
        """The em size, in mm, that gives capitals of ``cap_height_mm``."""
        return cap_height_mm * self.units_per_em / self.cap_height

    def missing(self, text: str) -> tuple[str, ...]:
        """The characters of ``text`` that the face lacks, each once, in order."""
        return _missing(self, text)

    def text_width_mm(self, text: str, cap_height_mm: float) -> float:
        """Sum of the advance widths of ``text`` set with capitals of ``cap_height_mm``.

        Raises:
            MissingGlyph: the face lacks a character.
        """
        return _measured(self, text)[0] * cap_height_mm / self.cap_height

    def widest_mm(self, texts: Iterable[str], cap_height_mm: float) -> float:
        """The width of the widest of some texts, none of which is kept in mind; 0 for none.

        Raises:
            KeyError: the face lacks a character.
        """
        advance = self.advances.__getitem__
        return max((sum(map(advance, map(ord, text))) for text in texts), default=0) * cap_height_mm / self.cap_height

    def rise_mm(self, text: str, cap_height_mm: float) -> float:
        """How far the ink of ``text`` rises above the base line, at least the capital height."""
        return _measured(self, text)[1] * cap_height_mm / self.cap_height

    def drop_mm(self, text: str, cap_height_mm: float) -> float:
        """How far the ink of ``text`` falls below the base line."""
        return _measured(self, text)[2] * cap_height_mm / self.cap_height

    def demand(self, text: str, *, field: str) -> None:
        """Raise MissingGlyph, naming the letter and the field, unless the face can set every character."""
        for char in self.missing(text):
            name = unicodedata.name(char, "without a name")
            raise MissingGlyph(
                f"the lettering has no '{char}' (U+{ord(char):04X}, {name})" if char.isprintable() else
                f"the control character U+{ord(char):04X} cannot be printed",
                field=field,
                value=text,
                todo="Write the text in Latin, Greek or Cyrillic letters",
                place=f"character {text.index(char) + 1}",
            )  # fmt: skip


@lru_cache(maxsize=4096)
def _missing(metrics: FontMetrics, text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(char for char in text if ord(char) not in metrics.advances))


@lru_cache(maxsize=4096)
def _measured(metrics: FontMetrics, text: str) -> tuple[int, int, int]:
    """Width, rise and drop of a text in font units; most texts of a kit are met on many marks."""
    metrics.demand(text, field="text")
    lowest, highest = zip(*(metrics.extents[ord(char)] for char in text), strict=True) if text else ((0,), (0,))
    width = sum(metrics.advances[ord(char)] for char in text)
    return width, max(metrics.cap_height, *highest), -min(0, *lowest)


#: The faces of a mark by weight.
Typeface = Mapping[Weight, FontMetrics]


@dataclass(frozen=True, slots=True)
class Setting:
    """A text broken into lines at one size."""

    lines: tuple[str, ...]
    cap_height_mm: float


def least_cap_height_mm(reading_distance_mm: float, angle_arcmin: float = LEAST_VISUAL_ANGLE_ARCMIN) -> float:
    """The smallest capital that can be read at a distance: h = 2 D tan(theta / 2), theta 15' unless said.

    Source: NUREG-0700 rev. 3, 11.4.1.5-1 (visual angle of label characters: at least 15 minutes of arc, preferred 20).
    """
    return 2.0 * reading_distance_mm * math.tan(math.radians(angle_arcmin / 60.0) / 2.0)


def reading_distance_mm(cap_height_mm: float) -> float:
    """The distance at which capitals of this height are just legible: the inverse of :func:`least_cap_height_mm`."""
    return cap_height_mm / least_cap_height_mm(1.0)


def fit(
    text: str,
    metrics: FontMetrics,
    *,
    width_mm: float,
    height_mm: float,
    max_cap_mm: float,
    min_cap_mm: float,
    max_lines: int = 1,
    border_caps: float = 0.0,
    separator: str = "",
) -> Setting | None:
    """The largest setting of ``text`` that lies wholly inside the box, or None if even the floor does not fit.

    Lines break at blanks only; of several breaks into the same number of lines the one with the shortest longest line
    is taken, so that the letters come out as large as they can. Fewer lines win at equal size. ``border_caps`` is kept
    free on all four sides, in capital heights. Lines rather break at a ``separator`` between two texts, which is left
    out there.

    Raises:
        MissingGlyph: the face lacks a character.
    """
    metrics.demand(text, field="text")
    best: tuple[float, Setting] | None = None
    for lines, neat in _breaks(text, metrics, max_lines, separator.strip()):
        longest = max(metrics.text_width_mm(line, 1.0) for line in lines)
        cap = largest_cap_mm(
            width_mm / (longest + 2 * border_caps),
            height_mm / (block_height_mm(lines, metrics, 1.0) + 2 * border_caps),
            max_cap_mm,
        )
        worth = cap * NEAT if neat else cap
        if cap >= min_cap_mm - 1e-9 and (best is None or worth > best[0] + 1e-9):
            best = worth, Setting(lines=lines, cap_height_mm=cap)
    return None if best is None else best[1]


def largest_cap_mm(*limits_mm: float) -> float:
    """The largest capital height within all limits: a whole number of size steps, unless the ceiling is none."""
    least = min(limits_mm)
    return round(max(math.floor(least / SIZE_STEP_MM + 1e-9) * SIZE_STEP_MM, 0.0), 4)


def line_pitch_mm(lines: Sequence[str], metrics: FontMetrics, cap_height_mm: float) -> float:
    """Distance between the base lines of set lines: the usual pitch, or more where their ink would touch."""
    tightest = max(
        (metrics.drop_mm(upper, 1.0) + metrics.rise_mm(lower, 1.0) + LINE_GAP for upper, lower in pairwise(lines)),
        default=0.0,
    )
    return max(LINE_PITCH, tightest) * cap_height_mm


def block_height_mm(lines: Sequence[str], metrics: FontMetrics, cap_height_mm: float) -> float:
    """Height of the ink of set lines, from the highest point of the first to the lowest of the last."""
    pitch = line_pitch_mm(lines, metrics, cap_height_mm) * (len(lines) - 1)
    return metrics.rise_mm(lines[0], cap_height_mm) + pitch + metrics.drop_mm(lines[-1], cap_height_mm)


@lru_cache(maxsize=1024)
def _breaks(text: str, metrics: FontMetrics, max_lines: int, separator: str) -> list[tuple[tuple[str, ...], bool]]:
    """For one to ``max_lines`` lines, the break at blanks whose longest line is shortest.

    The same again among the breaks that fall on separators only, where there are any; these are marked.
    """
    words = text.split()
    if not words:
        return []
    chosen: list[tuple[tuple[str, ...], bool]] = []
    for count in range(1, min(max_lines, len(words)) + 1):
        options = []
        for cuts in combinations(_cuts(len(words)), count - 1):
            edges = (0, *cuts, len(words))
            lines = tuple(_line(words[start:end], separator) for start, end in pairwise(edges))
            if all(lines):
                neat = all(separator in (words[cut - 1], words[cut]) for cut in cuts)
                options.append((max(metrics.text_width_mm(line, 1.0) for line in lines), cuts, lines, neat))
        if options:
            chosen.append((min(options)[2], False))
        if neat_ones := [option for option in options if option[3] and separator]:
            chosen.append((min(neat_ones)[2], True))
    return chosen


def _cuts(words: int) -> Sequence[int]:
    """Where a text of so many words may be broken: at each blank, in a text of very many words at some of them."""
    if words <= _MOST_CUTS + 1:
        return range(1, words)
    return sorted({max(1, round(number * words / (_MOST_CUTS + 1))) for number in range(1, _MOST_CUTS + 1)})


def _line(words: Sequence[str], separator: str) -> str:
    """Words as a line, without a separator that has nothing on its other side."""
    first, last = 0, len(words)
    while first < last and words[first] == separator:
        first += 1
    while last > first and words[last - 1] == separator:
        last -= 1
    return " ".join(words[first:last])
