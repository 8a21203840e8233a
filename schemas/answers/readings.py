"""What a mark says."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from schemas.answers.base import Answer


class RepairAnswer(Answer):
    """One character that was read as another; position counts from 0 in the text as it came."""

    model_config = ConfigDict(frozen=True, populate_by_name=True, serialize_by_alias=True)

    position: int = Field(description="From 0, in the text as it came.")
    read: str = Field(description="What stood there.")
    as_: str = Field(alias="as", description="What it was taken for.")


class CandidateAnswer(Answer):
    """A segment or piece that the text may mean, with what was assumed."""

    number: str | None = Field(description="The segment's number, also when the text may be its key.")
    key: str | None = Field(description="The key that the text may be.")
    part: str | None = Field(default=None, description="The groups that the text may be, when it is no whole number.")
    repairs: tuple[RepairAnswer, ...] = Field(description="Characters that were taken for others.")
    assumed: tuple[str, ...] = Field(description="What has to be true for it to be this one, in words.")


class GroupAnswer(Answer):
    """One group of a well-formed number, read out."""

    group: str = Field(description="The group.", examples=["SW2"])
    says: str = Field(description="What it says.", examples=["star wheel 2"])


class ReadAnswer(Answer):
    """What a mark says."""

    outcome: Literal["exact", "repaired", "candidates", "unknown"] = Field(
        description="Exact: as it was issued. Repaired: one reading is left, and what was repaired is said. "
        "Candidates: several are left, none is picked. Unknown: nothing on record bears it."
    )
    number: str | None = Field(description="The segment's number, also when the mark was a key.")
    key: str | None = Field(description="The key, when the mark was one.")
    repairs: tuple[RepairAnswer, ...] = Field(description="What was repaired.")
    candidates: tuple[CandidateAnswer, ...] = Field(description="What it may be, the likeliest first.")
    groups: tuple[GroupAnswer, ...] = Field(
        default=(), description="The groups of a well-formed number that was never issued, read out."
    )
    note: str = Field(default="", description="Why there is no one answer, in words.")


class ReadManyAnswer(Answer):
    """What many marks say."""

    readings: tuple[ReadAnswer, ...] = Field(description="In the order in which the marks were sent.")
