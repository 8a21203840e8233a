"""What is engraved on a segment, how large, and where: plain polylines in the coordinates of the part.

The ladder: the number in two lines (``OSV4-FC1-A500`` over ``SW2-U3-42``) at the largest height of ISO 3098 for which
there is room; else the key in two fours, over a base line, because 6 and 9 or M and W turn into each other on a piece
that lies the other way round. A text is never squeezed, cut off or set below the smallest height.

An :class:`Engraving` is strokes and nothing else. Cutter radius, depth, lead-in and machine code start from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from service.errors import BadKey, BadNumber, NoEngravingRoom, ReadBackFailed
from service.marks.stroke_reading import Reading, read_block, read_strokes
from service.marks.strokes import CAP_HEIGHTS_MM, LINE_SPACING, STROKE_WIDTH, Point, Stroke, set_line
from service.outlines.room import Rectangle

__all__ = ["Engraving", "EngravingText", "Rung", "plan_engraving", "prove", "read_strokes"]

Rung = Literal["two lines", "key"]

BASE_LINE_DROP = 0.3
"""How far the base line lies under the feet of a key, in cap heights (common practice, no source)."""
FLOOR_MM = 2.5
"""The smallest cap height that is cut: the smallest of the ISO 3098 series that a 0.3 mm cutter still opens."""


@dataclass(frozen=True, slots=True)
class EngravingText:
    """The texts that may stand on a segment.

    Attributes:
        number: the printed number, six groups with hyphens.
        key: the eight symbols of the key; blanks and hyphens do not count.
    """

    number: str
    key: str

    def number_lines(self) -> tuple[str, ...]:
        """The number in two lines: plant, machine and container; then assembly, place and check.

        Raises:
            BadNumber: not six groups.
        """
        groups = self.number.split("-")
        if len(groups) != 6 or not all(groups):
            raise BadNumber(
                "a number that is engraved has six groups with hyphens between them",
                field="number",
                value=self.number,
                todo="Engrave an issued number as it is printed",
            )
        return "-".join(groups[:3]), "-".join(groups[3:])

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


@dataclass(frozen=True, slots=True)
class Engraving:
    """A text as strokes on a part.

    Attributes:
        lines: the text, from the top.
        rung: which rung of the ladder it is.
        cap_height_mm: height of the capitals, between centre lines.
        strokes: centre lines in the coordinates of the part, in mm.
        origin: the lower left corner of the block, in mm.
        angle_deg: reading direction, counter-clockwise from the x axis, above -90 and up to 90.
        width_mm: length of the block in reading direction, grooves included.
        height_mm: height of the block across it, grooves included.
        base_line: whether the last stroke is a base line under the text.
    """

    lines: tuple[str, ...]
    rung: Rung
    cap_height_mm: float
    strokes: tuple[Stroke, ...]
    origin: Point
    angle_deg: float
    width_mm: float
    height_mm: float
    base_line: bool

    @property
    def stroke_width_mm(self) -> float:
        """The groove width that the spacing is made for: a tenth of the cap height (ISO 3098 type B)."""
        return STROKE_WIDTH * self.cap_height_mm


@dataclass(frozen=True, slots=True)
class _Block:
    """Lines set under each other, in cap heights; (0, 0) is the lower left corner of the grooves."""

    lines: tuple[str, ...]
    rung: Rung
    strokes: tuple[Stroke, ...]
    width: float
    height: float
    base_line: bool


def plan_engraving(
    *,
    number: str,
    key: str,
    room: Callable[[float], Rectangle | None],
    cap_heights: Sequence[float] = CAP_HEIGHTS_MM,
    floor_mm: float = FLOOR_MM,
) -> Engraving:
    """Choose the text of a segment and lay it into the free area of its outline.

    Args:
        number: the printed number of the segment.
        key: the key of the piece or segment.
        room: gives the largest free rectangle of the part for a ratio of width to height, or nothing.
        cap_heights: the heights to choose from, in mm.
        floor_mm: smaller heights are not cut.

    Raises:
        NoEngravingRoom: neither the number nor the key fits at the smallest height.
        BadNumber: not a printed number.
        BadKey: not a key.
        MissingGlyph: a character that the engraving font lacks.
    """
    text = EngravingText(number=number, key=key)
    fours = text.key_fours()
    ladder = (
        (_set_block(text.number_lines(), rung="two lines", base_line=False),),
        (_set_block(("-".join(fours),), rung="key", base_line=True), _set_block(fours, rung="key", base_line=True)),
    )
    heights = sorted((height for height in cap_heights if height >= floor_mm), reverse=True)
    widest = 0.0
    for blocks in ladder:
        fitting: list[tuple[float, _Block, Rectangle]] = []
        for block in blocks:
            free = room(block.width / block.height)
            if free is None:
                continue
            limit = min(free.width_mm / block.width, free.height_mm / block.height)
            widest = max(widest, limit)
            fits = next((height for height in heights if height <= limit + 1e-9), None)
            if fits is not None:
                fitting.append((fits, block, free))
        if fitting:
            height, block, free = max(fitting, key=lambda choice: choice[0])
            return _placed(block, height, free)
    raise NoEngravingRoom(
        f"not even the key fits at {floor_mm:g} mm letters; there is room for {math.floor(widest * 10) / 10:g} mm"
        if widest > 0
        else "the outline leaves no free area between edges, holes and keep-outs",
        field="number",
        value=number,
        todo="Draw an engraving zone, move a keep-out, or mark this segment with a tied tag",
    )


def prove(engraving: Engraving, strokes: Sequence[Stroke] | None = None, *, name: str = "engraving") -> None:
    """Read strokes back and compare them with the text that was chosen.

    Args:
        engraving: the text, its height and its direction.
        strokes: strokes in mm as they came out of a finished file; the engraving's own if left out.
        name: what the message calls the thing that was read.

    Raises:
        ReadBackFailed: the strokes say something else.
    """
    reading = read_block(
        engraving.strokes if strokes is None else strokes, engraving.cap_height_mm, angle_deg=engraving.angle_deg
    )
    if reading != Reading(lines=engraving.lines, base_line=engraving.base_line):
        rule = " over a base line" if reading.base_line else ""
        raise ReadBackFailed(
            f"the strokes read '{' / '.join(reading.lines)}'{rule}",
            field=name,
            value=" / ".join(engraving.lines) + (" over a base line" if engraving.base_line else ""),
            todo="Do not cut it; keep the file and report the fault",
        )


def _set_block(lines: Sequence[str], *, rung: Rung, base_line: bool) -> _Block:
    set_lines = [set_line(line, 1.0) for line in lines]
    inner = max(line.width_mm for line in set_lines)
    edge = STROKE_WIDTH / 2
    foot = edge + (BASE_LINE_DROP if base_line else 0.0)
    strokes: list[Stroke] = []
    for row, line in enumerate(set_lines):
        dx = edge + (inner - line.width_mm) / 2
        dy = foot + (len(set_lines) - 1 - row) * LINE_SPACING
        strokes += [tuple([(x + dx, y + dy) for x, y in stroke]) for stroke in line.strokes]
    if base_line:
        strokes.append(((edge, edge), (edge + inner, edge)))
    return _Block(
        lines=tuple(lines),
        rung=rung,
        strokes=tuple(strokes),
        width=inner + 2 * edge,
        height=foot + (len(set_lines) - 1) * LINE_SPACING + 1 + edge,
        base_line=base_line,
    )


def _placed(block: _Block, cap_height_mm: float, free: Rectangle) -> Engraving:
    """The block in the middle of the free rectangle, turned so that it reads from below or from the right."""
    angle_deg = free.angle_deg % 180
    if angle_deg > 90:
        angle_deg -= 180
    cos, sin = math.cos(math.radians(angle_deg)) * cap_height_mm, math.sin(math.radians(angle_deg)) * cap_height_mm
    cx, cy = free.centre
    x0 = cx - block.width / 2 * cos + block.height / 2 * sin
    y0 = cy - block.width / 2 * sin - block.height / 2 * cos
    return Engraving(
        lines=block.lines,
        rung=block.rung,
        cap_height_mm=cap_height_mm,
        strokes=tuple(
            [tuple([(x0 + x * cos - y * sin, y0 + x * sin + y * cos) for x, y in stroke]) for stroke in block.strokes]
        ),
        origin=(x0, y0),
        angle_deg=angle_deg,
        width_mm=block.width * cap_height_mm,
        height_mm=block.height * cap_height_mm,
        base_line=block.base_line,
    )
