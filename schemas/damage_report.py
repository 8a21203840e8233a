"""A damage report: what a caller says of a broken piece, from the first words to the order that came of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from schemas.answers.base import Answer, MomentField, NumberField
from schemas.answers.kits import FindingAnswer
from schemas.answers.order_states import OrderState
from schemas.answers.pictures import PictureAnswer
from schemas.manifest import Part
from schemas.requests import MarkText
from schemas.text import Name, Reason, Remark, printable

CameByText = Literal["eye", "ear", "keyboard"]
EvidenceQuestion = Literal[
    "plant",
    "line",
    "running",
    "machine",
    "stock_colour",
    "shape_family",
    "pockets",
    "overall_length_mm",
    "thickness_mm",
    "hand",
    "deck",
    "neighbour",
    "date",
]
"""What the search asks of a caller."""
CorrectedQuestion = Literal["mark", "words", "caller", "telephone"]
"""What the report itself holds; a later answer stands, the earlier one stays on record."""

Telephone = Annotated[str, StringConstraints(strip_whitespace=True, max_length=40), AfterValidator(printable)]
AnswerText = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=512), AfterValidator(printable)
]
CameByField = Annotated[
    CameByText | None,
    Field(
        description="How the mark came in: read off the piece by eye, heard over the telephone, or typed; null when "
        "nobody said."
    ),
]
ReportIdField = Annotated[int, Field(description="Id of the damage report.", examples=[31])]
ReporterField = Annotated[str, Field(description="Who wrote it down.", examples=["owner"])]


class EvidenceItem(Part):
    """One answer of the caller, as it was given."""

    question: EvidenceQuestion | CorrectedQuestion = Field(
        description="What was asked. `mark`, `words`, `caller` and `telephone` say the report's own facts anew.",
        examples=["stock_colour"],
    )
    answer: AnswerText = Field(description="What the caller said, in their words.", examples=["green"])
    tolerance_mm: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)] | None = Field(
        default=None, description="Of a length: how far it may be off, in mm.", examples=[5.0]
    )
    came_by: CameByField = None


class DamageReportRequest(Part):
    """What the caller says first; everything else can be added later."""

    words: Remark = Field(
        default="",
        description="What happened, in the caller's own words.",
        examples=["The green one on line 4 is in pieces. I can read A5, something, SW."],
    )
    mark: MarkText | None = Field(
        default=None,
        description="The mark, or what is left of it: `?` for one sign that cannot be read, `*` for any number.",
        examples=["A5??-SW*"],
    )
    came_by: CameByField = None
    caller: Annotated[Name | Literal[""], Field(description="Who called.", examples=["the night shift, line 4"])] = ""
    telephone: Annotated[Telephone, Field(description="Where the caller can be reached; optional.")] = ""
    evidence: Annotated[tuple[EvidenceItem, ...], Field(max_length=100)] = Field(
        default=(), description="What the caller knew so far, in the order in which it was said."
    )

    @model_validator(mode="after")
    def _says_something(self) -> DamageReportRequest:
        if not (self.words.strip() or self.mark or self.evidence):
            raise PydanticCustomError("empty_report", "a report says something: words, a mark or evidence")
        return self


class EvidenceRequest(Part):
    """Further answers of the caller; earlier ones stay on record."""

    evidence: Annotated[tuple[EvidenceItem, ...], Field(min_length=1, max_length=100)] = Field(
        description="What was said, in order."
    )


class ShownCandidate(Part):
    """A candidate that the desk saw when it chose."""

    number: MarkText = Field(description="Number of the segment.", examples=["OSV4-FC1-A500-SW2-U3-42"])
    probability: Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)] | None = Field(
        default=None, description="How sure the search was of it, a share.", examples=[0.93]
    )


class ChoiceRequest(Part):
    """The segment that the report is about, as the desk decided."""

    mark: MarkText = Field(
        description="Number of the segment, or key of the very piece.", examples=["OSV4-FC1-A500-SW2-U3-42"]
    )
    set: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        default=None, description="The set of the broken piece, where the mark is no piece's key.", examples=[1]
    )
    rejected: Annotated[tuple[MarkText, ...], Field(max_length=50)] = Field(
        default=(), description="Numbers that were looked at and ruled out.", examples=[["OSV4-FC1-A500-SW2-U4-39"]]
    )
    shown: Annotated[tuple[ShownCandidate, ...], Field(max_length=50)] = Field(
        default=(), description="The candidates as they were shown, the likeliest first."
    )
    reason: Reason | None = Field(
        default=None, description="On what grounds.", examples=["the caller confirmed the picture"]
    )


class LinkRequest(Part):
    """A link for the caller's telephone, with one or several pictures to say yes or no to."""

    numbers: Annotated[tuple[MarkText, ...], Field(min_length=1, max_length=6)] = Field(
        description="Segments whose pictures are shown, in this order.", examples=[["OSV4-FC1-A500-SW2-U3-42"]]
    )
    hours: Annotated[int, Field(ge=1, le=168)] = Field(
        default=24, description="How long the link opens, in hours.", examples=[24]
    )


class LinkAnswer(Answer):
    """A link for the caller's telephone; its address is told once and kept nowhere."""

    report: ReportIdField
    url: str = Field(description="The address to send.", examples=["https://parts.example/r/kq3V7c…"])
    token: str = Field(description="What stands behind `/r/`.")
    numbers: tuple[str, ...] = Field(description="The segments it shows.")
    expires_at: MomentField


