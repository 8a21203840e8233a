"""Machines: where they stand and stood, what was measured at them, and which of them are the same somewhere."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, ConfigDict, Field, StringConstraints, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from schemas.answers import Answer, FindingAnswer
from schemas.manifest import Hand, Millimetres, Part, Rotation
from schemas.moments import Moment
from schemas.text import Code, Name, PlantCode, Reason

Grade = Literal["measured", "from_drawing", "copied_from_part"]
Note = Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)]
Designation = Annotated[str, StringConstraints(strip_whitespace=True, to_upper=True, min_length=4, max_length=24)]


def _line(value: object) -> object:
    """An ordinal as its figures, a name as it was given."""
    text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
    if not isinstance(text, str) or not text.strip() or (text.strip().isdecimal() and not 1 <= int(text) <= 99):
        raise PydanticCustomError("line", "a line is named by its ordinal, 1 to 99, or by a name that it bears or bore")
    return " ".join(text.split())


LineText = Annotated[
    str,
    BeforeValidator(_line),
    StringConstraints(max_length=120),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 1, "maximum": 99}, {"type": "string", "maxLength": 120}]}),
]
AssemblyText = Annotated[
    str, StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z]{1,4}([1-9][0-9]?)?$")
]


class MoveRequest(Part):
    """A machine that was moved to another line, or taken off its line."""

    plant: PlantCode | None = Field(default=None, description="The plant's code; where it was born unless said.")
    plant_name: Name | None = Field(default=None, description="Only for a plant that is not on record yet.")
    line: LineText | None = Field(
        description="The line's ordinal, or a name that it bears or ever bore; null when the machine stands on no line."
    )
    line_name: Name | None = Field(default=None, description="Only for a line that is not on record yet.")
    since: Moment | None = Field(default=None, description="When it was moved; now unless said. Not in the future.")
    note: Note = ""


class RenameRequest(Part):
    """A plant or a line that took another name."""

    name: Name
    since: Moment | None = Field(default=None, description="Since when; now unless said. Not in the future.")


class GradedLength(Part):
    """A length in millimetres and how it was come by."""

    value: Millimetres
    grade: Grade


class GradedHeight(Part):
    """A height in millimetres, over the machine's table; below it the height is negative."""

    value: Annotated[float, Field(ge=-20_000, le=20_000, allow_inf_nan=False)]
    grade: Grade


class GradedCount(Part):
    """A count and how it was come by."""

    value: Annotated[int, Field(ge=1, le=500)]
    grade: Grade


class GradedRotation(Part):
    """A direction of rotation seen from above and how it was come by."""

    value: Annotated[
        Rotation, BeforeValidator(lambda value: value.strip().lower() if isinstance(value, str) else value)
    ]
    grade: Grade


class GradedHand(Part):
    """A hand looking downstream and how it was come by."""

    value: Annotated[Hand, BeforeValidator(lambda value: value.strip().upper() if isinstance(value, str) else value)]
    grade: Grade


class SurveyRequest(Part):
    """What somebody found at a machine; only what was looked at is sent."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        json_schema_extra={
            "examples": [
                {
                    "surveyed_at": "2026-03-02",
                    "by": "fitter on shift A",
                    "rotation": {"value": "clockwise", "grade": "measured"},
                    "pitch_mm": {"value": 104.72, "grade": "measured"},
                    "pocket_count": {"value": 24, "grade": "measured"},
                    "pitch_diameter_mm": {"value": 800.0, "grade": "from_drawing"},
                    "deck_heights_mm": {"U": {"value": 182.5, "grade": "copied_from_part"}},
                }
            ]
        },
    )

    surveyed_at: Moment | None = Field(default=None, description="When; now unless said. Not in the future.")
    by: Name | None = Field(default=None, description="Who measured; who asks unless said.")
    note: Note = ""
    rotation: GradedRotation | None = None
    infeed_hand: GradedHand | None = None
    pitch_mm: GradedLength | None = Field(default=None, description="Along the pitch circle, pocket to pocket.")
    pocket_count: GradedCount | None = None
    pitch_diameter_mm: GradedLength | None = None
    deck_heights_mm: Annotated[dict[Code, GradedHeight], Field(max_length=20)] = Field(
        default_factory=dict, description="By the deck's letter."
    )

    @model_validator(mode="after")
    def _states_something(self) -> SurveyRequest:
        stated = (self.rotation, self.infeed_hand, self.pitch_mm, self.pocket_count, self.pitch_diameter_mm)
        if not any(stated) and not self.deck_heights_mm:
            raise PydanticCustomError("survey", "a survey states at least one dimension")
        return self


class SameInterfaceRequest(Part):
    """Somebody's word that two machines are the same where certain assemblies meet them."""

    machines: tuple[Designation, Designation] = Field(examples=[["OSV4-FC1", "OSV7-FC1"]])
    assemblies: Annotated[tuple[AssemblyText, ...], Field(min_length=1, max_length=50)] = Field(
        description="The assemblies it holds for: SW2 for that one, SW for every star wheel.", examples=[["SW2"]]
    )
    interface: Name = Field(description="What was compared.", examples=["hub bore and bolt pattern"])
    by: Name | None = Field(default=None, description="Who compared them; who asks unless said.")
    note: Note = ""


