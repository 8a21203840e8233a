"""The lint of an engraving: what a person with a loupe would find wrong with it before it is cut.

Walls and letters are judged as the cutter leaves them at the surface (:mod:`service.marks.sweep`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from service.errors import LintFailed
from service.findings import Finding, Level
from service.marks.cutters import Cutter
from service.marks.drilled import DOT_SHARES
from service.marks.engraved import Engraving
from service.marks.strokes import CHARACTERS, STROKE_WIDTH, Letter, glyph
from service.marks.sweep import apart, distance, section_area_mm2, swept_glyph
from service.rules.engravable import ANY, PRACTICE, Engravable

COUNTER_SHARE = 0.25
"""A counter of which less than this share of its drawn area is left fills with dirt or breaks out."""
WIDEST_STROKE = 1 / 6
"""The widest line that still reads, in cap heights: DOD-HDBK-791(AM), 6-5.3.2, for dark letters on light."""
HAIRLINE = 1 / 20
"""A line that is thinner, in cap heights, is seen from less far than the letter's height would allow."""

STROKE_SOURCE = "ISO 3098 type B: line of 1/10 h; DOD-HDBK-791(AM), 6-5.3.2: up to 1/6 h"
SPACING_SOURCE = "ISO 3098 type B: clear gap of 2/10 h; thinnest wall: common practice, no source"
CONE_SOURCE = "geometry of the cone"
_SLACK = 1e-9
_LARGER = "Take a larger letter, or a cutter that leaves a narrower groove"


def lint_engraving(
    engraving: Engraving, holds: Engravable = ANY, *, thickness_mm: float | None = None
) -> list[Finding]:
    """Every fault of an engraving.

    Args:
        engraving: what is to be cut.
        holds: what its material asks for.
        thickness_mm: of the part; without it nothing is said of what stays under the groove.
    """
    found = [*lint_cutter(engraving.cutter, holds, thickness_mm=thickness_mm)]
    if engraving.dots:
        return [*found, *_dots(engraving)]
    height = engraving.cap_height_mm
    return [
        *found,
        *_sizes(engraving, holds),
        *lint_letters(engraving.letters, height, engraving.cutter, holds),
        *_base_line(engraving, holds),
    ]


def lint_cutter(cutter: Cutter, holds: Engravable = ANY, *, thickness_mm: float | None = None) -> list[Finding]:
    """What is wrong with a cutter at its depth, whatever it cuts."""
    found: list[Finding] = []
    if cutter.kind == "vee":
        cone = (cutter.diameter_mm - cutter.tip_mm) / 2 / math.tan(math.radians(cutter.angle_deg) / 2)
        if cutter.depth_mm > cone + _SLACK:
            found.append(
                _finding(
                    "cutter_beyond_cone",
                    "depth_mm",
                    f"{cutter.depth_mm:g}",
                    f"the cone of the cutter is {cone:.2f} mm high; deeper, its shank rubs in the groove",
                    "Cut less deep, or take a wider or more pointed cutter",
                    CONE_SOURCE,
                )
            )
    if thickness_mm is not None and cutter.depth_mm > holds.deepest_mm(thickness_mm) + _SLACK:
        found.append(
            _finding(
                "groove_too_deep",
                "depth_mm",
                f"{cutter.depth_mm:g}",
                f"a part of {thickness_mm:g} mm is engraved at most {holds.deepest_mm(thickness_mm):.2f} mm deep: "
                f"two thirds of it and {holds.left_mm:g} mm have to stay under the groove",
                "Cut less deep",
                PRACTICE,
            )
        )
    return found


def standing_mm(cutter: Cutter, holds: Engravable) -> float:
    """The thinnest wall at the surface that stands beside the cutter's groove; leaning sides make it stouter below."""
    leaning = cutter.groove_mm - section_area_mm2(cutter) / cutter.depth_mm
    return holds.standing_mm(cutter.depth_mm, leaning_mm=leaning)


def demand_cutter(cutter: Cutter, holds: Engravable, *, thickness_mm: float | None) -> None:
    """Refuse a cutter with which nothing on the ladder could be cut.

    Raises:
        LintFailed: it is set deeper than its cone or the sheet allows.
    """
    found = lint_cutter(cutter, holds, thickness_mm=thickness_mm)
    if found:
        raise LintFailed(found)


