"""The letter of the revision as a mark of its own: in a ring, apart from the number.

Only the program that cuts the profile may engrave it, since it says which profile that was; the number says which
segment it is and is the same for every revision. The ring keeps the letter from being read as part of the number: no
letter of the font has another inside it. The initial release has a dash in its ring (ASME Y14.35: the initial release
bears ``-``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.marks.strokes import CAP_HEIGHTS_MM, Point, Stroke, set_line
from service.outlines.beside import largest_apart, place_beside
from service.outlines.face import FULL, Face, Margins
from service.outlines.room import Rectangle

RING = 1.2
"""Radius of the ring over the height of a single letter in it: the corners of the widest letters stay clear of it."""
GAP = 1.0
"""Clear distance from the number, in cap heights of the number: more than three times the gap between its letters."""
_SIDES = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionMark:
    """The letter of a revision in its ring, in the coordinates of the part.

    Attributes:
        letter: ``-`` or the letters of the revision.
        cap_height_mm: height of the letter.
        centre: middle of the ring, in mm.
        radius_mm: of the ring, to the middle of its groove.
        angle_deg: reading direction of the letter.
        strokes: centre lines in mm: the letter's, and last the closed ring.
    """

    letter: str
    cap_height_mm: float
    centre: Point
    radius_mm: float
    angle_deg: float
    strokes: tuple[Stroke, ...]


def revision_mark(
    letter: str,
    *,
    face: Face,
    margins: Margins,
    seen: bool,
    block: Rectangle,
    text_height_mm: float,
    groove_mm: float,
    floor_mm: float,
) -> RevisionMark | None:
    """The mark beside a placed text, as high as its letters or less; nothing where there is no room for it.

    Args:
        letter: the revision.
        face: what is known of the part.
        margins: the distances that the text keeps; an engraving zone is not held to, it is there for the text.
        seen: whether it must be seen when the deck above is mounted.
        block: the text.
        text_height_mm: height of its capitals, or of the whole block where it has none.
        groove_mm: width of the groove.
        floor_mm: smaller letters are not cut.
    """
    free = face.free(FULL if margins.name == "zone" else margins, seen=seen)
    centre = face.axis.at if face.axis is not None else None
    heights = [height for height in sorted(CAP_HEIGHTS_MM, reverse=True) if floor_mm <= height <= text_height_mm]
    gap_mm = GAP * text_height_mm
    for height in heights:
        radius = _radius(letter, height, groove_mm)
        square = place_beside(free, block, size_mm=2 * radius + groove_mm, gap_mm=gap_mm)
        if square is not None:
            return _set(letter, height, radius, square)
    largest = largest_apart(free, block, gap_mm=gap_mm, centre=centre)
    for height in heights:
        radius = _radius(letter, height, groove_mm)
        if largest is not None and 2 * radius + groove_mm <= largest.height_mm:
            return _set(letter, height, radius, largest)
    return None


def _radius(letter: str, height: float, groove_mm: float) -> float:
    """Of a ring that stays clear of the corners of what it holds."""
    return max(RING * height, math.hypot(set_line(letter, height).width_mm, height) / 2 + 2 * groove_mm)


def _set(letter: str, height: float, radius: float, square: Rectangle) -> RevisionMark:
    line = set_line(letter, height)
    turn = math.radians(square.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    cx, cy = square.centre
    strokes = [
        tuple(
            (
                cx + (x - line.width_mm / 2) * cos - (y - height / 2) * sin,
                cy + (x - line.width_mm / 2) * sin + (y - height / 2) * cos,
            )
            for x, y in stroke
        )
        for stroke in line.strokes
    ]
    angles = [2 * math.pi * step / _SIDES for step in range(_SIDES)]
    ring = [(cx + radius * math.cos(angle), cy + radius * math.sin(angle)) for angle in angles]
    strokes.append((*ring, ring[0]))
    return RevisionMark(
        letter=letter,
        cap_height_mm=height,
        centre=square.centre,
        radius_mm=radius,
        angle_deg=square.angle_deg,
        strokes=tuple(strokes),
    )
