"""What the service is asked for, besides the kit manifest."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from schemas.manifest import (
    AssemblyCode,
    Millimetres,
    Name,
    Part,
    SegmentBody,
    ShortName,
    Turning,
)

Reason = Annotated[str, StringConstraints(strip_whitespace=True, min_length=3, max_length=240)]
MarkText = Annotated[str, StringConstraints(min_length=1, max_length=512)]


class ReadManyRequest(Part):
    """Marks as they were scanned, for one a whole cart."""

    marks: Annotated[tuple[MarkText, ...], Field(min_length=1, max_length=500)] = Field(
        examples=[["OSV4-FC1-A500-SW2-U3-42", "K7M4-XRAW"]]
    )


class ReorderRequest(Part):
    """One broken segment."""

    mark: MarkText = Field(description="Number, key, link or message of the damaged piece.", examples=["K7M4-XRAW"])
    quantity: int = Field(default=1, ge=1, le=500)
    reason: Reason = Field(examples=["crushed"])
    survivors: Annotated[tuple[MarkText, ...], Field(max_length=100)] | None = Field(
        default=None, description="Marks of the neighbours that survived; all of them unless said."
    )
    prefer: Literal["as_built", "newest"] = "as_built"
    set: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        default=None, description="The set of the damaged piece, where the mark is no piece's key."
    )
    override: Reason | None = Field(default=None, description="Why, although the kit is retired.")


class FittedRequest(Part):
    """A reordered piece is in the machine."""

    deviations: Annotated[str, StringConstraints(max_length=2000)] | None = Field(
        default=None, description="Rework that was done on site."
    )


class CancelRequest(Part):
    """A reorder that is not wanted any more."""

    reason: Reason


class SegmentFacts(Part):
    """The facts of a segment that may be corrected as long as no mark of it exists."""

    hand: Literal["LEFT", "RIGHT"] | None = None
    material: ShortName | None = None
    thickness_mm: Millimetres | None = None
    measured_thickness_mm: Millimetres | None = None
    stock_colour: ShortName | None = None
    marked_face: ShortName | None = None
    quantity: Annotated[int, Field(ge=1, le=10_000)] | None = None
    cut_file: Annotated[str, StringConstraints(min_length=1, max_length=255)] | None = None
    revision: Annotated[str, StringConstraints(min_length=1, max_length=3)] | None = None


class FactCorrection(Part):
    """Facts of one segment that were typed wrong; only the fields that are sent are changed."""

    number: MarkText
    facts: SegmentFacts


class AssemblyName(Part):
    """The right name of an assembly."""

    assembly: AssemblyCode = Field(description="Code and ordinal, for one SW2.")
    name: Name


class ContainerFacts(Part):
    """Facts of a container; its code, content and unit stand in numbers and are never corrected."""

    # Left out it stays as it is; null is refused, since a container has a name.
    name: Name = Field(default="", validate_default=False)
    shape: ShortName | None = None
    diameter_mm: Millimetres | None = None
    width_mm: Millimetres | None = None
    depth_mm: Millimetres | None = None
    min_body_mm: Millimetres | None = None
    max_body_mm: Millimetres | None = None
    height_mm: Millimetres | None = None
    neck_finish: ShortName | None = None
    drawing_issue: ShortName | None = None


class MachineFacts(Part):
    """Facts of a machine; its designation stands in numbers and is never corrected."""

    # As for a container.
    name: Name = Field(default="", validate_default=False)
    rotation: Turning = None


class KitFacts(Part):
    """What a manifest said of the kit itself; only the fields that are sent are changed."""

    stock_colour: ShortName | None = None
    assemblies: Annotated[tuple[AssemblyName, ...], Field(max_length=200)] = ()
    container: ContainerFacts | None = None
    machine: MachineFacts | None = None


class Replacement(SegmentBody):
    """A segment that takes the place of a voided one; its ordinal is the next free one on its deck."""


class Voiding(Part):
    """A place that is given up: its number is spent; what takes its place gets the next free ordinals."""

    number: MarkText
    replacements: Annotated[tuple[Replacement, ...], Field(max_length=50)] = ()


class CorrectionRequest(Part):
    """A typing error in an issued kit."""

    reason: Reason
    kit: KitFacts | None = Field(default=None, description="Facts of the kit, its container and its machine.")
    correct: Annotated[tuple[FactCorrection, ...], Field(max_length=1000)] = ()
    void: Annotated[tuple[Voiding, ...], Field(max_length=1000)] = ()


class WithdrawRequest(Part):
    """A released revision that must not be cut any more."""

    reason: Reason


class ShopRequest(Part):
    """The shop's name, address and telephone as they stand on every plate."""

    name: Name
    address: Annotated[str, StringConstraints(max_length=240)] = ""
    telephone: Annotated[str, StringConstraints(strip_whitespace=True, max_length=40)] = ""


class CodeRequest(Part):
    """A code that the shop adds to one of its tables."""

    table: Literal["machine_class", "assembly", "deck"]
    code: Annotated[str, StringConstraints(min_length=1, max_length=8)]
    name: ShortName
