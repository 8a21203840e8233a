"""What the service is asked for, besides the kit manifest."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints

from schemas.manifest import (
    Millimetres,
    Part,
    SegmentBody,
    Turning,
)
from schemas.text import AssemblyCode, FileName, Letter, Name, Reason, Remark, ShortName, printable

MarkText = Annotated[str, StringConstraints(min_length=1, max_length=512)]


class ReadManyRequest(Part):
    """Marks as they were scanned, for one a whole cart."""

    marks: Annotated[tuple[MarkText, ...], Field(min_length=1, max_length=500)] = Field(
        examples=[["OSV4-FC1-A500-SW2-U3-42", "K7M4-XRAW"]], description="The marks, as they were typed or scanned."
    )


class ReorderRequest(Part):
    """One broken segment."""

    mark: MarkText = Field(description="Number, key, link or message of the damaged piece.", examples=["K7M4-XRAW"])
    quantity: int = Field(default=1, ge=1, le=500, description="How many pieces to make.")
    reason: Reason = Field(examples=["crushed"], description="What happened to the old one.")
    survivors: Annotated[tuple[MarkText, ...], Field(max_length=100)] | None = Field(
        default=None, description="Marks of the neighbours that survived; all of them unless said."
    )
    prefer: Literal["as_built", "newest"] = Field(
        default="as_built", description="The as-built revision, or the newest that still locks."
    )
    set: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        default=None, description="The set of the damaged piece, where the mark is no piece's key."
    )
    override: Reason | None = Field(default=None, description="Why, although the kit is retired.")
    decide: Literal["declared", "computed"] | None = Field(
        default=None,
        description="Which source to follow where the declared joint revisions and the outlines contradict each other; "
        "without it such an order is refused.",
    )
    decide_reason: Reason | None = Field(
        default=None, description="Why that source is followed; goes on record.", examples=["edges traced at the plant"]
    )
    also: Reason | None = Field(
        default=None,
        description="Why one more is wanted, although an open order may be for the same piece.",
        examples=["a second one broke"],
    )
    report: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Id of the damage report that it comes of.", examples=[31]
    )


class FittedRequest(Part):
    """A reordered piece is in the machine."""

    deviations: Remark | None = Field(default=None, description="Rework that was done on site.")


class CancelRequest(Part):
    """A reorder that is not wanted any more."""

    reason: Reason = Field(description="Why it is not wanted.")


class SegmentFacts(Part):
    """The facts of a segment that may be corrected as long as no mark of it exists."""

    hand: Literal["LEFT", "RIGHT"] | None = Field(
        default=None, description="LEFT or RIGHT looking downstream; null for none."
    )
    material: ShortName | None = Field(default=None, description="By the word of the table of materials.")
    thickness_mm: Millimetres | None = Field(default=None, description="Nominal thickness of the sheet.")
    measured_thickness_mm: Millimetres | None = Field(default=None, description="Thickness as measured.")
    stock_colour: ShortName | None = Field(default=None, description="By the word of the table of colours.")
    marked_face: ShortName | None = Field(default=None, description="The face that bears the mark.")
    quantity: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        default=None, description="Only as it is: another quantity needs another number."
    )
    cut_file: FileName | None = Field(default=None, description="The file that it is really cut from.")
    revision: Letter | None = Field(default=None, description="The revision that it is really cut from.")


class FactCorrection(Part):
    """Facts of one segment that were typed wrong; only the fields that are sent are changed."""

    number: MarkText = Field(description="Number or key of the segment.")
    facts: SegmentFacts = Field(description="What is right.")


class AssemblyName(Part):
    """The right name of an assembly."""

    assembly: AssemblyCode = Field(description="Code and ordinal, for one SW2.")
    name: Name = Field(description="The assembly in words.")


class ContainerFacts(Part):
    """Facts of a container; its code, content and unit stand in numbers and are never corrected."""

    # Left out it stays as it is; null is refused, since a container has a name.
    name: Name = Field(default="", validate_default=False, description="The container in words.")
    shape: ShortName | None = Field(default=None, description="The shape in words.")
    diameter_mm: Millimetres | None = Field(default=None, description="Nominal diameter of a round body.")
    width_mm: Millimetres | None = Field(default=None, description="Nominal width of a body that is not round.")
    depth_mm: Millimetres | None = Field(default=None, description="Nominal depth of a body that is not round.")
    min_body_mm: Millimetres | None = Field(default=None, description="Smallest measured body.")
    max_body_mm: Millimetres | None = Field(default=None, description="Largest measured body.")
    height_mm: Millimetres | None = Field(default=None, description="Height over all.")
    neck_finish: ShortName | None = Field(default=None, description="The neck finish by its standard name.")
    drawing_issue: ShortName | None = Field(
        default=None, description="Issue of the container drawing that was worked to."
    )


class MachineFacts(Part):
    """Facts of a machine; its designation stands in numbers and is never corrected."""

    # As for a container.
    name: Name = Field(default="", validate_default=False, description="The machine in words.")
    rotation: Turning = Field(default=None, description="Direction of rotation seen from above.")


class KitFacts(Part):
    """What a manifest said of the kit itself; only the fields that are sent are changed."""

    stock_colour: ShortName | None = Field(
        default=None, description="By the word of the table of colours; also of every segment that had it from the kit."
    )
    assemblies: Annotated[tuple[AssemblyName, ...], Field(max_length=200)] = Field(
        default=(), description="Names of assemblies."
    )
    container: ContainerFacts | None = Field(default=None, description="Facts of the container.")
    machine: MachineFacts | None = Field(default=None, description="Facts of the machine.")


class Replacement(SegmentBody):
    """A segment that takes the place of a voided one; its ordinal is the next free one on its deck."""


class Voiding(Part):
    """A place that is given up: its number is spent; what takes its place gets the next free ordinals."""

    number: MarkText = Field(description="Number or key of the segment that is given up.")
    replacements: Annotated[tuple[Replacement, ...], Field(max_length=50)] = Field(
        default=(), description="What takes its place."
    )


class CorrectionRequest(Part):
    """A typing error in an issued kit."""

    reason: Reason = Field(description="Why; it stands in the journal.")
    kit: KitFacts | None = Field(default=None, description="Facts of the kit, its container and its machine.")
    correct: Annotated[tuple[FactCorrection, ...], Field(max_length=1000)] = Field(
        default=(), description="Facts of segments that no mark bears yet."
    )
    void: Annotated[tuple[Voiding, ...], Field(max_length=1000)] = Field(
        default=(), description="Places that are given up, also where marks exist."
    )


class WithdrawRequest(Part):
    """A released revision that must not be cut any more."""

    reason: Reason = Field(description="What is wrong with it.")


class ShopRequest(Part):
    """The shop's name, address and telephone as they stand on every plate."""

    name: Name = Field(description="Name of the shop.")
    address: Annotated[str, StringConstraints(max_length=240), AfterValidator(printable)] = Field(
        default="", description="Address of the shop."
    )
    telephone: Annotated[str, StringConstraints(strip_whitespace=True, max_length=40), AfterValidator(printable)] = (
        Field(default="", description="The number to call about a broken piece.")
    )
    street: Annotated[str, StringConstraints(strip_whitespace=True, max_length=120), AfterValidator(printable)] = Field(
        default="", description="Street and house number, for nameplates as data."
    )
    postal_code: Annotated[str, StringConstraints(strip_whitespace=True, max_length=20), AfterValidator(printable)] = (
        Field(default="", description="Postal code, for nameplates as data.")
    )
    town: Annotated[str, StringConstraints(strip_whitespace=True, max_length=80), AfterValidator(printable)] = Field(
        default="", description="Town, for nameplates as data."
    )
    country: Annotated[
        str, StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^([A-Za-z][A-Za-z])?$", max_length=8)
    ] = Field(default="", description="Country, two letters of ISO 3166-1, for nameplates as data.", examples=["GB"])


class CodeRequest(Part):
    """A code that the shop adds to one of its tables."""

    table: Literal["machine_class", "assembly", "deck"] = Field(description="The table that grows.")
    code: Annotated[str, StringConstraints(min_length=1, max_length=8)] = Field(description="The new code, in letters.")
    name: ShortName = Field(description="What it stands for, in words.")
