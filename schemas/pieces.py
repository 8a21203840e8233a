"""Sets, pieces, shared parts and retired kits: what is asked for and what is answered."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints

from schemas.answers import Answer, FindingAnswer, PieceAnswer
from schemas.answers.base import CutFileField, KitField, NumberField, PlaceField, QuantityField, RevisionField
from schemas.manifest import Part
from schemas.requests import MarkText
from schemas.text import Reason, printable

SetNumber = Annotated[int, Field(ge=1, le=10_000)]
Count = Annotated[int, Field(ge=1, le=10_000)]
EndKind = Literal["broken", "worn", "lost", "misworked", "other"]
RevisionLetter = Annotated[
    str,
    StringConstraints(strip_whitespace=True, to_upper=True, min_length=1, max_length=3),
    AfterValidator(printable),
]
Batch = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60), AfterValidator(printable)]
Note = Annotated[str, StringConstraints(strip_whitespace=True, max_length=240), AfterValidator(printable)]
Deviation = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=3, max_length=500), AfterValidator(printable)
]
SetField = Annotated[int, Field(description="Which copy of the kit, from 1.", examples=[2])]
MadeField = Annotated[
    str | None,
    Field(description="The day on which it was made; null if not on record.", examples=["2026-03-02T00:00:00Z"]),
]
BatchField = Annotated[
    str | None, Field(description="The batch of plastic; null if not on record.", examples=["PE-2207"])
]


class SetRequest(Part):
    """A further set of a kit: same numbers, own pieces."""

    revisions: Annotated[dict[MarkText, RevisionLetter], Field(max_length=1000)] = Field(
        default={},
        description="Revisions by place or number; of all others the newest that is not withdrawn is taken.",
        examples=[{"SW2-U3": "B"}],
    )
    material_batch: Batch | None = Field(
        default=None, description="The batch of plastic that it is cut from.", examples=["PE-2207"]
    )
    made_at: date | None = Field(default=None, description="The day on which it was made; today unless said.")
    override: Reason | None = Field(default=None, description="Why, although the kit is retired.")


class SetSegmentAnswer(Answer):
    """What one segment of a set is cut from, and the keys of its pieces."""

    number: NumberField
    place: PlaceField
    cut_file: CutFileField
    revision: RevisionField
    quantity: QuantityField
    keys: tuple[str, ...] = Field(description="One for a segment that is made once; none before the set is made.")


class SetAnswer(Answer):
    """A further set, prepared or made."""

    kit: KitField
    set: SetField
    status: Literal["prepared", "refused", "made"] = Field(
        description="Prepared: would be made as shown. Refused: an error among the findings stands against it."
    )
    findings: tuple[FindingAnswer, ...] = Field(description="What stands against the set; empty when all locks.")
    segments: tuple[SetSegmentAnswer, ...] = Field(description="In assembly order.")
    shared: tuple[str, ...] = Field(
        default=(), description="Segments of other kits that serve here too; no piece of them is made with this set."
    )
    material_batch: BatchField = None
    made_at: str = Field(description="The day on which it is made.", examples=["2026-03-02T00:00:00Z"])


class SetSummaryAnswer(Answer):
    """How a set stands: pieces by what became of them."""

    set: SetField
    fitted: int = Field(description="Pieces that are in use.")
    damaged: int = Field(description="Pieces that lie damaged and are not scrapped yet.")
    ordered: int = Field(description="Pieces that are on order.")
    scrapped: int = Field(description="Pieces that are in use no more and stay on record.")
    missing: int = Field(description="Pieces that the set should have and that are neither fitted nor on order.")
    made_at: MadeField
    material_batch: BatchField


class SetListAnswer(Answer):
    """The sets of a kit, the first first."""

    kit: KitField
    sets: tuple[SetSummaryAnswer, ...] = Field(description="Every set that was ever made.")


class TrackRequest(Part):
    """Pieces of a count that get keys of their own."""

    track: Count = Field(description="How many of the count.", examples=[5])
    set: SetNumber | None = Field(default=None, description="Needed where several sets are counted.", examples=[1])


class ScrapRequest(Part):
    """What happened to a piece that is in use no more."""

    kind: EndKind = Field(description="What happened to it; ``misworked`` is rework that went wrong.")
    note: Note = Field(default="", description="The same in words.", examples=["jaw of the gripper bent it in a jam"])


class ScrapCountRequest(ScrapRequest):
    """The same, of pieces that are only counted."""

    count: Count = Field(default=1, description="How many of them.", examples=[2])
    set: SetNumber | None = Field(default=None, description="Needed where several sets are counted.", examples=[1])


class DeviationRequest(Part):
    """Rework that was done to a piece on site."""

    deviation: Deviation = Field(
        description="What was changed; it is added to what is on record.", examples=["pocket 2 opened by 0.5 mm"]
    )


class PieceOnRecordAnswer(PieceAnswer):
    """One piece with the segment that it was made for."""

    number: NumberField
    place: PlaceField
    kit: KitField
    kit_status: Literal["issued", "retired"] = Field(description="Whether its kit is still in use.")
    cut_file: CutFileField
    sha256: str | None = Field(
        description="SHA-256 of the revision that it was cut from; null if that is not on record."
    )


class PiecesAnswer(Answer):
    """The pieces of a segment, by set and age, and the keys that were given just now."""

    number: NumberField
    pieces: tuple[PieceAnswer, ...] = Field(description="Every piece that was ever made or ordered.")
    new_keys: tuple[str, ...] = Field(default=(), description="The keys that were given just now.")


class ShareRequest(Part):
    """A segment of another kit that serves this kit too."""

    number: MarkText = Field(
        description="Number, key, link or message of the segment.", examples=["OSV4-FC1-A500-SW2-U3-42"]
    )


class UnshareRequest(Part):
    """A segment serves this kit no more."""

    number: MarkText = Field(
        description="Number, key, link or message of the segment.", examples=["OSV4-FC1-A500-SW2-U3-42"]
    )
    reason: Reason = Field(description="Why it does so no more.", examples=["the kit got a guide of its own"])


class RetirementRequest(Part):
    """A kit that is out of use for good."""

    reason: Reason = Field(description="Why it is out of use.", examples=["the bottle is filled no more"])