def fitting_letters(cap_height_mm: float, cutter: Cutter, holds: Engravable) -> frozenset[str]:
    """The letters that can be cut at a height: their line takes the cutter, and each of them stays itself."""
    groove = cutter.groove_mm
    if groove > WIDEST_STROKE * cap_height_mm + _SLACK or cap_height_mm < holds.floor_mm - _SLACK:
        return frozenset()
    return _sound_letters(groove / cap_height_mm, standing_mm(cutter, holds) / cap_height_mm)


def walls_stand(letters: Sequence[Letter], cap_height_mm: float, cutter: Cutter, holds: Engravable) -> bool:
    """Whether every wall between neighbouring letters stands."""
    standing = standing_mm(cutter, holds) - _SLACK
    return all(wall >= standing for *_, wall in _walls(letters, cap_height_mm, cutter.groove_mm, standing))


def lint_letters(
    letters: Sequence[Letter], cap_height_mm: float, cutter: Cutter, holds: Engravable = ANY
) -> Iterator[Finding]:
    """Letters that lose what they are, and neighbours that run together.

    Args:
        letters: row by row in reading order, in mm.
        cap_height_mm: their height.
        cutter: what cuts them.
        holds: what the material asks for.
    """
    standing = standing_mm(cutter, holds)
    chars = dict.fromkeys([letter.char for letter in letters])
    sound = _sound_letters(cutter.groove_mm / cap_height_mm, standing / cap_height_mm)
    for char in (char for char in chars if char not in sound):
        yield from _letter_faults(char, cap_height_mm, cutter.groove_mm, standing)
    for left, right, wall in _walls(letters, cap_height_mm, cutter.groove_mm, standing):
        if wall < standing - _SLACK:
            yield _finding(
                "glyphs_merge",
                "characters",
                f"{left}{right}",
                _wall_words(wall, standing),
                "Space them wider, take a larger letter, or a cutter that leaves a narrower groove",
                SPACING_SOURCE,
            )


def _sizes(engraving: Engraving, holds: Engravable) -> Iterator[Finding]:
    height, groove = engraving.cap_height_mm, engraving.cutter.groove_mm
    if height < holds.floor_mm - _SLACK:
        yield _finding(
            "below_engraving_floor",
            "cap_height_mm",
            f"{height:g}",
            f"letters below {holds.floor_mm:g} mm do not stay legible in {holds.name or 'any material'}",
            "Take a larger letter, or a shorter rung of the ladder",
            PRACTICE,
        )
    if groove > WIDEST_STROKE * height + _SLACK:
        yield _finding(
            "stroke_under_cutter",
            "cap_height_mm",
            f"{height:g}",
            f"the line of such letters is {STROKE_WIDTH * height:.2f} mm wide and may grow to "
            f"{WIDEST_STROKE * height:.2f} mm; the groove is {groove:.2f} mm",
            f"Take letters of {groove / WIDEST_STROKE:.1f} mm or more, or a narrower cutter",
            STROKE_SOURCE,
        )
    if groove < HAIRLINE * height - _SLACK:
        yield _finding(
            "stroke_hairline",
            "cap_height_mm",
            f"{height:g}",
            f"a groove of {groove:.2f} mm is thin for such letters: {STROKE_WIDTH * height:.2f} mm would be their line",
            "A wider cutter makes them readable from farther away",
            PRACTICE,
            level="warning",
        )


def _base_line(engraving: Engraving, holds: Engravable) -> Iterator[Finding]:
    """The wall between the feet of the last row and the base line under it."""
    if not engraving.base_line:
        return
    standing = standing_mm(engraving.cutter, holds)
    turn = math.radians(engraving.angle_deg)
    x, y = engraving.strokes[-1][0]
    rule = (y - engraving.origin[1]) * math.cos(turn) - (x - engraving.origin[0]) * math.sin(turn)
    foot = min(letter.y + glyph(letter.char).bottom * engraving.cap_height_mm for letter in engraving.letters)
    wall = foot - rule - engraving.cutter.groove_mm
    if wall < standing - _SLACK:
        yield _finding(
            "glyphs_merge",
            "base line",
            engraving.lines[-1],
            _wall_words(wall, standing),
            "Set the base line lower",
            SPACING_SOURCE,
        )