class WithdrawWordRequest(Part):
    """A word about two machines that does not hold any more."""

    reason: Reason


class ReuseCheckRequest(Part):
    """A kit was held against the machine as it is now, and still fits."""

    by: Name | None = Field(default=None, description="Who checked; who asks unless said.")
    note: Note = ""


class PlaceAnswer(Answer):
    """A line and its plant, under the names they bear today."""

    plant_code: str
    plant: str
    line_ordinal: int
    line: str


class StayAnswer(Answer):
    """A stay of a machine; ``place`` null for a time on no line, ``since`` null when it was there before any record."""

    place: PlaceAnswer | None
    since: str | None
    until: str | None


class NameAnswer(Answer):
    """A name and its time; ``since`` null for the first one on record."""

    name: str
    since: str | None
    until: str | None


class PlaceNamesAnswer(Answer):
    """A plant or a line with every name that it ever bore, today's last."""

    designation: str
    name: str
    names: tuple[NameAnswer, ...]


class DimensionAnswer(Answer):
    """One thing that a survey states."""

    name: str
    value: float | str
    grade: Grade


class SurveyAnswer(Answer):
    """A survey, one revision of what is known about a machine."""

    revision: int
    surveyed_at: str
    recorded_at: str
    by: str
    note: str
    dimensions: tuple[DimensionAnswer, ...]
    findings: tuple[FindingAnswer, ...] = Field(default=(), description="Where the survey disagrees with itself.")
    check_before_reuse: tuple[str, ...] = Field(default=(), description="Kits to hold against the machine now.")


class SameInterfaceAnswer(Answer):
    """A word that two machines are the same where an assembly meets them."""

    id: int
    machines: tuple[str, str]
    assembly: str
    interface: str
    note: str
    by: str
    recorded_at: str
    withdrawn_at: str | None
    withdrawn_reason: str | None


class SameInterfaceListAnswer(Answer):
    """Words about machines."""

    same_interfaces: tuple[SameInterfaceAnswer, ...]


class MachineSummaryAnswer(Answer):
    """A machine in a list: where it was born, where it stands now, and where it stood when that was asked."""

    designation: str
    machine_class: str
    name: str
    rotation: str | None
    customer: str
    born_on: PlaceAnswer
    stands_on: PlaceAnswer | None = Field(description="Now; null when it stands on no line.")
    stood: StayAnswer | None = Field(description="At the moment that was asked for; now unless one was.")
    kits: tuple[str, ...]


class MachineListAnswer(Answer):
    """Machines; the header ``Link`` leads to the next part of a long list."""

    on: str
    machines: tuple[MachineSummaryAnswer, ...]


class MachineRecordAnswer(MachineSummaryAnswer):
    """Everything on record about a machine."""

    placements: tuple[StayAnswer, ...]
    surveys: tuple[SurveyAnswer, ...]
    known: tuple[DimensionAnswer, ...] = Field(description="Of each dimension what the newest survey states.")
    findings: tuple[FindingAnswer, ...] = Field(default=(), description="Where what is known disagrees with itself.")
    same_interfaces: tuple[SameInterfaceAnswer, ...]
    check_before_reuse: tuple[str, ...] = Field(description="Kits to hold against the machine before they are used.")
