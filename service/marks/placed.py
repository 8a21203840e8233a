"""An engraving at its place: the ladder of texts against the steps of margins, and the tops of letters to the axis.

The steps, one after the other until a text fits: full margins, seen when the deck above is mounted; the same with
margins taken back; then under the deck above, where it is read once that deck is off. On each, the direction keeps to
the rule. It is turned further only where that gives a more telling text, or letters at least twice as high where they
would be under ``SMALL_MM``; never so far that the text stands on its head.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Protocol, TypeGuard

from service.errors import NoEngravingRoom
from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.engraved import NO_ROOM_TODO
from service.marks.engraving import Engraving, TiedTag, choose_mark
from service.marks.ladder import Rung
from service.marks.revision_mark import RevisionMark, revision_mark
from service.marks.strokes import Point
from service.outlines.exact_fit import half_turn
from service.outlines.face import Face, MarginName, Margins
from service.outlines.room import Rectangle
from service.outlines.upright import ANY_DEG, TOLERANCE_DEG, UprightRoom
from service.rules.engravable import engravable

SMALL_MM = 7.0
"""Letters of this height are large enough; text is not turned for larger ones (common practice, no source)."""
_TURNED_PAYS = 2.0
_STRAIGHTER_DEG = (4.0, 10.0)
_STEP: dict[Rung, int] = {
    "one line": 0,
    "two lines": 0,
    "container and place": 1,
    "key": 2,
    "key in two fours": 2,
    "drilled dots": 3,
    "tied tag": 4,
}
"""How far down the ladder; what stands on one step tells the same."""

_Room = Callable[[float], Rectangle | None]


class _Choose(Protocol):
    def __call__(self, *, room: _Room) -> Engraving | TiedTag: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedEngraving:
    """An engraving and what its place was chosen by.

    Attributes:
        engraving: the strokes or dots, in the coordinates of the part.
        face: what is known of the part.
        margins: the distances that it keeps.
        seen: whether it is seen when the deck above is mounted.
        off_deg: how far it is turned from the direction of its place.
        revision: the letter of the revision in its ring, where it was asked for and there is room.
    """

    engraving: Engraving
    face: Face
    margins: Margins
    seen: bool
    off_deg: float
    revision: RevisionMark | None = None

    @property
    def block(self) -> Rectangle:
        """The text as a rectangle that reads in its direction."""
        text = self.engraving
        return Rectangle(_middle(text), text.width_mm, text.height_mm, text.angle_deg, by_rule=True)

    @property
    def by_rule(self) -> bool:
        """Whether the tops of the letters point to the axis, or up where none is known, within the tolerance."""
        return self.off_deg <= TOLERANCE_DEG + 1e-6

    @property
    def direction(self) -> str:
        """Where the tops of the letters point, in words."""
        if self.face.axis is None:
            return "upright as drawn" if self.by_rule else "along the part, no centre known"
        return "tops of letters toward the centre" if self.by_rule else "along the part, not toward the centre"

    @property
    def place_words(self) -> str:
        """Margins, sight and direction as a person reads them."""
        margins: dict[MarginName, str] = {
            "full": "full margins",
            "reduced": f"margins reduced to {self.margins.working_mm:g} mm",
            "zone": "in the engraving zone",
        }
        words = [margins[self.margins.name], self.direction]
        if not self.seen:
            words.append("covered by the deck above")
        return ", ".join(words)

    def record(self) -> dict[str, str | float | bool]:
        """What goes on record: the text, its sizes and cutter, and how its place was found."""
        return {
            **self.engraving.record(),
            "margins": self.margins.name,
            "working_margin_mm": self.margins.working_mm,
            "joint_margin_mm": self.margins.joint_mm,
            "seen": self.seen,
            "direction": self.direction,
            "hand": self.engraving.hand or "",
            "revision_mark_mm": self.revision.cap_height_mm if self.revision is not None else 0.0,
        }


def place_engraving(
    face: Face,
    *,
    number: str,
    key: str,
    hand: str | None = None,
    revision: str | None = None,
    cutter: Cutter = USUAL_CUTTER,
    material: str | None = None,
    thickness_mm: float | None = None,
) -> PlacedEngraving:
    """The most telling text that fits on a part, at the best place for it.

    Args:
        face: what is known of the part.
        number: the printed number of the segment.
        key: the key of the piece or segment.
        hand: LEFT or RIGHT, where the segment has one.
        revision: the letter that the program of its profile engraves too, apart from the number.
        cutter: what cuts it, and how deep.
        material: of the part.
        thickness_mm: of the part.

    Raises:
        NoEngravingRoom: nothing fits even with the least margins; it says how large the letters could be.
        LintFailed, BadNumber, BadKey, MissingGlyph, UnknownCode: as for ``plan_engraving``.
    """
    choose: _Choose = partial(
        choose_mark, number=number, key=key, hand=hand, cutter=cutter, material=material, thickness_mm=thickness_mm
    )
    dots: PlacedEngraving | None = None
    tag: TiedTag | None = None
    for within_deg in (TOLERANCE_DEG, ANY_DEG):
        for margins, seen, room in _steps(face):
            found = choose(room=partial(room.rectangle, within_deg=within_deg))
            if isinstance(found, TiedTag):
                tag = found if tag is None or found.widest_mm > tag.widest_mm else tag
                continue
            best = _straightened(found, room, choose) if within_deg < ANY_DEG else found
            placed = PlacedEngraving(engraving=best, face=face, margins=margins, seen=seen, off_deg=_off(best, room))
            if best.dots:
                # Letters that a person can read, on a later step, come before dots on this one.
                dots = dots or placed
                continue
            return _with_revision(placed, revision, material)
        if dots is not None:
            return _with_revision(dots, revision, material)
    raise NoEngravingRoom(
        tag.reason if tag is not None else "the outline leaves no free area between edges, holes and keep-outs",
        field="number",
        value=number,
        todo=NO_ROOM_TODO,
    )


def _steps(face: Face) -> Iterator[tuple[Margins, bool, UprightRoom]]:
    """The free areas to try, those that are the same as one before left out."""
    centre = face.axis.at if face.axis is not None else None
    for seen in (True, False):
        if not seen and face.shadow.is_empty:
            return
        for margins in face.steps:
            yield margins, seen, UprightRoom(face.free(margins, seen=seen), centre)


def _straightened(found: Engraving, room: UprightRoom, choose: _Choose) -> Engraving:
    """The same text as large and closer to the direction of its place, or turned where that pays."""
    if _STEP[found.rung] > 0 or found.cap_height_mm < SMALL_MM:
        turned = choose(room=partial(room.rectangle, within_deg=ANY_DEG))
        if isinstance(turned, Engraving) and _pays(turned, found):
            along = choose(room=partial(room.rectangle, within_deg=ANY_DEG, along_borders=True))
            return along if _as_good(along, turned) else turned
    if _off(found, room) <= _STRAIGHTER_DEG[0]:
        return found
    for within_deg in _STRAIGHTER_DEG:
        straighter = choose(room=partial(room.rectangle, within_deg=within_deg))
        if _as_good(straighter, found):
            return straighter
    return found


def _as_good(other: Engraving | TiedTag, found: Engraving) -> TypeGuard[Engraving]:
    return (
        isinstance(other, Engraving)
        and _STEP[other.rung] == _STEP[found.rung]
        and other.cap_height_mm >= found.cap_height_mm
        and (other.hand is not None or found.hand is None)
    )


def _pays(turned: Engraving, found: Engraving) -> bool:
    step, before = _STEP[turned.rung], _STEP[found.rung]
    return step < before or (step == before and turned.cap_height_mm >= _TURNED_PAYS * found.cap_height_mm > 0)


def _off(engraving: Engraving, room: UprightRoom) -> float:
    """How far a text is turned from the direction of its middle, in degrees."""
    return abs(half_turn(engraving.angle_deg - room.direction(_middle(engraving))))


def _middle(engraving: Engraving) -> Point:
    turn = math.radians(engraving.angle_deg)
    x, y = engraving.width_mm / 2, engraving.height_mm / 2
    return (
        engraving.origin[0] + x * math.cos(turn) - y * math.sin(turn),
        engraving.origin[1] + x * math.sin(turn) + y * math.cos(turn),
    )


def _with_revision(placed: PlacedEngraving, letter: str | None, material: str | None) -> PlacedEngraving:
    if letter is None:
        return placed
    text = placed.engraving
    mark = revision_mark(
        letter,
        face=placed.face,
        margins=placed.margins,
        seen=placed.seen,
        block=placed.block,
        text_height_mm=text.cap_height_mm or text.height_mm,
        groove_mm=text.cutter.groove_mm,
        floor_mm=engravable(material).floor_mm,
    )
    return replace(placed, revision=mark)
