"""What stands on the inspection sheet of a reorder: what the finished piece is measured for, and what it is not.

Lengths are right at 20 °C (ISO 1). Plastic that is measured warm reads long, so each length stands there as it should
read at the temperatures of a shop too.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from service.marks.engraving import Engraving
from service.outlines.drawing import Drawing

TEMPERATURES_C = (15.0, 25.0, 30.0)
"""What lengths should read at, besides 20 °C."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FeatureRow:
    """One length: in words, at 20 °C, and as it should read at each of ``TEMPERATURES_C``."""

    what: str
    nominal_mm: float
    readings_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceRow:
    """One joint as the two outlines draw it; lengths in mm, None where they cannot be compared."""

    neighbour: str
    least_mm: float | None
    median_mm: float | None
    greatest_mm: float | None
    play_mm: float | None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidateOutline:
    """A segment that the caller's mark may have meant.

    Attributes:
        number: of the segment.
        words: how it differs, for example ``SW2-U1 of A330``.
        chosen: whether it is the one that is cut.
        drawing: its outline.
    """

    number: str
    words: str
    chosen: bool
    drawing: Drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionSheet:
    """Everything that stands on the sheet.

    Attributes:
        title: for example ``Inspection sheet for reorder 17``.
        number: of the segment; ``keys`` those of the new pieces.
        cut_file, revision: what is cut.
        material: its name, with what is known of its expansion in ``expansion``.
        ordered: when, with a time zone.
        drawing: the outline that is cut; ``engraving`` the text on it.
        holes: letters of the mounting holes and their middles.
        features: what is measured; ``thickness`` in words what the sheet should have.
        joints: the gaps to every neighbour.
        candidates: the chosen segment and those that were ruled out; empty where none were.
        cautions: what can hurt somebody.
    """

    title: str
    number: str
    keys: tuple[str, ...]
    cut_file: str
    revision: str
    material: str
    expansion: str
    ordered: datetime
    drawing: Drawing
    engraving: Engraving | None
    holes: tuple[tuple[str, tuple[float, float]], ...]
    features: tuple[FeatureRow, ...]
    thickness: str
    joints: tuple[ClearanceRow, ...]
    candidates: tuple[CandidateOutline, ...]
    cautions: tuple[str, ...]
    shop_name: str
    shop_telephone: str
