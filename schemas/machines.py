"""What people record of machines: moves, surveys, names of places, and which machines are the same somewhere."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from schemas.answers.machines import GradeField
from schemas.manifest import Hand, Millimetres, Part, Rotation, rotation_word
from schemas.moments import Moment
from schemas.text import Code, Name, PlantCode, Reason, Remark, printable, upper

Note = Annotated[Remark, StringConstraints(strip_whitespace=True)]
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
    AfterValidator(printable),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 1, "maximum": 99}, {"type": "string", "maxLength": 120}]}),
]
AssemblyText = Annotated[
    str, StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z]{1,4}([1-9][0-9]?)?$")
]


NoteField = Annotated[Note, Field(description="What else is to be kept; nothing unless said.")]
ByField = Annotated[Name | None, Field(description="Who did it; who asks unless said.", examples=["fitter on shift A"])]


class MoveRequest(Part):
    """A machine that was moved to another line, or taken off its line. Its kits keep their numbers."""

    plant: PlantCode | None = Field(default=None, description="The plant's code; where it was born unless said.")
    plant_name: Name | None = Field(
        default=None, description="The plant in words; only for a plant that is not on record yet."
    )
    line: LineText | None = Field(
        description="The line's ordinal, or a name that it bears or ever bore; null when it stands on no line.",
        examples=[7, "line 7"],
    )
    line_name: Name | None = Field(
        default=None, description="What people call the line; only for a line that is not on record yet."
    )
    since: Moment | None = Field(
        default=None, description="When it was moved; now unless said. Not in the future.", examples=["2026-03-15"]
    )
    note: NoteField = ""


class RenameRequest(Part):
    """A plant or a line that took another name; its code or ordinal stays, and every old name still finds it."""

    name: Name = Field(description="The name that it took.", examples=["hall B"])
    since: Moment | None = Field(
        default=None, description="Since when; now unless said. Not in the future.", examples=["2026-05-01"]
    )


class GradedLength(Part):
    """A length and how it was come by."""

    value: Millimetres = Field(description="The length in mm.", examples=[104.72])
    grade: GradeField


class GradedHeight(Part):
    """A height and how it was come by."""

    value: Annotated[float, Field(ge=-20_000, le=20_000, allow_inf_nan=False)] = Field(
        description="The height in mm over the machine's table; negative below it.", examples=[182.5]
    )
    grade: GradeField


class GradedCount(Part):
    """A count and how it was come by."""

    value: Annotated[int, Field(ge=1, le=500)] = Field(description="How many.", examples=[24])
    grade: GradeField


class GradedRotation(Part):
    """A direction of rotation and how it was come by."""

    value: Annotated[Rotation, BeforeValidator(rotation_word)] = Field(
        description="The direction of rotation seen from above.", examples=["clockwise"]
    )
    grade: GradeField


class GradedHand(Part):
    """A hand and how it was come by."""

    value: Annotated[Hand, BeforeValidator(upper)] = Field(
        description="LEFT or RIGHT, looking downstream.", examples=["LEFT"]
    )
    grade: GradeField


class SurveyRequest(Part):
    """What somebody found at a machine; only what was looked at is sent. Each survey is a revision of its own."""

    surveyed_at: Moment | None = Field(
        default=None, description="When; now unless said. Not in the future.", examples=["2026-03-20"]
    )
    by: ByField = None
    note: NoteField = ""
    rotation: GradedRotation | None = Field(
        default=None, description="Direction of rotation seen from above; null when it was not looked at."
    )
    infeed_hand: GradedHand | None = Field(
        default=None,
        description="The side on which containers come in, looking downstream; null when it was not looked at.",
    )
    pitch_mm: GradedLength | None = Field(
        default=None,
        description="Pocket to pocket along the pitch circle, not straight across; null when it was not measured.",
    )
    pocket_count: GradedCount | None = Field(
        default=None, description="Pockets around the whole star; null when they were not counted."
    )
    pitch_diameter_mm: GradedLength | None = Field(
        default=None,
        description="Diameter of the circle on which containers run; compared with pockets × pitch ÷ π. "
        "Null when it was not measured.",
    )
    deck_heights_mm: Annotated[dict[Code, GradedHeight], Field(max_length=20)] = Field(
        default_factory=dict,
        description="Height of each deck over the machine's table in mm, by the deck's letter; empty unless measured.",
    )

    @model_validator(mode="after")
    def _states_something(self) -> SurveyRequest:
        stated = (self.rotation, self.infeed_hand, self.pitch_mm, self.pocket_count, self.pitch_diameter_mm)
        if not any(stated) and not self.deck_heights_mm:
            raise PydanticCustomError("survey", "a survey states at least one dimension")
        return self


class SameInterfaceRequest(Part):
    """Somebody's word that two machines are the same where certain assemblies meet them; parts may then serve both."""

    machines: tuple[Designation, Designation] = Field(
        description="The birth designations of the two.", examples=[["OSV4-FC1", "OSV7-FC1"]]
    )
    assemblies: Annotated[tuple[AssemblyText, ...], Field(min_length=1, max_length=50)] = Field(
        description="The assemblies it holds for: SW2 for that one, SW for every star wheel.", examples=[["SW2"]]
    )
    interface: Name = Field(description="What was compared.", examples=["hub bore and bolt pattern"])
    by: ByField = None
    note: NoteField = ""


class WithdrawWordRequest(Part):
    """A word about two machines that does not hold any more."""

    reason: Reason = Field(description="Why it does not hold any more.", examples=["the hub of FC1 was bored out"])


class ReuseCheckRequest(Part):
    """A kit was held against the machine as it is now, and still fits."""

    by: ByField = None
    note: NoteField = ""
