"""How far a reorder is: its states, and the history of how it came there."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import Answer, MomentField

OrderState = Literal[
    "reported",
    "identified",
    "decided",
    "released_to_cut",
    "cut",
    "inspected",
    "shipped",
    "fitted",
    "cancelled",
]


class MeasuredAnswer(Answer):
    """One feature as it was measured, and what it is at 20 °C."""

    feature: str = Field(description="What was measured.", examples=["thickness"])
    measured_mm: float = Field(description="The value that was read, in mm.", examples=[25.06])
    temperature_c: float = Field(description="Temperature of the piece, in °C.", examples=[23.5])
    at_20c_mm: float = Field(
        description="The same at 20 °C, by the expansion of its material, in mm.", examples=[25.04]
    )
    nominal_mm: float | None = Field(description="What was aimed at, in mm at 20 °C.", examples=[25.0])
    tolerance_mm: float | None = Field(description="How far it may be off, in mm.", examples=[0.15])
    within: bool | None = Field(description="Whether it is within; null without nominal value or tolerance.")


class StepAnswer(Answer):
    """One step of a reorder, as it was taken."""

    ordinal: int = Field(description="Counts the steps from 1.", examples=[3])
    state: OrderState = Field(description="The state that was reached.")
    at: MomentField
    by: str = Field(description="Who took it.", examples=["owner"])
    evidence: str = Field(description="On what evidence, in words.")
    rejected: tuple[str, ...] = Field(description="Candidates that were ruled out with this step.")
    reason: str | None = Field(description="Why, where a step says so.")
    measured: tuple[MeasuredAnswer, ...] = Field(description="What was measured with this step.")
