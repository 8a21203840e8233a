"""Everything on record about one segment."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.aliases import AliasAnswer
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
from schemas.answers.cut_files import RevisionAnswer
from schemas.answers.kits import PieceAnswer


class NeighbourAnswer(Answer):
    """The other side of a joint."""

    number: NumberField
    place: PlaceField
    form: FormField
    clearance_mm: ClearanceField
    inferred: InferredField
    as_built: str | None = Field(description="The neighbour's as-built revision; null if it is not on record.")
    locks: bool | None = Field(description="Whether the two as-built pieces carry the same joint; null if unknown.")


class MachineAnswer(Answer):
    """A machine: its birth designation and the line it stands on now."""

    designation: str = Field(description="Where it was born, as in its kits' numbers.", examples=["OSV4-FC1"])
    name: str = Field(description="The machine in words.")
    rotation: str | None = Field(description="Seen from above; null if it is not on record.")
    born_on: str = Field(description="The line on which it was born.")
    now_on: str | None = Field(description="The line on which it stands now; null if on none.")


class ContainerAnswer(Answer):
    """What runs."""

    code: str = Field(description="Design letter and nominal content.", examples=["A500"])
    name: str = Field(description="The container in words.", examples=["tall round 500 mL"])
    nominal: str = Field(description="The exact nominal content.", examples=["500"])
    unit: str = Field(description="The unit of the content.", examples=["mL"])
    shape: str | None = Field(description="The shape in words; null if it is not on record.")
    height_mm: float | None = Field(description="Height; null if it is not on record.")


class MarkAnswer(Answer):
    """A mark that was begun: intended, then made or failed."""

    kind: Literal["nameplate", "engraving"] = Field(description="Printed or engraved.")
    form: str = Field(description="The label template, or the form of the engraving.")
    text: str = Field(description="The number and key that it bears.")
    state: Literal["intended", "made", "failed"] = Field(description="From intended on the number counts as marked.")
    made_at: MomentField
    verified_by: str | None = Field(description="The decoder that read it back; null unless it was made.")


class SegmentAnswer(Answer):
    """Everything on record about one segment."""

    number: NumberField
    key: str = Field(description="The segment's key; each of its pieces has its own.", examples=["K7M4XRAW"])
    place: PlaceField
    kit: KitField
    customer: str = Field(description="The customer in words.")
    plant: str = Field(description="The plant in words.")
    machine: MachineAnswer = Field(description="The machine it belongs to.")
    container: ContainerAnswer = Field(description="What runs on it.")
    assembly: str = Field(description="The assembly in words.")
    assembly_code: str = Field(description="Code and ordinal of the assembly.", examples=["SW2"])
    deck: str = Field(description="The deck in words; empty where there are none.")
    segment_of: str = Field(description="Which of how many on its deck.", examples=["segment 3 of 4"])
    hand: HandField
    quantity: QuantityField
    material: MaterialField
    stock_colour: ColourField
    thickness_mm: ThicknessField
    measured_thickness_mm: float | None = Field(description="As it was measured; null if it was not.")
    mass_kg: MassField
    marked_face: str | None = Field(description="The face that bears the mark; null if it is not on record.")
    status: Literal["active", "voided"] = Field(description="Voided: the place was given up, the number is spent.")
    void_reason: str | None = Field(description="Why it was given up.")
    kit_status: Literal["issued", "retired"] = Field(default="issued", description="Whether its kit is still in use.")
    retired_at: str | None = Field(default=None, description="When the kit went out of use, in UTC, ISO 8601.")
    retired_reason: str | None = Field(default=None, description="Why the kit went out of use.")
    cut_file: CutFileField
    revision: RevisionField
    current_revision: str | None = Field(description="The newest revision that is not withdrawn.")
    revisions: tuple[RevisionAnswer, ...] = Field(description="Of its cut file, in order of release.")
    pieces: tuple[PieceAnswer, ...] = Field(description="Every piece that was ever made for it.")
    neighbours: tuple[NeighbourAnswer, ...] = Field(description="The segments that it interlocks with.")
    marks: tuple[MarkAnswer, ...] = Field(default=(), description="Every mark that was ever begun, oldest first.")
    serves: tuple[str, ...] = Field(description="The other kits that this segment serves.")
    aliases: tuple[AliasAnswer, ...] = Field(
        default=(), description="Legacy marks that name it, those marked wrong too."
    )
    cautions: tuple[str, ...] = Field(description="What to mind before hands go in; no authority to work.")
