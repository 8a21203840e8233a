"""One broken segment ordered again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import Field, computed_field, model_validator

from schemas.answers.base import Answer, CutFileField, MomentField, NumberField, PlaceField, RevisionField, Sha256Field
from schemas.answers.order_states import OrderState, StepAnswer


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
    state: OrderState = Field(
        description="How far it is. `identified` when there is no record to cut from; only a fitted piece becomes the "
        "as-built one."
    )
    ordered_at: MomentField
    open_orders: tuple[int, ...] = Field(default=(), description="Other open reorders of the same segment.")
    set: int | None = Field(default=None, description="The set that the new pieces belong to.")
    override: str | None = Field(default=None, description="Why it was ordered although the kit is retired.")
    also: str | None = Field(default=None, description="Why it was ordered although one may be on order already.")
    report: int | None = Field(default=None, description="The damage report that it came of.", examples=[31])
    since: str = Field(default="", description="Since when it stands so, UTC.", examples=["2026-03-09T08:15:00Z"])
    promised_on: str | None = Field(
        default=None, description="The day that the customer was promised.", examples=["2026-03-20"]
    )
    ask_fitted_at: str | None = Field(
        default=None,
        description="From when on the plant is asked whether the piece is fitted: seven days after it was shipped, and "
        "after each `not_yet`; null while nobody has to ask.",
        examples=["2026-03-27T08:15:00Z"],
    )
    next_states: tuple[OrderState, ...] = Field(default=(), description="The states that may follow.")
    history: tuple[StepAnswer, ...] = Field(
        default=(), description="Every step with who took it, when and on what evidence."
    )

    @computed_field(description="True until it is fitted or cancelled.")  # type: ignore[prop-decorator]  # pydantic's own way
    @property
    def open(self) -> bool:
        """Whether something is still to be done."""
        return self.state not in ("fitted", "cancelled")

    @model_validator(mode="before")
    @classmethod
    def _of_earlier_days(cls, values: object) -> object:
        """Answers that were kept for a repeated request before orders had steps call every open one ``open``."""
        if isinstance(values, Mapping) and values.get("state") == "open":
            return {**values, "state": "identified" if values.get("cut") is None else "decided"}
        return values


class ReorderListAnswer(Answer):
    """A page of reorders; the header ``Link`` leads to the next."""

    reorders: tuple[ReorderAnswer, ...] = Field(description="The newest first.")