class LinkPictureAnswer(Answer):
    """One picture that a link shows; a stranger may see it, so it says no more than the plate does."""

    ordinal: int = Field(description="Counts the pictures from 1.", examples=[1])
    number: NumberField
    place_name: str = Field(description="Where it sits, in words.", examples=["discharge star wheel, upper deck"])
    stock_colour: str = Field(description="Colour of the plastic, in words; empty if not on record.")


class LinkPageAnswer(Answer):
    """What opens under a link: the pictures, and what was answered so far."""

    pictures: tuple[LinkPictureAnswer, ...] = Field(description="What is shown, in order.")
    expires_at: MomentField
    answered: str | None = Field(description="The last answer: a number, or `none`; null before the first.")
    shop_name: str = Field(description="The shop that asks.")
    shop_telephone: str = Field(description="Its telephone.")


class ConfirmRequest(Part):
    """What the caller says to the pictures."""

    ordinal: Annotated[int, Field(ge=1, le=6)] | None = Field(
        description="The picture that it is, counted from 1; null for none of these.", examples=[1]
    )


class PhotoAnswer(Answer):
    """A photograph of a report, and what was read in it."""

    id: int = Field(description="Counts the photographs of the report from 1.", examples=[1])
    sha256: str = Field(description="SHA-256 of the picture as it is kept.")
    media_type: Literal["image/jpeg", "image/png"] = Field(description="As what it is kept.")
    size_bytes: int = Field(description="Size as it is kept.", examples=[412_330])
    width_px: int = Field(description="Width, upright.", examples=[1600])
    height_px: int = Field(description="Height, upright.", examples=[1200])
    typed: str | None = Field(description="What somebody typed beside the picture.", examples=["A5?? SW"])
    reading: PictureAnswer = Field(description="What its symbols say.")
    mark: str | None = Field(
        description="What it names: by its symbols when they decode, else what was typed beside it; null for nothing."
    )
    added_at: MomentField
    added_by: ReporterField


class EvidenceAnswer(Answer):
    """One answer as it was given."""

    ordinal: int = Field(description="Counts the answers of the report from 1.", examples=[2])
    question: EvidenceQuestion | CorrectedQuestion | Literal["picture"] = Field(
        description="What was asked; `picture` is what the caller said on the telephone's page."
    )
    answer: str = Field(description="What was said; to `picture` a number, or `none`.")
    tolerance_mm: float | None = Field(description="Of a length, in mm.")
    came_by: CameByField
    given_by: Literal["desk", "caller"] = Field(description="Written down at the desk, or sent by the caller.")
    at: MomentField
    by: ReporterField


class ShownCandidateAnswer(Answer):
    """A candidate that the desk saw."""

    number: NumberField
    probability: float | None = Field(description="How sure the search was of it, a share.", examples=[0.93])


class ChoiceAnswer(Answer):
    """A segment that the desk decided on, and what it ruled out."""

    number: NumberField
    key: str | None = Field(description="Key of the very piece, where it is known.")
    set: int | None = Field(description="Its set, where it is known.")
    rejected: tuple[str, ...] = Field(description="Numbers that were ruled out.")
    shown: tuple[ShownCandidateAnswer, ...] = Field(description="The candidates as they were shown.")
    reason: str | None = Field(description="On what grounds.")
    at: MomentField
    by: ReporterField


class ReportOrderAnswer(Answer):
    """A reorder that the report is about."""

    id: int = Field(description="Id of the reorder.", examples=[17])
    number: NumberField
    state: OrderState = Field(description="How far it is.")
    duplicate: bool = Field(description="True when it was on order before this report came.")


class DamageReportSummaryAnswer(Answer):
    """A damage report in a list."""

    id: ReportIdField
    state: OrderState = Field(
        description="`reported` until a segment is chosen, `identified` until it is ordered, then how its order stands."
    )
    reported_at: MomentField
    reported_by: ReporterField
    caller: str = Field(description="Who called; empty if nobody said.")
    telephone: str = Field(description="Where the caller can be reached; empty if nobody said.")
    words: str = Field(description="What happened, in the caller's words.")
    mark: str | None = Field(description="The mark or what is left of it, as last given.")
    came_by: CameByField
    number: str | None = Field(description="The segment that was chosen; null before that.")
    order: int | None = Field(description="The last reorder that came of it; null before that.")


class DamageReportListAnswer(Answer):
    """A page of damage reports; the header ``Link`` leads to the next."""

    reports: tuple[DamageReportSummaryAnswer, ...] = Field(description="The newest first.")


class DamageReportAnswer(DamageReportSummaryAnswer):
    """A damage report with all that was said, seen and decided."""

    evidence: tuple[EvidenceAnswer, ...] = Field(description="Every answer in the order in which it was given.")
    photos: tuple[PhotoAnswer, ...] = Field(description="Every photograph.")
    choice: ChoiceAnswer | None = Field(description="The choice that stands.")
    choices: tuple[ChoiceAnswer, ...] = Field(description="Every choice that was made, the last one stands.")
    orders: tuple[ReportOrderAnswer, ...] = Field(description="Reorders that came of it or were on order already.")
    follows_order: int | None = Field(description="The reorder whose piece did not lock or broke again.")
    cancel_reason: str | None = Field(description="Why it was given up; null while it was not.")
    findings: tuple[FindingAnswer, ...] = Field(description="What the desk should know, such as an order that is open.")


class DuplicateRequest(Part):
    """The report is about something that is on order already."""

    order: Annotated[int, Field(ge=1, le=2**31 - 1)] = Field(description="Id of the open reorder.", examples=[17])


class GiveUpRequest(Part):
    """A report that nothing comes of."""

    reason: Reason = Field(description="Why.", examples=["the piece was found whole"])
