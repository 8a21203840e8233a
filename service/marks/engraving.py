"""What is engraved on a segment, how large, with which cutter, and where: geometry in the coordinates of the part.

The ladder, from the most telling down: the number in one line or two; container and place; the key in one line or in
two fours, over a base line; the key as a Data Matrix of drilled dots; a tied tag. What is weighed against what:

* A step is taken as soon as it can be cut at the floor height of its material or above, and a step further down is
  asked only when that cannot be: a small number that stays legible tells more than a large key.
* Where the segment has a hand, LEFT or RIGHT stands with the text as long as the same step has room for both.
* On one step, where the wordings tell the same, the larger letters win, then the wording that is named first.
* Of the heights of ISO 3098 the largest is taken that has room and passes the lint for the cutter and the material
  (:mod:`service.marks.engraving_lint`). A text is never squeezed, cut off or set below the floor.

A caller that knows from where a mark is read raises the floor (``floor_mm``).
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from service.errors import NoEngravingRoom, ReadBackFailed
from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.drilled import dots, pitch_mm, side_mm
from service.marks.engraved import NO_ROOM_TODO, Engraving, TiedTag
from service.marks.engraving_lint import demand_cutter, fitting_letters, standing_mm, walls_stand
from service.marks.ladder import EngravingText, Frame, Gaps, Rung, Wording, frame, placed_letters, steps
from service.marks.stroke_reading import Reading, read_block, read_strokes
from service.marks.strokes import CAP_HEIGHTS_MM, Letter, Point, Stroke, glyph
from service.outlines.room import Rectangle
from service.rules.engravable import Engravable, engravable

__all__ = [
    "Engraving",
    "EngravingText",
    "Rung",
    "TiedTag",
    "choose_mark",
    "plan_engraving",
    "prove",
    "read_strokes",
]

Room = Callable[[float], Rectangle | None]

_SLACK = 1e-9


def plan_engraving(
    *,
    number: str,
    key: str,
    room: Room,
    hand: str | None = None,
    cutter: Cutter = USUAL_CUTTER,
    material: str | None = None,
    thickness_mm: float | None = None,
    cap_heights: Sequence[float] = CAP_HEIGHTS_MM,
    floor_mm: float | None = None,
) -> Engraving:
    """Choose the text of a segment and lay it into the free area of its outline.

    Args:
        number: the printed number of the segment.
        key: the key of the piece or segment.
        room: gives the largest free rectangle of the part for a ratio of width to height, or nothing.
        hand: LEFT or RIGHT; the word is engraved too where there is room for it.
        cutter: what cuts it, and how deep.
        material: of the part, by any of its names; without it what holds in any material is held to.
        thickness_mm: of the part; without it nothing is said of what stays under the groove.
        cap_heights: the heights to choose from, in mm.
        floor_mm: smaller heights are not cut, even where the material would allow it.

    Raises:
        NoEngravingRoom: nothing that is cut fits; a tied tag carries the number then.
        LintFailed: the cutter is set deeper than its cone or the sheet allows.
        BadNumber: not a printed number.
        BadKey: not a key.
        MissingGlyph: a character that the engraving font lacks.
        UnknownCode: no material goes by this name.
    """
    chosen = choose_mark(
        number=number,
        key=key,
        room=room,
        hand=hand,
        cutter=cutter,
        material=material,
        thickness_mm=thickness_mm,
        cap_heights=cap_heights,
        floor_mm=floor_mm,
    )
    if isinstance(chosen, Engraving):
        return chosen
    raise NoEngravingRoom(
        chosen.reason,
        field="number",
        value=number,
        todo=NO_ROOM_TODO,
    )


def choose_mark(
    *,
    number: str,
    key: str,
    room: Room,
    hand: str | None = None,
    cutter: Cutter = USUAL_CUTTER,
    material: str | None = None,
    thickness_mm: float | None = None,
    cap_heights: Sequence[float] = CAP_HEIGHTS_MM,
    floor_mm: float | None = None,
) -> Engraving | TiedTag:
    """The highest rung that can be cut, or the tied tag; arguments and other errors as for ``plan_engraving``."""
    holds = engravable(material)
    demand_cutter(cutter, holds, thickness_mm=thickness_mm)
    text = EngravingText(number=number, key=key, hand=hand)
    floor = max(holds.floor_mm, floor_mm or 0.0)
    heights = tuple(sorted((height for height in cap_heights if height >= floor - _SLACK), reverse=True))
    search = _Search(room, cutter, holds, heights)
    for wordings in steps(text):
        fits = [fit for fit in map(search.fit, wordings) if fit is not None]
        # Sorting keeps the order of wordings that come out equally high.
        for fit in sorted(fits, key=lambda fit: -fit.cap_height_mm):
            # Lower letters would have thinner walls still, so that a wording which fails here is not tried again.
            letters = placed_letters(fit.wording, fit.gaps, fit.extents, fit.cap_height_mm)
            if walls_stand(letters, fit.cap_height_mm, cutter, holds):
                return _lettering(fit, letters, cutter)
    return search.drilled("".join(text.key_fours())) or TiedTag(reason=search.reason(floor), widest_mm=search.widest_mm)


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
            value=engraving.text + (" over a base line" if engraving.base_line else ""),
            todo="Do not cut it; keep the file and report the fault",
        )


@dataclass(frozen=True, slots=True)
class _Fit:
    """A wording at a height, and the rectangle that it goes into."""

    wording: Wording
    cap_height_mm: float
    gaps: Gaps
    extents: Frame
    free: Rectangle


@lru_cache(maxsize=256)
def _choices(
    cutter: Cutter, holds: Engravable, heights: tuple[float, ...]
) -> tuple[tuple[float, Gaps, frozenset[str]], ...]:
    """For every height its gaps, and the letters that can be cut at it."""
    wall_mm = standing_mm(cutter, holds)
    rows: list[tuple[float, Gaps, frozenset[str]]] = []
    for height in heights:
        gaps = Gaps.of(height, groove_mm=cutter.groove_mm, wall_mm=wall_mm)
        # Equal gaps are one object, so that a search can tell at once that nothing has changed.
        gaps = next((row[1] for row in rows if row[1] == gaps), gaps)
        rows.append((height, gaps, fitting_letters(height, cutter, holds)))
    return tuple(rows)


class _Search:
    """What fits on one part with one cutter."""

    def __init__(self, room: Room, cutter: Cutter, holds: Engravable, heights: tuple[float, ...]) -> None:
        self._room, self._cutter, self._heights = room, cutter, heights
        self._choices = _choices(cutter, holds, heights)
        self.widest_mm = 0.0

    def fit(self, wording: Wording) -> _Fit | None:
        """The largest height at which a wording has room and its letters stay themselves."""
        chars = set("".join(wording.lines))
        chars.discard(" ")
        limit = math.inf
        before: tuple[Gaps, Frame, Rectangle] | None = None
        for height, gaps, letters in self._choices:
            if height > limit:
                continue
            if before is None or before[0] is not gaps:
                extents = frame(wording, gaps)
                free = self._room(extents.width / extents.height)
                if free is None:
                    return None
                before = (gaps, extents, free)
                # A frame with wider gaps holds this one, so that it has no room where this one has none.
                limit = min(free.width_mm / extents.width, free.height_mm / extents.height) + _SLACK
                self.widest_mm = max(self.widest_mm, limit)
            if height <= limit and chars <= letters:
                return _Fit(wording, height, *before)
        return None

    def drilled(self, key: str) -> Engraving | None:
        """The key as drilled dots, where there is room for them."""
        pitch = pitch_mm(self._cutter)
        side = side_mm(key, pitch)
        free = self._room(1.0)
        if free is None or min(free.width_mm, free.height_mm) < side - _SLACK:
            return None
        place = _Place(free, side, side)
        return Engraving(
            lines=(f"{key[:4]}-{key[4:]}",),
            rung="drilled dots",
            cutter=self._cutter,
            cap_height_mm=0.0,
            strokes=(),
            letters=(),
            origin=place.origin,
            angle_deg=place.angle_deg,
            width_mm=side,
            height_mm=side,
            base_line=False,
            dots=place.put(dots(key), pitch),
            dot_diameter_mm=self._cutter.groove_mm,
            dot_pitch_mm=pitch,
        )

    def reason(self, floor: float) -> str:
        """Why nothing is cut."""
        if not self.widest_mm:
            return "the outline leaves no free area between edges, holes and keep-outs"
        least = min(self._heights, default=floor)
        room = f"there is room for {math.floor(self.widest_mm * 10) / 10:g} mm"
        if self.widest_mm >= least:
            return f"a groove of {self._cutter.groove_mm:.2f} mm is too wide for the letters that fit; {room}"
        return f"not even the key fits at {least:g} mm letters, nor as drilled dots; {room}"


class _Place:
    """The middle of a free rectangle; a text in it reads as the room has chosen, else from below or from the right."""

    def __init__(self, free: Rectangle, width_mm: float, height_mm: float) -> None:
        self.angle_deg = free.angle_deg
        if not free.by_rule:
            self.angle_deg %= 180
            self.angle_deg -= 180 if self.angle_deg > 90 else 0
        self._turn = cmath.rect(1.0, math.radians(self.angle_deg))
        corner = complex(*free.centre) - complex(width_mm, height_mm) / 2 * self._turn
        self.origin = (corner.real, corner.imag)

    def put(self, points: Sequence[Point], scale: float) -> Stroke:
        """Points of the block, scaled, on the part."""
        (x0, y0), cos, sin = self.origin, self._turn.real * scale, self._turn.imag * scale
        return tuple([(x0 + x * cos - y * sin, y0 + x * sin + y * cos) for x, y in points])

    def put_letters(self, letters: Sequence[Letter], cap_height_mm: float) -> list[Stroke]:
        """The strokes of letters that stand in the block, on the part."""
        (x0, y0), cos, sin = self.origin, self._turn.real, self._turn.imag
        along, across = cos * cap_height_mm, sin * cap_height_mm
        strokes: list[Stroke] = []
        for char, x, y in letters:
            left, foot = x0 + x * cos - y * sin, y0 + x * sin + y * cos
            strokes += [
                tuple([(left + u * along - v * across, foot + u * across + v * along) for u, v in stroke])
                for stroke in glyph(char).strokes
            ]
        return strokes


def _lettering(fit: _Fit, letters: tuple[Letter, ...], cutter: Cutter) -> Engraving:
    """A wording in the middle of its free rectangle."""
    height = fit.cap_height_mm
    width_mm, height_mm = fit.extents.width * height, fit.extents.height * height
    place = _Place(fit.free, width_mm, height_mm)
    strokes = place.put_letters(letters, height)
    if fit.wording.base_line:
        edge = fit.gaps.line / 2
        strokes.append(place.put(((edge, edge), (fit.extents.width - edge, edge)), height))
    return Engraving(
        lines=fit.wording.lines,
        rung=fit.wording.rung,
        cutter=cutter,
        cap_height_mm=height,
        strokes=tuple(strokes),
        letters=letters,
        origin=place.origin,
        angle_deg=place.angle_deg,
        width_mm=width_mm,
        height_mm=height_mm,
        base_line=fit.wording.base_line,
        hand=fit.wording.hand,
    )
