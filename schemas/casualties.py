"""Which places break most, and how many spares to keep, as they cross the edge."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from schemas.answers.base import Answer, KitField, NumberField, PlaceField

RateField = Annotated[float, Field(ge=0, examples=[0.31])]


class PlaceCasualtiesAnswer(Answer):
    """What broke in one place, what is likely there, and the spares for it."""

    number: NumberField
    place: PlaceField
    kit: KitField
    assembly: str = Field(description="The assembly's name.", examples=["discharge star wheel"])
    broken: int = Field(description="How many pieces broke or wore out.", examples=[3])
    piece_years: float = Field(
        description="How long pieces of it were in use, added up over all pieces and sets.", examples=[6.5]
    )
    plain_rate: float | None = Field(
        description="Broken pieces a year and piece, counted only; null where nothing was in use yet.",
        examples=[0.46],
    )
    rate: RateField = Field(
        description="Broken pieces a year and piece that are likely: the count, drawn towards like machines by as much "
        "as it is small."
    )
    rate_low: RateField = Field(description="The rate is below this with a chance of 10 %.")
    rate_high: RateField = Field(description="The rate is above this with a chance of 10 %.")
    in_use: int = Field(description="Pieces in use now, over all sets.", examples=[1])
    expected: RateField = Field(description="How many are likely to break in the lead time.")
    spares: int = Field(
        description="The fewest spares with which the shelf runs empty too early at most as often as the risk says.",
        examples=[1],
    )
    run_out: float = Field(
        ge=0, le=1, description="The chance that more break in the lead time than there are spares.", examples=[0.03]
    )
    few_data: bool = Field(description="Whether the rate says more about like machines than about this place.")


class LikeMachinesAnswer(Answer):
    """What all machines of one class have seen: towards this the counts of single places are drawn."""

    machine_class: str = Field(description="Letters of the class.", examples=["FC"])
    places: int = Field(description="How many places were counted.", examples=[60])
    broken: int = Field(description="How many pieces broke or wore out in them.", examples=[14])
    piece_years: float = Field(description="How long their pieces were in use.", examples=[210.0])
    rate: RateField = Field(description="The mean rate a year and piece.")
    weight_piece_years: float = Field(
        description="So many piece-years of its own a place needs before they count as much as the like machines do.",
        examples=[4.0],
    )
    borrowed: bool = Field(description="Whether this class has too little history and the whole shop's stands for it.")


class CasualtiesAnswer(Answer):
    """The places of a plant or of a kit, those that break most first."""

    plant: str = Field(description="The plant's code.", examples=["OSV"])
    kit: str | None = Field(description="Number of the kit; null for a whole plant.", examples=["OSV4-FC1-A500"])
    risk: float = Field(description="The chance of running out that is accepted.", examples=[0.05])
    lead_time_days: int = Field(description="Days from an order until the piece is there.", examples=[21])
    until: str = Field(description="Up to when was counted, in UTC, ISO 8601.", examples=["2026-03-09T08:15:00Z"])
    broken: int = Field(description="How many pieces broke or wore out in all of these places.", examples=[14])
    piece_years: float = Field(description="How long their pieces were in use.", examples=[210.0])
    note: str = Field(
        description="How far the figures carry, in words.",
        examples=["14 broken pieces in 210 piece-years: enough to tell the worst places from the rest."],
    )
    like: tuple[LikeMachinesAnswer, ...] = Field(description="What machines of each class have seen.")
    total: int = Field(description="How many places there are in all.", examples=[60])
    places: tuple[PlaceCasualtiesAnswer, ...] = Field(description="This page of them.")
    spares: int = Field(description="Spares of the places of this page, added up.", examples=[4])
    picture: str | None = Field(
        description="Where the plan with the rates is shown; null for a plant.",
        examples=["/api/kits/OSV4-FC1-A500/casualties.svg"],
    )
