"""Sets, pieces, shared parts and retired kits: what is asked for and what is answered."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from schemas.answers import Answer, FindingAnswer, PieceAnswer
from schemas.manifest import Part
from schemas.requests import MarkText
from schemas.text import Reason

SetNumber = Annotated[int, Field(ge=1, le=10_000)]
Count = Annotated[int, Field(ge=1, le=10_000)]
Override = Annotated[str, StringConstraints(strip_whitespace=True, min_length=3, max_length=240)]
EndKind = Literal["broken", "worn", "lost", "misworked", "other"]
RevisionLetter = Annotated[str, StringConstraints(strip_whitespace=True, to_upper=True, min_length=1, max_length=3)]


class SetRequest(Part):
    """A further set of a kit: same numbers, own pieces."""

    revisions: Annotated[dict[MarkText, RevisionLetter], Field(max_length=1000)] = Field(
        default={},
        description="Revisions by place or number; of all others the newest that is not withdrawn is taken.",
        examples=[{"SW2-U3": "B"}],
    )
    material_batch: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60)] | None = None
    made_at: date | None = Field(default=None, description="The day on which it was made; today unless said.")
    override: Override | None = Field(default=None, description="Why, although the kit is retired.")


class SetSegmentAnswer(Answer):
    """What one segment of a set is cut from, and the keys of its pieces."""

    number: str
    place: str
    cut_file: str
    revision: str
    quantity: int
    keys: tuple[str, ...] = Field(description="One for a segment that is made once; none before the set is made.")


class SetAnswer(Answer):
    """A further set, prepared or made."""

    kit: str
    set: int
    status: Literal["prepared", "refused", "made"]
    findings: tuple[FindingAnswer, ...]
    segments: tuple[SetSegmentAnswer, ...]
    shared: tuple[str, ...] = Field(
        default=(), description="Segments of other kits that serve here too; no piece of them is made with this set."
    )
    material_batch: str | None = None
    made_at: str


class SetSummaryAnswer(Answer):
    """How a set stands: pieces by what became of them."""

    set: int
    fitted: int
    damaged: int
    ordered: int
    scrapped: int
    missing: int = Field(description="Pieces that the set should have and that are neither fitted nor on order.")
    made_at: str | None
    material_batch: str | None


class SetListAnswer(Answer):
    """The sets of a kit, the first first."""

    kit: str
    sets: tuple[SetSummaryAnswer, ...]


class TrackRequest(Part):
    """Pieces of a count that get keys of their own."""

    track: Count = Field(description="How many of the count.")
    set: SetNumber | None = Field(default=None, description="Needed where several sets are counted.")


class ScrapRequest(Part):
    """What happened to a piece that is in use no more."""

    kind: EndKind
    note: Annotated[str, StringConstraints(strip_whitespace=True, max_length=240)] = Field(
        default="", examples=["jaw of the gripper bent it in a jam"]
    )


class ScrapCountRequest(ScrapRequest):
    """The same, of pieces that are only counted."""

    count: Count = 1
    set: SetNumber | None = Field(default=None, description="Needed where several sets are counted.")


class DeviationRequest(Part):
    """Rework that was done to a piece on site."""

    deviation: Annotated[str, StringConstraints(strip_whitespace=True, min_length=3, max_length=500)] = Field(
        examples=["pocket 2 opened by 0.5 mm"]
    )


class PieceOnRecordAnswer(PieceAnswer):
    """One piece with the segment that it was made for."""

    number: str
    place: str
    kit: str
    kit_status: Literal["issued", "retired"]
    cut_file: str
    sha256: str | None = Field(description="Of the revision that it was cut from.")


class PiecesAnswer(Answer):
    """The pieces of a segment, by set and age, and the keys that were given just now."""

    number: str
    pieces: tuple[PieceAnswer, ...]
    new_keys: tuple[str, ...] = ()


class ShareRequest(Part):
    """A segment of another kit that serves this kit too."""

    number: MarkText = Field(description="Number, key, link or message of the segment.")


class UnshareRequest(Part):
    """A segment serves this kit no more."""

    number: MarkText
    reason: Reason


class RetirementRequest(Part):
    """A kit that is out of use for good."""

    reason: Reason
