"""Proving the marks of finished pieces: what is asked for and what is answered."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints

from schemas.answers import Answer
from schemas.answers.base import KitField, MomentField, NumberField, PlaceField
from schemas.manifest import Millimetres, Part
from schemas.requests import MarkText
from schemas.text import printable

PieceKeyField = Annotated[
    str | None,
    Field(description="Key of the piece; null for a count of like pieces without keys.", examples=["P3HW9TCP"]),
]
SetField = Annotated[int, Field(description="The set that the piece belongs to, from 1.", examples=[1])]


class InspectionRequest(Part):
    """What was read off one finished piece, and measured on it."""

    plate: MarkText = Field(
        description="What was scanned from the plate or tag, or typed off it.", examples=["P3HW-9TCP"]
    )
    engraving: MarkText | None = Field(
        default=None,
        description="What is engraved in the same piece. The plate is held against it, and proves nothing alone.",
        examples=["OSV4-FC1-A500-SW2-U3-42"],
    )
    engraved_revision: (
        Annotated[
            str,
            StringConstraints(strip_whitespace=True, to_upper=True, min_length=1, max_length=3),
            AfterValidator(printable),
        ]
        | None
    ) = Field(default=None, description="The revision letter that the contour's program engraved.", examples=["B"])
    thickness_mm: Millimetres | None = Field(
        default=None, description="Thickness of the piece as it was measured.", examples=[25.1]
    )
    material_batch: (
        Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=60), AfterValidator(printable)]
        | None
    ) = Field(default=None, description="Batch of the sheet; kept for good if none is on record.", examples=["PE-2291"])
    set: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        default=None, description="The set on the bench, needed where a plate stands for the pieces of several."
    )


class ProofRowAnswer(Answer):
    """One piece of a set and whether its marks are proved."""

    number: NumberField
    place: PlaceField
    key: PieceKeyField
    count: int = Field(description="1, or how many like pieces the row stands for.", examples=[1])
    state: Literal["open", "right", "wrong"] = Field(
        description="What the last look found; open when nobody has looked."
    )
    inspected_at: MomentField | None = Field(description="When somebody looked last, in UTC; null if nobody did.")
    inspected_by: str | None = Field(description="Who looked last.", examples=["owner"])
    found: tuple[str, ...] = Field(description="What the last look found, in sentences.")


class ProofAnswer(Answer):
    """How far the marks of one set of a kit are proved."""

    kit: KitField
    set: SetField
    right: int = Field(description="Rows whose marks are proved.", examples=[11])
    wrong: int = Field(description="Rows on which a wrong mark was found last.", examples=[0])
    open: int = Field(description="Rows at which nobody has looked.", examples=[1])
    pieces: tuple[ProofRowAnswer, ...] = Field(description="In assembly order.")


class InspectionAnswer(Answer):
    """What one look found."""

    kit: KitField
    number: NumberField
    place: PlaceField
    key: PieceKeyField
    set: SetField
    verdict: Literal["right", "wrong"] = Field(
        description="Wrong when anything that was read disagrees with the records."
    )
    found: tuple[str, ...] = Field(
        description="What was compared and found, in sentences; the wrong ones first.",
        examples=[["plate and engraving name this segment"]],
    )
    inspected_at: MomentField
    left: int = Field(description="Rows of the set that are not proved yet.", examples=[4])
