"""Parts that could be bolted on where others belong, as they cross the edge."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from schemas.answers.base import (
    Answer,
    ColourField,
    CutFileField,
    HandField,
    KitField,
    NumberField,
    PlaceField,
    RevisionField,
    ThicknessField,
)
from schemas.answers.machines import DesignationField

ShareField = Annotated[float, Field(ge=0, le=1, examples=[0.97])]
RankField = Annotated[int, Field(ge=1, description="Place in the list, 1 for the pair to look at first.", examples=[1])]


class BoltsOnPartAnswer(Answer):
    """One part of a pair."""

    number: NumberField
    place: PlaceField
    kit: KitField
    machine: DesignationField
    container: str = Field(description="The container that its kit is for.", examples=["A500"])
    hand: HandField
    stock_colour: ColourField
    thickness_mm: ThicknessField
    cut_file: CutFileField
    revision: RevisionField
    holes: int = Field(description="How many mounting holes it has.", examples=[4])


class OddHoleAnswer(Answer):
    """A hole that, with a stud of the deck in it, keeps a part off where another belongs."""

    number: NumberField
    cut_file: CutFileField
    what: Literal["move", "add"] = Field(
        description="Whether a hole of this part is moved, or one is added and the others stay."
    )
    x_mm: float = Field(description="Middle of the new hole along x, in the part's drawing.", examples=[112.5])
    y_mm: float = Field(description="Middle of the new hole along y, in the part's drawing.", examples=[-40.0])
    from_x_mm: float | None = Field(description="Middle of the hole that is moved, along x; null for an added one.")
    from_y_mm: float | None = Field(description="Middle of the hole that is moved, along y; null for an added one.")
    width_mm: float = Field(description="Diameter of the new hole, or width of the slot.", examples=[9.0])
    length_mm: float = Field(description="Overall length of a slot; the diameter of a round hole.", examples=[9.0])
    edge_mm: float = Field(
        description="What is left between the new hole and the nearest edge, pocket or joint.", examples=[14.2]
    )
    stops: Literal["both", "one"] = Field(
        description="``both`` when neither part lies down on the other's place any more; ``one`` when only the other "
        "part is kept off this part's place."
    )
    steps: tuple[str, ...] = Field(
        description="What has to be done, the machine's deck included.",
        examples=[["Drill the deck of OSV4-FC1 for it, and set a stud."]],
    )


class BoltsOnPairAnswer(Answer):
    """Two different parts that bolt on in each other's place."""

    rank: RankField
    first: BoltsOnPartAnswer = Field(description="The part that the picture shows solid.")
    second: BoltsOnPartAnswer = Field(description="The part that the picture lays over it.")
    holes_agree: int = Field(description="How many holes find a counterpart.", examples=[4])
    every_hole: bool = Field(description="Whether every hole of both does; else enough of them to bolt it on.")
    gap_mm: float = Field(description="Farthest that two of these holes lie apart.", examples=[0.1])
    turned_deg: float = Field(description="By how much the second is turned, anticlockwise.", examples=[180.0])
    turned_over: bool = Field(description="Whether it has to be turned over; its mark then lies underneath.")
    mirror_twin: bool = Field(description="Whether one is the other turned over, as LEFT and RIGHT often are.")
    alike: ShareField = Field(description="How alike the two look, 1 for no difference that measures tell.")
    overlap: ShareField = Field(description="Area that both cover, of the area that either covers, when bolted on.")
    why: tuple[str, ...] = Field(
        description="What would be wrong with the one in the other's place, and what makes them easy to mistake.",
        examples=[["made for a body of 62.4 mm, 3.4 mm less than 65.8 mm"]],
    )
    odd_holes: tuple[OddHoleAnswer, ...] = Field(
        description="What would error-proof the pair: one hole that is moved, or one that is added to either part. "
        "Empty where nothing does."
    )
    no_odd_hole: str | None = Field(
        description="Why one of the two, or neither, can be kept off; null where both can.", examples=[None]
    )
    picture: str = Field(
        description="Where the two are shown over each other.",
        examples=["/api/segments/OSV4-FC1-A500-SW1-U1-33/over/OSV4-FC1-A330-SW1-U1-56.svg"],
    )


class BoltsOnWrongAnswer(Answer):
    """The pairs of a plant, the easiest to mistake and worst to run first."""

    plant: str = Field(description="The plant's code.", examples=["OSV"])
    tolerance_mm: float = Field(description="How far the middles of two holes may lie apart.", examples=[0.5])
    parts: int = Field(description="How many segments of the plant were looked at.", examples=[64])
    without_pattern: int = Field(
        description="How many of them have fewer than two mounting holes, and were left out.", examples=[2]
    )
    patterns: int = Field(description="How many different patterns of holes there are.", examples=[22])
    same_shape: int = Field(
        description="How many pairs are no mistake: the same shape at the same thickness and height runs right either "
        "way. They are not in the list.",
        examples=[120],
    )
    total: int = Field(description="How many pairs there are in the list as a whole.", examples=[310])
    cut_off: int = Field(
        description="How many of these, the least worth looking at, are counted only and not listed.", examples=[0]
    )
    pairs: tuple[BoltsOnPairAnswer, ...] = Field(description="This page of them.")
