"""One broken segment ordered again."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import Answer, CutFileField, MomentField, NumberField, PlaceField, RevisionField, Sha256Field


class CutAnswer(Answer):
    """What to cut."""

    cut_file: CutFileField
    revision: RevisionField
    sha256: Sha256Field


class AlsoCutAnswer(CutAnswer):
    """A neighbour to cut too."""

    number: NumberField
    place: PlaceField
    keys: tuple[str, ...] = Field(default=(), description="The keys of its new pieces.")


class ReorderAnswer(Answer):
    """A broken segment ordered again: the decision with its reasons."""

    id: int = Field(description="Counts up; names the reorder from now on.")
    number: NumberField
    key: str | None = Field(description="The new piece's key; null when there is no record to cut from.")
    keys: tuple[str, ...] = Field(default=(), description="The keys of all new pieces.")
    outcome: Literal["exact", "exact_with_deviations", "current_fits", "current_needs_neighbours", "no_record"] = Field(
        description="Which revision is cut: the damaged piece's own, the same and reworked on site, the newest that "
        "still locks, the newest together with neighbours, or none before more is known."
    )
    cut: CutAnswer | None = Field(description="What to cut; null when there is no record to cut from.")
    also_cut: tuple[AlsoCutAnswer, ...] = Field(description="Neighbours that have to be cut too.")
    reasons: tuple[str, ...] = Field(description="Why, in sentences.")
    quantity: int = Field(description="How many pieces are made.")
    reason: str = Field(description="What happened to the old one.")
    prefer: Literal["as_built", "newest"] = Field(description="What was asked for.")
    survivors: tuple[str, ...] = Field(description="Numbers of the neighbours that survived.")
    state: Literal["open", "fitted", "cancelled"] = Field(description="Only a fitted piece becomes the as-built one.")
    ordered_at: MomentField
    open_orders: tuple[int, ...] = Field(default=(), description="Other open reorders of the same segment.")
    set: int | None = Field(default=None, description="The set that the new pieces belong to.")
    override: str | None = Field(default=None, description="Why it was ordered although the kit is retired.")


class ReorderListAnswer(Answer):
    """A page of reorders; the header ``Link`` leads to the next."""

    reorders: tuple[ReorderAnswer, ...] = Field(description="The newest first.")
