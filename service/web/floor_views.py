"""What the page behind a scanned code shows."""

from __future__ import annotations

from dataclasses import dataclass

from schemas.answers import PieceAnswer, SegmentAnswer
from service.web.views import Colour, Number, Picture


@dataclass(frozen=True, slots=True)
class FloorDetails:
    """What only signed-in people see behind a scanned code; ``piece`` is the one whose key was read."""

    facts: SegmentAnswer
    piece: PieceAnswer | None
    neighbours: tuple[Number, ...]
    plan: Picture
    check_before_reuse: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FloorCard:
    """The nameplate's facts, and ``details`` for signed-in people."""

    number: Number
    key: str
    container_words: str
    container_code: str
    assembly: str
    deck: str
    place: str
    segment_of: str
    hand: str
    mass_kg: float
    quantity: int
    colour: Colour
    shop_name: str
    shop_telephone: str
    cautions: tuple[str, ...]
    voided_reason: str
    retired: bool
    condition: str
    details: FloorDetails | None
