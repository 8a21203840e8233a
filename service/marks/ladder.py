"""The ladder of what may stand on a segment, from the most telling down, and each text set under the gaps it needs.

Nobody invents a shorter number: below the whole number stand words that are on every page of the kit (container and
place), then the key, which is an identity of its own. Texts that tell the same stand on one step, and the one that
comes out larger is cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from service.errors import BadKey, BadNumber
from service.marks.strokes import (
    CHARACTER_SPACING,
    CHARACTERS,
    LINE_SPACING,
    STROKE_WIDTH,
    WORD_SPACING,
    Letter,
    glyph,
    letter_width,
    line_width,
)

Rung = Literal["one line", "two lines", "container and place", "key", "key in two fours", "drilled dots", "tied tag"]

BASE_LINE_DROP = 0.3
"""How far the base line lies under the feet of a key, in cap heights (common practice, no source)."""
_OVERHANGING = frozenset(char for char in CHARACTERS if glyph(char).bottom < 0 or glyph(char).top > 1)
WIDEST_GAP = 0.3
"""A wider gap between letters, in cap heights, would tear a word apart; a text that needs one is set larger."""


@dataclass(frozen=True, slots=True)
class EngravingText:
    """The texts that may stand on a segment.

    Attributes:
        number: the printed number, six groups with hyphens.
        key: the eight symbols of the key; blanks and hyphens do not count.
        hand: LEFT or RIGHT, where the segment has a hand.
    """

    number: str
    key: str
    hand: str | None = None

    def number_lines(self) -> tuple[str, str]:
        """The number in two lines: plant, machine and container; then assembly, place and check.

        Raises:
            BadNumber: not six groups.
        """
        groups = self._groups()
        return "-".join(groups[:3]), "-".join(groups[3:])

    def container_and_place(self) -> tuple[str, str]:
        """The container; and the assembly with the place in it: ``A500`` and ``SW2-U3``.

        Raises:
            BadNumber: not six groups.
        """
        groups = self._groups()
        return groups[2], "-".join(groups[3:5])

    def key_fours(self) -> tuple[str, str]:
        """The key in two fours.

        Raises:
            BadKey: not eight symbols.
        """
        symbols = self.key.replace("-", "").replace(" ", "")
        if len(symbols) != 8:
            raise BadKey(
                "a key has eight symbols", field="key", value=self.key, todo="Engrave an issued key as it is printed"
            )
        return symbols[:4], symbols[4:]

    def _groups(self) -> list[str]:
        groups = self.number.split("-")
        if len(groups) != 6 or not all(groups):
            raise BadNumber(
                "a number that is engraved has six groups with hyphens between them",
                field="number",
                value=self.number,
                todo="Engrave an issued number as it is printed",
            )
        return groups


@dataclass(frozen=True, slots=True)
class Wording:
    """Lines of text that stand under each other on one rung.

    Attributes:
        rung: its rung.
        lines: from the top.
        base_line: whether a line stands under them: 6 and 9, M and W turn into each other on a piece that lies the
            other way round, and a key holds nothing else that would tell.
        hand: the word of the hand where it is among the lines.
    """

    rung: Rung
    lines: tuple[str, ...]
    base_line: bool = False
    hand: str | None = None

    def with_hand(self, hand: str) -> tuple[Wording, ...]:
        """The same with the word of the hand over it, or in its line where it has only one."""
        over = replace(self, lines=(hand, *self.lines), hand=hand)
        if len(self.lines) > 1:
            return (over,)
        return (replace(self, lines=(f"{self.lines[0]} {hand}",), hand=hand), over)


def steps(text: EngravingText) -> Iterator[tuple[Wording, ...]]:
    """The steps that are lettering, the most telling first; the wordings of one step tell the same.

    Where there is a hand, each step is tried with its word first, and without it before the next one.

    Raises:
        BadNumber, BadKey: not a printed number or key; before the first step.
    """
    fours, lines = text.key_fours(), text.number_lines()
    container, place = text.container_and_place()
    for step in (
        (Wording("one line", (text.number,)), Wording("two lines", lines)),
        (Wording("container and place", (f"{container} {place}",)), Wording("container and place", (container, place))),
        (Wording("key", ("-".join(fours),), base_line=True), Wording("key in two fours", fours, base_line=True)),
    ):
        if text.hand is not None:
            hand = text.hand
            yield tuple([with_it for wording in step for with_it in wording.with_hand(hand)])
        yield step


@dataclass(frozen=True, slots=True)
class Gaps:
    """The spacing of one height in cap heights, from centre line to centre line.

    ISO 3098 type B keeps a clear gap a = 2/10 h between letters whose line is d = h/10 wide, and b3 = 13/10 h between
    base lines. A groove that is wider than d, or a wall that needs more than a to stand, pushes them apart by as much.

    Attributes:
        line: width of line that the gaps leave room for.
        letter: between the extents of neighbouring letters.
        word: between those of neighbouring words.
        row: from base line to base line, where nothing hangs below or stands above.
    """

    line: float
    letter: float
    word: float
    row: float

    @classmethod
    @lru_cache(maxsize=1024)
    def of(cls, cap_height_mm: float, *, groove_mm: float, wall_mm: float) -> Gaps:
        """The gaps at a height for a groove and the wall that has to stand beside it."""
        line = max(groove_mm / cap_height_mm, STROKE_WIDTH)
        clear = min(max(wall_mm / cap_height_mm, CHARACTER_SPACING), WIDEST_GAP)
        # What a clear gap of a and a line of d leave of b3 is the height of a capital.
        capital = LINE_SPACING - CHARACTER_SPACING - STROKE_WIDTH
        return cls(line=line, letter=clear + line, word=WORD_SPACING + line, row=capital + clear + line)

    def drop(self) -> float:
        """From the feet of a key to its base line."""
        return max(BASE_LINE_DROP, self.letter)


@dataclass(frozen=True, slots=True)
class Frame:
    """The extents of a wording in cap heights, lines and their width included.

    Attributes:
        width: along the text.
        height: across it.
        widths: width of each row between centre lines, from the top.
        feet: the base line of each row, from the top; the lower edge of the frame is 0.
    """

    width: float
    height: float
    widths: tuple[float, ...]
    feet: tuple[float, ...]


def frame(wording: Wording, gaps: Gaps) -> Frame:
    """How large a wording comes out.

    Raises:
        MissingGlyph: a character that the engraving font lacks.
    """
    widths = tuple([line_width(line, spacing=gaps.letter, word_spacing=gaps.word) for line in wording.lines])
    below, above = _overhang(wording.lines)
    foot = gaps.line / 2 + (gaps.drop() if wording.base_line else 0.0) + below[-1]
    feet = [foot]
    for row in range(len(wording.lines) - 1, 0, -1):
        feet.append(feet[-1] + gaps.row + below[row - 1] + above[row])
    return Frame(
        width=max(widths) + gaps.line,
        height=feet[-1] + 1 + above[0] + gaps.line / 2,
        widths=widths,
        feet=tuple(reversed(feet)),
    )


def placed_letters(wording: Wording, gaps: Gaps, extents: Frame, cap_height_mm: float) -> tuple[Letter, ...]:
    """Every letter of a wording in mm, rows centred under each other; (0, 0) is the lower left corner of the frame."""
    letters: list[Letter] = []
    gap, between = gaps.letter * cap_height_mm, (gaps.word - gaps.letter) * cap_height_mm
    for line, width, foot in zip(wording.lines, extents.widths, extents.feet, strict=True):
        pen, base = (extents.width - width) / 2 * cap_height_mm, foot * cap_height_mm
        for word in line.split():
            for char in word:
                letters.append(Letter(char, pen, base))
                pen += letter_width(char) * cap_height_mm + gap
            pen += between
    return tuple(letters)


def _overhang(lines: Sequence[str]) -> tuple[list[float], list[float]]:
    """How far each row hangs below its base line, and stands above a capital."""
    below, above = [0.0] * len(lines), [0.0] * len(lines)
    for row, line in enumerate(lines):
        for char in _OVERHANGING.intersection(line):
            letter = glyph(char)
            below[row], above[row] = max(below[row], -letter.bottom), max(above[row], letter.top - 1)
    return below, above
