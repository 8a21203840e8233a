"""Machines: where they stand and stood, what surveys say of them, and names of places in their time."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from schemas.answers.base import Answer, MomentField
from schemas.answers.kits import FindingAnswer

Grade = Literal["measured", "from_drawing", "copied_from_part"]
GradeField = Annotated[
    Grade,
    Field(
        description="How it was come by: measured at the machine, read from a drawing, or copied from a part that ran."
    ),
]

DesignationField = Annotated[
    str,
    Field(
        description="Where the machine was born, as in its kits' numbers; it stays wherever the machine goes.",
        examples=["OSV4-FC1"],
    ),
]
UntilField = Annotated[str | None, Field(description="Until when, in UTC, ISO 8601; null while it lasts.")]
KitsToCheckField = Annotated[
    tuple[str, ...],
    Field(
        description="Kits made on other facts than the surveys state by now: hold them against the machine before "
        "they are used again.",
        examples=[["OSV4-FC1-A500"]],
    ),
]


class PlaceAnswer(Answer):
    """A line and its plant, under the names they bear today."""

    plant_code: str = Field(description="The plant's code; it never changes.", examples=["OSV"])
    plant: str = Field(description="The plant's name today.", examples=["Ostrey Vale"])
    line_ordinal: int = Field(description="The line's ordinal in the plant; it never changes.", examples=[4])
    line: str = Field(description="The line's name today.", examples=["line 4"])


class StayAnswer(Answer):
    """A stay of a machine in one place."""

    place: PlaceAnswer | None = Field(description="The line it stood on; null for a time on no line.")
    since: str | None = Field(
        description="Since when, in UTC, ISO 8601; null when it was there before any record.",
        examples=["2026-03-15T00:00:00Z"],
    )
    until: UntilField


class NameAnswer(Answer):
    """A name and its time."""

    name: str = Field(description="The name as it was given.", examples=["Ostrey Vale"])
    since: str | None = Field(description="Since when, in UTC, ISO 8601; null for the first name on record.")
    until: UntilField


class PlaceNamesAnswer(Answer):
    """A plant or a line with every name that it ever bore; each of them finds it."""

    designation: str = Field(
        description="The plant's code, or plant and line as in numbers; it never changes.", examples=["OSV4"]
    )
    name: str = Field(description="The name it bears today.", examples=["line 4"])
    names: tuple[NameAnswer, ...] = Field(description="Every name, the first one first, today's last.")


class DimensionAnswer(Answer):
    """One thing that a survey states."""

    name: str = Field(
        description="``rotation``, ``infeed_hand``, ``pitch_mm``, ``pocket_count``, ``pitch_diameter_mm``, or "
        "``deck_height_mm`` with the deck's letter.",
        examples=["pitch_mm", "deck_height_mm U"],
    )
    value: float | str = Field(
        description="A length in mm; a count of pockets; clockwise or anticlockwise seen from above; LEFT or RIGHT "
        "looking downstream.",
        examples=[104.72, "clockwise"],
    )
    grade: GradeField


class SurveyAnswer(Answer):
    """A survey, one revision of what is known about a machine; none is ever overwritten."""

    revision: int = Field(description="Which survey of this machine it is, in the order they came on record, from 1.")
    surveyed_at: str = Field(description="When it was made, in UTC, ISO 8601.", examples=["2026-03-20T00:00:00Z"])
    recorded_at: str = Field(description="When it came on record, in UTC, ISO 8601.")
    by: str = Field(description="Who surveyed.", examples=["fitter on shift A"])
    note: str = Field(description="What else was noted; empty when nothing was.")
    dimensions: tuple[DimensionAnswer, ...] = Field(description="What was looked at; what was not is left out.")
    findings: tuple[FindingAnswer, ...] = Field(
        default=(),
        description="Where the survey disagrees with itself (pitch diameter = pockets × pitch ÷ π) or with the "
        "rotation that marks of the machine show; empty when it does not.",
    )
    check_before_reuse: KitsToCheckField = Field(
        default=(), description="When it is recorded: kits to hold against the machine before they are used again."
    )


class SameInterfaceAnswer(Answer):
    """Somebody's word that two machines are the same where an assembly meets them."""

    id: int = Field(description="Id of the word, to withdraw it with.", examples=[1])
    machines: tuple[str, str] = Field(
        description="The birth designations of the two.", examples=[["OSV4-FC1", "OSV7-FC1"]]
    )
    assembly: str = Field(description="SW2 for that one, SW for every star wheel.", examples=["SW2"])
    interface: str = Field(description="What was compared.", examples=["hub bore and bolt pattern"])
    note: str = Field(description="What else was noted; empty when nothing was.")
    by: str = Field(description="Who compared them.", examples=["fitter on shift A"])
    recorded_at: MomentField
    withdrawn_at: str | None = Field(description="Since when it does not hold, in UTC, ISO 8601; null while it holds.")
    withdrawn_reason: str | None = Field(description="Why it does not hold any more; null while it holds.")


class SameInterfaceListAnswer(Answer):
    """Words about machines, one for each assembly."""

    same_interfaces: tuple[SameInterfaceAnswer, ...] = Field(description="In the order in which they were recorded.")


class MachineSummaryAnswer(Answer):
    """A machine in a list: where it was born, where it stands now, and where it stood when that was asked."""

    designation: DesignationField
    machine_class: str = Field(description="Code of its class.", examples=["FC"])
    name: str = Field(description="The machine in words.", examples=["filler-capper 1"])
    rotation: str | None = Field(
        description="Clockwise or anticlockwise seen from above, as marks show it; null if it is not on record."
    )
    customer: str = Field(description="The customer in words.", examples=["Tarnquill Waters"])
    born_on: PlaceAnswer = Field(description="The line that its designation and its kits' numbers tell of.")
    stands_on: PlaceAnswer | None = Field(description="The line it stands on now; null when it stands on none.")
    stood: StayAnswer | None = Field(
        description="Its stay at the moment that was asked for, now unless one was; null before its first stay."
    )
    kits: tuple[str, ...] = Field(
        description="The kits made for it, wherever it stood then.", examples=[["OSV4-FC1-A500"]]
    )


class MachineListAnswer(Answer):
    """Machines; the header ``Link`` leads to the next part of a long list."""

    on: str = Field(description="The moment that the answer is about, in UTC, ISO 8601.")
    machines: tuple[MachineSummaryAnswer, ...] = Field(description="In the order in which they came on record.")


class MachineRecordAnswer(MachineSummaryAnswer):
    """Everything on record about a machine."""

    placements: tuple[StayAnswer, ...] = Field(description="Where it stood when, the earliest stay first.")
    surveys: tuple[SurveyAnswer, ...] = Field(description="In the order in which they came on record.")
    known: tuple[DimensionAnswer, ...] = Field(description="Of each dimension what the newest survey states.")
    findings: tuple[FindingAnswer, ...] = Field(
        default=(),
        description="Where what is known disagrees with itself, or with the rotation that marks of the machine show.",
    )
    same_interfaces: tuple[SameInterfaceAnswer, ...] = Field(
        description="What was ever said of it and another machine, withdrawn words too."
    )
    check_before_reuse: KitsToCheckField
