"""Kits, prepared or issued, and the list of them."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import (
    Answer,
    ClearanceField,
    ColourField,
    CutFileField,
    FormField,
    HandField,
    InferredField,
    KitField,
    MassField,
    MaterialField,
    MomentField,
    NumberField,
    PlaceField,
    QuantityField,
    RevisionField,
    ThicknessField,
)


class FindingAnswer(Answer):
    """One sentence of one lint rule."""

    code: str = Field(description="The rule's stable name, or the code of the error that it found.")
    level: Literal["error", "warning"] = Field(description="An error stops the issue or print, a warning is shown.")
    message: str = Field(description="What is wrong, a clause without a full stop.")
    field: str = Field(description="The field that is wrong.")
    value: str = Field(description="Its value, as text.")
    todo: str = Field(description="The next thing to do, without a full stop.")
    place: str = Field(default="", description="Where in the input; empty when it is the whole.")
    source: str = Field(default="", description="The standard and clause behind the rule, where there is one.")


class PieceAnswer(Answer):
    """A piece of plastic made for a segment, or a count of like ones without keys."""

    key: str | None = Field(description="The piece's own key; null for a count of like ones.", examples=["P3HW9TCP"])
    set: int = Field(description="Which copy of the kit it belongs to, from 1.")
    count: int = Field(default=1, description="How many like pieces this stands for.")
    revision: str | None = Field(default=None, description="The as-built revision; null if it is not on record.")
    condition: Literal["ordered", "fitted", "damaged", "scrapped"] = Field(
        default="fitted", description="Only a fitted piece is the as-built one of its segment."
    )
    deviations: str | None = Field(default=None, description="Rework on site that the cut file does not show.")
    made_at: str | None = Field(default=None, description="When it was made, in UTC, ISO 8601; null if not on record.")
    material_batch: str | None = Field(default=None, description="The batch of plastic that it was cut from.")
    end: Literal["broken", "worn", "lost", "misworked", "other", "replaced", "cancelled", "voided"] | None = Field(
        default=None, description="What became of a scrapped piece."
    )
    end_note: str | None = Field(default=None, description="What became of it, in words.")
    ended_at: str | None = Field(default=None, description="When that was, in UTC, ISO 8601.")
    replaced_in: int | None = Field(default=None, description="The reorder whose new piece took its place.")


class KitSegmentAnswer(Answer):
    """A segment in the answer about its kit."""

    number: NumberField
    key: str | None = Field(description="The segment's key; not given before the kit is issued.", examples=["K7M4XRAW"])
    place: PlaceField
    assembly: str = Field(description="The assembly in words.", examples=["discharge star wheel"])
    cut_file: CutFileField
    revision: RevisionField
    quantity: QuantityField
    material: MaterialField
    thickness_mm: ThicknessField
    mass_kg: MassField
    stock_colour: ColourField
    hand: HandField
    status: Literal["active", "voided", "shared"] = Field(
        default="active", description="Voided: given up, its number is spent. Shared: numbered by another kit."
    )
    pieces: tuple[PieceAnswer, ...] = Field(default=(), description="The pieces that are tracked one by one.")


class JointAnswer(Answer):
    """A joint of a kit."""

    between: tuple[str, str] = Field(description="The numbers of the two segments.")
    form: FormField
    clearance_mm: ClearanceField
    inferred: InferredField


class KitAnswer(Answer):
    """A kit, prepared or issued, with every number it has or would get."""

    number: KitField
    status: Literal["prepared", "refused", "issued", "retired"] = Field(
        description="Prepared: would be issued as shown. Refused: an error among the findings stands against it."
    )
    findings: tuple[FindingAnswer, ...] = Field(description="What the lint says; empty when all is well.")
    token: str | None = Field(default=None, description="Stands for exactly what was prepared; send it when issuing.")
    customer: str = Field(description="The customer in words.")
    plant: str = Field(description="The plant in words.")
    line: str = Field(description="The line on which the machine was born; the number tells of it for ever.")
    line_now: str | None = Field(default=None, description="The line on which the machine stands now.")
    machine: str = Field(description="The machine in words.")
    container: str = Field(description="The container in words.", examples=["tall round 500 mL"])
    container_code: str = Field(description="Design letter and nominal content.", examples=["A500"])
    rotation: str | None = Field(default=None, description="Of the machine, seen from above.")
    check_before_reuse: tuple[str, ...] = Field(default=(), description="What a later survey of the machine changed.")
    serves: tuple[str, ...] = Field(default=(), description="Codes of the further containers that the kit runs.")
    stock_colour: ColourField
    issued_at: str | None = Field(default=None, description="When it was issued, in UTC, ISO 8601.")
    retired_at: str | None = Field(default=None, description="When it went out of use, in UTC, ISO 8601.")
    retired_reason: str | None = Field(default=None, description="Why it went out of use.")
    leaned_on_by: tuple[str, ...] = Field(
        default=(), description="Kits in use that this kit's segments serve too; it is not retired before they are."
    )
    sets: tuple[int, ...] = Field(default=(1,), description="The sets that were made of it.")
    segments: tuple[KitSegmentAnswer, ...] = Field(description="In assembly order; shared ones come last.")
    joints: tuple[JointAnswer, ...] = Field(default=(), description="Every joint between two segments of the kit.")


class KitSummaryAnswer(Answer):
    """A kit in the list of kits."""

    number: KitField
    container: str = Field(description="The container in words.")
    machine: str = Field(description="Class and ordinal of the machine.", examples=["FC1"])
    plant: str = Field(description="The plant in words.")
    customer: str = Field(description="The customer in words.")
    line_now: str | None = Field(description="The line on which the machine stands now; null if on none.")
    stock_colour: ColourField
    segments: int = Field(description="How many segments it numbered and has not given up.")
    status: str = Field(description="issued or retired.")
    issued_at: MomentField


class KitListAnswer(Answer):
    """A page of kits; the header ``Link`` leads to the next."""

    kits: tuple[KitSummaryAnswer, ...] = Field(description="The newest first.")
