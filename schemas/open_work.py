"""What is on order and not closed, for a shop's own planning."""

from __future__ import annotations

from pydantic import Field

from schemas.answers.base import Answer, CutFileField, MomentField, NumberField, PlaceField, RevisionField, Sha256Field
from schemas.answers.order_states import OrderState


class OpenWorkAlsoAnswer(Answer):
    """A neighbour that is cut with it."""

    number: NumberField
    cut_file: CutFileField
    revision: RevisionField
    sha256: Sha256Field


class OpenWorkRowAnswer(Answer):
    """One open reorder."""

    order: int = Field(description="Id of the reorder.", examples=[17])
    report: int | None = Field(description="Id of the damage report that it came of.", examples=[31])
    number: NumberField
    key: str | None = Field(description="Key of the first new piece; null before a revision is decided.")
    plant: str = Field(description="Code of the plant that its number names.", examples=["OSV"])
    place: PlaceField
    cut_file: str | None = Field(description="Name of the cut file; null before a revision is decided.")
    revision: str | None = Field(description="The revision to cut; null before it is decided.")
    sha256: str | None = Field(description="SHA-256 of the released bytes.")
    material: str | None = Field(description="What it is cut from.", examples=["UHMW-PE"])
    stock_colour: str | None = Field(description="Colour of the plastic, in words.", examples=["green"])
    thickness_mm: float | None = Field(description="Nominal thickness of the sheet, in mm.", examples=[25.0])
    mass_kg: float | None = Field(description="Mass of one piece, in kg.", examples=[3.21])
    quantity: int = Field(description="How many pieces are made.", examples=[1])
    state: OrderState = Field(description="How far it is.")
    since: MomentField
    ordered_at: MomentField
    promised_on: str | None = Field(description="The day that the customer was promised.", examples=["2026-03-20"])
    ask_fitted: bool = Field(description="True when it was shipped seven days ago or more: ask whether it is fitted.")
    also_cut: tuple[OpenWorkAlsoAnswer, ...] = Field(description="Neighbours that are cut with it.")


class OpenWorkAnswer(Answer):
    """All open reorders, the oldest first."""

    at: MomentField
    rows: tuple[OpenWorkRowAnswer, ...] = Field(description="One row a reorder.")
