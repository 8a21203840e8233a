"""How far a reorder is: the steps that are asked for."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from schemas.manifest import Millimetres, Part
from schemas.text import Reason, Remark, ShortName

SteppedTo = Literal["decided", "released_to_cut", "cut", "inspected", "shipped", "fitted", "cancelled"]


class MeasuredItem(Part):
    """One feature of a new piece as it was measured."""

    feature: ShortName = Field(description="What was measured, as the work sheet calls it.", examples=["thickness"])
    measured_mm: Millimetres = Field(description="The value that was read, in mm.", examples=[25.06])
    temperature_c: Annotated[float, Field(ge=-30, le=60, allow_inf_nan=False)] = Field(
        default=20.0, description="Temperature of the piece when it was measured, in °C.", examples=[23.5]
    )
    nominal_mm: Millimetres | None = Field(
        default=None, description="The value at 20 °C that was aimed at, in mm.", examples=[25.0]
    )
    tolerance_mm: Millimetres | None = Field(
        default=None, description="How far it may be off either way, in mm.", examples=[0.15]
    )


class StepRequest(Part):
    """The next state of a reorder."""

    state: SteppedTo = Field(description="The state that it reached.", examples=["released_to_cut"])
    reason: Reason | None = Field(
        default=None, description="Why; needed for a step back and for `cancelled`.", examples=["the sheet was short"]
    )
    evidence: Remark = Field(
        default="", description="On what evidence, in words.", examples=["carrier's note 4411, one parcel"]
    )
    measured: Annotated[tuple[MeasuredItem, ...], Field(max_length=100)] = Field(
        default=(), description="With `inspected`: what was measured on the new piece."
    )
    promised_on: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")] | None = Field(
        default=None,
        description="The day that the customer was promised, if this step says one.",
        examples=["2026-03-20"],
    )
    deviations: Remark | None = Field(default=None, description="With `fitted`: rework that was done on site.")


class FittedAnswerRequest(Part):
    """What the plant says when it is asked whether the new piece is in the machine."""

    answer: Literal["yes", "not_yet", "no"] = Field(
        description="`yes`: it is fitted. `not_yet`: asked again in seven days. `no`: the decision is opened again.",
        examples=["yes"],
    )
    why: Literal["does_not_lock", "damaged_again"] | None = Field(
        default=None, description="With `no`: what is wrong.", examples=["does_not_lock"]
    )
    reason: Reason | None = Field(
        default=None, description="With `no`: in words.", examples=["the tail stands 1 mm proud of its neighbour"]
    )
    deviations: Remark | None = Field(default=None, description="With `yes`: rework that was done on site.")

    @model_validator(mode="after")
    def _no_has_a_reason(self) -> FittedAnswerRequest:
        if self.answer == "no" and (self.why is None or self.reason is None):
            raise PydanticCustomError("why_missing", "the answer no says why, by a word and in words")
        return self
