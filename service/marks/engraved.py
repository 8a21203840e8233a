"""A planned engraving: what is cut, with which cutter, and where it lies on the part."""

from __future__ import annotations

from dataclasses import dataclass

from service.marks.cutters import Cutter
from service.marks.ladder import Rung
from service.marks.strokes import Letter, Point, Stroke


@dataclass(frozen=True, slots=True, kw_only=True)
class Engraving:
    """A text as strokes on a part, or a key as drilled dots.

    Attributes:
        lines: the text, from the top; of drilled dots, the key that they hold.
        rung: which rung of the ladder it is.
        cutter: what cuts it, and how deep.
        cap_height_mm: height of the capitals, between centre lines; 0 for drilled dots.
        strokes: centre lines in the coordinates of the part, in mm; none for drilled dots.
        letters: where each letter stands inside the block, in mm from its lower left corner, along and across the text.
        origin: the lower left corner of the block, in mm.
        angle_deg: reading direction, counter-clockwise from the x axis: above -90 and up to 90, so that it reads from
            below or from the right, unless the room has chosen it by a rule of its own.
        width_mm: length of the block in reading direction, grooves included.
        height_mm: height of the block across it, grooves included.
        base_line: whether the last stroke is a base line under the text.
        hand: LEFT or RIGHT where the word stands in the text; None where there is no hand or no room for it.
        dots: centres of drilled dots in the coordinates of the part, in mm; none for a text.
        dot_diameter_mm: how wide each opens at the surface; 0 for a text.
        dot_pitch_mm: from one dot to the next; 0 for a text.
    """

    lines: tuple[str, ...]
    rung: Rung
    cutter: Cutter
    cap_height_mm: float
    strokes: tuple[Stroke, ...]
    letters: tuple[Letter, ...]
    origin: Point
    angle_deg: float
    width_mm: float
    height_mm: float
    base_line: bool
    hand: str | None = None
    dots: tuple[Point, ...] = ()
    dot_diameter_mm: float = 0.0
    dot_pitch_mm: float = 0.0

    @property
    def stroke_width_mm(self) -> float:
        """Width of the groove that the cutter leaves at the surface."""
        return self.cutter.groove_mm

    @property
    def text(self) -> str:
        """What it says, in one line."""
        return " / ".join(self.lines)

    @property
    def words(self) -> str:
        """What it says and how large, as a person reads it."""
        if self.dots:
            return f"{self.text} as a Data Matrix of drilled dots, {self.dot_pitch_mm:.2f} mm from dot to dot"
        return f"{self.text} in letters {self.cap_height_mm:g} mm high"

    def record(self) -> dict[str, str | float]:
        """What goes on record of it: the rung, the text, the sizes and the cutter."""
        sizes: dict[str, str | float] = (
            {"dot_pitch_mm": round(self.dot_pitch_mm, 3)} if self.dots else {"cap_height_mm": self.cap_height_mm}
        )
        return {"rung": self.rung, "text": self.text, "cutter": self.cutter.words, **sizes}


TIED_TAG_TEMPLATE = "tied-tag-80x50"
"""The label template of the last rung."""
NO_ROOM_TODO = (
    "Draw an engraving zone, move a keep-out, take a narrower cutter, or mark this segment with a tied tag "
    f"(template {TIED_TAG_TEMPLATE})"
)
"""What to do where nothing is cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TiedTag:
    """The last rung: nothing fits on the part, and a tag is tied to it.

    Attributes:
        reason: why nothing is cut, a clause without a full stop.
        widest_mm: the letters that there would be room for; 0 where that is not known, or without any free area.
        template: the label template that is printed instead.
        rung: of the ladder.
    """

    reason: str
    widest_mm: float = 0.0
    template: str = TIED_TAG_TEMPLATE
    rung: Rung = "tied tag"

    def record(self) -> dict[str, str | float]:
        """What goes on record of it."""
        return {"rung": self.rung, "text": "", "template": self.template, "reason": self.reason}