def _dots(engraving: Engraving) -> Iterator[Finding]:
    low, high = DOT_SHARES
    share = engraving.dot_diameter_mm / engraving.dot_pitch_mm
    if not low - _SLACK <= share <= high + _SLACK:
        yield _finding(
            "dot_share",
            "dot_diameter_mm",
            f"{engraving.dot_diameter_mm:.2f}",
            f"a dot is {share:.0%} of the {engraving.dot_pitch_mm:.2f} mm from dot to dot; "
            f"{low:.0%} to {high:.0%} are read",
            "Choose another pitch or depth",
            PRACTICE,
        )


def _letter_faults(char: str, cap_height_mm: float, groove_mm: float, stands_mm: float) -> Iterator[Finding]:
    """What the cutter makes of one letter."""
    letter = swept_glyph(char, groove_mm / cap_height_mm)
    under = f"under a groove of {groove_mm:.2f} mm"
    if letter.lost:
        yield _finding("counter_closed", "character", char, f"its counter is gone {under}", _LARGER, PRACTICE)
    if letter.gained:
        yield _finding("hole_gained", "character", char, f"its opening closes to a hole {under}", _LARGER, PRACTICE)
    for counter in letter.counters:
        width = counter.width * cap_height_mm
        if width < stands_mm - _SLACK:
            words = f"what stands in its counter is {width:.2f} mm wide and breaks out; {stands_mm:.2f} mm stand"
        elif counter.share < COUNTER_SHARE - _SLACK:
            words = f"{counter.share:.0%} of its counter is left and fills with dirt; {COUNTER_SHARE:.0%} stay open"
        else:
            continue
        yield _finding("counter_small", "character", char, words, _LARGER, PRACTICE)


@lru_cache(maxsize=1024)
def _sound_letters(ratio: float, least: float) -> frozenset[str]:
    """The letters without a fault; groove and thinnest wall in cap heights."""
    return frozenset(char for char in CHARACTERS if not any(_letter_faults(char, 1.0, ratio, least)))


def _walls(
    letters: Sequence[Letter], cap_height_mm: float, groove_mm: float, enough_mm: float
) -> Iterator[tuple[str, str, float]]:
    """Neighbours between which less than ``enough_mm`` could be left, and what is left, negative where grooves overlap.

    Where the extents of two letters are far enough apart, the letters are.
    """
    rows: list[list[Letter]] = []
    before: Letter | None = None
    for letter in letters:
        if before is None or abs(before.y - letter.y) > _SLACK:
            rows.append([])
        else:
            gap = letter.x - before.x - glyph(before.char).width * cap_height_mm
            if gap - groove_mm < enough_mm:
                between = apart(before.char, letter.char, round(gap / cap_height_mm, 6))
                yield before.char, letter.char, between * cap_height_mm - groove_mm
        rows[-1].append(letter)
        before = letter
    for upper, lower in pairwise(rows):
        low = upper[0].y + min([glyph(letter.char).bottom for letter in upper]) * cap_height_mm
        high = lower[0].y + max([glyph(letter.char).top for letter in lower]) * cap_height_mm
        if low - high - groove_mm >= enough_mm:
            continue
        for above in upper:
            for below in lower:
                offset = ((below.x - above.x) / cap_height_mm, (below.y - above.y) / cap_height_mm)
                yield above.char, below.char, distance(above.char, below.char, *offset) * cap_height_mm - groove_mm


def _wall_words(wall_mm: float, stands_mm: float) -> str:
    if wall_mm <= 0:
        return "their grooves run into each other"
    return f"the wall between them is {wall_mm:.2f} mm thick, and {stands_mm:.2f} mm have to stand"


def _finding(
    rule: str, field: str, value: str, message: str, todo: str, source: str, *, level: Level = "error"
) -> Finding:
    return Finding(
        rule=rule, level=level, message=message, field=field, value=value, todo=todo, place="engraving", source=source
    )
