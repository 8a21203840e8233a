"""The kit manifest: what a shop says about one kit, for one machine and one container."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from schemas.moments import Moment
from schemas.text import (
    Code,
    ContainerCode,
    DrawingIssue,
    FileName,
    Letter,
    Name,
    NumberText,
    PlaceText,
    PlantCode,
    Remark,
    ShortName,
    upper,
)

Hand = Literal["LEFT", "RIGHT"]
Rotation = Literal["clockwise", "anticlockwise"]


def _hand(value: object) -> object:
    return (upper(value) or None) if isinstance(value, str) else value


def rotation_word(value: object) -> object:
    """A direction of rotation in the one spelling that is kept; nothing typed is none."""
    if not isinstance(value, str):
        return value
    text = value.strip().lower()
    return "anticlockwise" if text in ("counterclockwise", "counter-clockwise") else text or None


Turning = Annotated[Rotation | None, BeforeValidator(rotation_word)]
Millimetres = Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)]


class Part(BaseModel):
    """The base of every model here: an unknown field is a typing error and is named, never dropped."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class PlantPart(Part):
    """The plant. Name and customer are needed the first time only."""

    code: PlantCode = Field(description="Plant code, 3 letters (4 once a shop has used up those), frozen for ever.")
    name: Name | None = Field(default=None, description="The plant in words.")
    customer: Name | None = Field(default=None, description="The customer in words.")


class LinePart(Part):
    """The line on which the machine was born."""

    ordinal: int = Field(
        ge=1, le=99, description="Ordinal of the line in the plant; a line called B has an ordinal and a name."
    )
    name: Name | None = Field(default=None, description="What people call the line; 'line 4' unless said.")


class MachinePart(Part):
    """The machine, by class and by how many of that class were ever installed on the line."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    machine_class: Code = Field(alias="class", description="Machine class, for example FC filler-capper.")
    ordinal: Annotated[int, Field(ge=1, le=99)] | None = Field(
        default=None,
        description="How many of its class were ever installed on the line, this one counted; left out only with "
        "'new', which takes the next one.",
    )
    new: bool = Field(default=False, description="This machine is not on record yet; an ordinal that is stops the kit.")
    installed_on: Moment | None = Field(default=None, description="Since when a new machine stands on the line.")
    name: Name | None = Field(default=None, description="The machine in words; its class and ordinal unless said.")
    rotation: Turning = Field(default=None, description="Direction of rotation seen from above.")


class ContainerPart(Part):
    """The container. Without a code the service finds the design letter; a registered code alone is enough."""

    code: ContainerCode | None = Field(default=None, description="Design letter and nominal content, for example A500.")
    name: Name | None = Field(default=None, description="The container in words, for example 'tall round 500 mL'.")
    nominal: Annotated[Decimal, Field(gt=0, le=1_000_000, max_digits=12, allow_inf_nan=False)] | None = Field(
        default=None, description="Nominal content, as the container is sold."
    )
    unit: ShortName | None = Field(default=None, description="Unit of the nominal content: mL, L, fl oz, g …")
    shape: ShortName | None = Field(default=None, description="The shape in words, for one round.")
    diameter_mm: Millimetres | None = Field(default=None, description="Nominal diameter of a round body.")
    width_mm: Millimetres | None = Field(default=None, description="Nominal width of a body that is not round.")
    depth_mm: Millimetres | None = Field(default=None, description="Nominal depth of a body that is not round.")
    min_body_mm: Millimetres | None = Field(default=None, description="Smallest measured body.")
    max_body_mm: Millimetres | None = Field(default=None, description="Largest measured body.")
    height_mm: Millimetres | None = Field(default=None, description="Height over all.")
    neck_finish: ShortName | None = Field(default=None, description="The neck finish by its standard name.")
    drawing_issue: DrawingIssue | None = Field(
        default=None, description="Issue of the container drawing that was worked to."
    )


class SegmentBody(Part):
    """What a segment is cut from and made of; or only the number of the one it shares."""

    deck: Code = Field(description="L lower, M middle, U upper, K neck, X none.")
    shares: NumberText | None = Field(
        default=None, description="The number of a segment of another kit that serves here too; nothing else is given."
    )
    cut_file: FileName | None = Field(default=None, description="Name of the uploaded file that it is cut from.")
    revision: Letter | None = Field(
        default=None, description="The as-built revision; the newest that is not withdrawn unless said."
    )
    material: ShortName | None = Field(
        default=None, description="What it is cut from, by the word of the table of materials."
    )
    thickness_mm: Millimetres | None = Field(default=None, description="Nominal thickness of the sheet.")
    measured_thickness_mm: Millimetres | None = Field(default=None, description="Thickness as measured, where it was.")
    quantity: int = Field(
        default=1,
        ge=1,
        le=10_000,
        description="How many pieces the machine needs; pieces are tracked one by one where it is 1.",
    )
    hand: Annotated[Hand | None, BeforeValidator(_hand)] = Field(
        default=None, description="LEFT or RIGHT looking downstream."
    )
    stock_colour: ShortName | None = Field(default=None, description="Where it differs from the kit's.")
    marked_face: ShortName | None = Field(default=None, description="The face that bears the mark.")
    deviations: Remark | None = Field(default=None, description="Rework on site that the cut file does not show.")


class SegmentPart(SegmentBody):
    """A segment at its place in the assembly."""

    ordinal: int = Field(
        ge=1, le=999, description="Stars in direction of rotation from the keyway, guides from infeed."
    )


class AssemblyPart(Part):
    """An assembly, for example star wheel 2."""

    code: Code = Field(description="Assembly code, for example SW star wheel.")
    ordinal: int = Field(ge=1, le=99, description="Ordinal in flow.")
    name: Name | None = Field(default=None, description="The assembly in words; its kind and ordinal unless said.")
    segments: Annotated[tuple[SegmentPart, ...], Field(min_length=1, max_length=1000)] = Field(
        description="Its segments, in assembly order."
    )


class JointPart(Part):
    """The interlocking edge between two segments of the kit."""

    between: tuple[PlaceText, PlaceText] = Field(description="The two places.")
    form: ShortName | None = Field(default=None, description="The form in words, for one dovetail.")
    clearance_mm: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] | None = Field(
        default=None, description="Clearance between the two edges."
    )


class KitManifest(Part):
    """One kit: a machine, a container, and every segment."""

    plant: PlantPart = Field(description="The plant.")
    line: LinePart = Field(description="The line of the machine.")
    machine: MachinePart = Field(description="The machine.")
    container: ContainerPart = Field(description="The primary container.")
    stock_colour: ShortName = Field(description="Colour of the kit's plastic, by the word of the table of colours.")
    serves: Annotated[tuple[ContainerCode, ...], Field(max_length=50)] = Field(
        default=(), description="Codes of further containers, already registered, that this kit runs too."
    )
    assemblies: Annotated[tuple[AssemblyPart, ...], Field(min_length=1, max_length=200)] = Field(
        description="The assemblies, in assembly order."
    )
    joints: Annotated[tuple[JointPart, ...], Field(max_length=2000)] = Field(
        default=(), description="Joints between places of the kit; those not named are read off touching outlines."
    )
    token: str | None = Field(default=None, description="From an earlier prepare; must still match if sent.")
