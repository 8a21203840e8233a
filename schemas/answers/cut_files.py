"""Cut files and their released revisions."""

from __future__ import annotations

from pydantic import Field

from schemas.answers.base import Answer, CutFileField, MomentField, NumberField, RevisionField, Sha256Field
from schemas.answers.kits import FindingAnswer


class RevisionAnswer(Answer):
    """A released revision of a cut file."""

    cut_file: CutFileField
    revision: RevisionField
    sha256: Sha256Field
    size_bytes: int = Field(description="How many bytes were released.")
    note: str = Field(description="What changed, in words.")
    units: str = Field(description="The units of the drawing; engraving goes out in the same.", examples=["mm"])
    area_mm2: float = Field(description="Area of the closed outlines, holes taken off.")
    width_mm: float = Field(description="Width of the bounding box.")
    height_mm: float = Field(description="Height of the bounding box.")
    released_at: MomentField
    withdrawn_at: str | None = Field(description="When it was withdrawn; null as long as it may be cut.")
    withdrawn_reason: str | None = Field(description="Why it was withdrawn.")
    joints_changed: tuple[str, ...] = Field(description="Neighbours to whom this release changed the joint.")
    interfaces_changed: tuple[str, ...] = Field(description="What else this release changed.")
    findings: tuple[FindingAnswer, ...] = Field(
        default=(),
        description="When it is released: changes that are declared and not drawn, or drawn and not declared. They "
        "stop nothing, but somebody should look.",
    )


class WithdrawnPieceAnswer(Answer):
    """A piece that was cut from a withdrawn revision."""

    number: NumberField
    key: str | None = Field(description="The piece's key; null for a count of like ones.")
    set: int = Field(description="Which copy of the kit it belongs to, from 1.")
    count: int = Field(description="How many like pieces this stands for.")
    condition: str = Field(description="ordered, fitted, damaged or scrapped.")


class WithdrawalAnswer(Answer):
    """A withdrawn revision and every piece that was cut from it."""

    revision: RevisionAnswer = Field(description="The revision as it stands now.")
    pieces: tuple[WithdrawnPieceAnswer, ...] = Field(description="Every piece that was cut from it.")


class CutFileAnswer(Answer):
    """A cut file with its revisions in order of release, and the segments cut from it."""

    name: CutFileField
    revisions: tuple[RevisionAnswer, ...] = Field(description="In order of release.")
    segments: tuple[str, ...] = Field(description="Numbers of the segments that are cut from it.")


class CutFileSummaryAnswer(Answer):
    """A cut file in the list of cut files."""

    name: CutFileField
    revision: str | None = Field(description="The newest revision that is not withdrawn.")
    revisions: int = Field(description="How many were released.")
    segments: int = Field(description="How many segments are cut from it.")
    released_at: MomentField


class CutFileListAnswer(Answer):
    """A page of cut files; the header ``Link`` leads to the next."""

    cut_files: tuple[CutFileSummaryAnswer, ...] = Field(description="The one registered last comes first.")
