"""The search for a segment from what is left of a mark and from what the caller knows besides."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import AfterValidator, Field, StringConstraints

from schemas.answers.base import Answer, ColourField, NumberField, PlaceField
from schemas.manifest import Part
from schemas.text import printable

Question = Literal[
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
    "picture",
]
"""What a caller can be asked, besides the mark. ``picture``: which of the outlines that he was shown it is."""

QUESTIONS: tuple[Question, ...] = get_args(Question)

CameByWord = Literal["eye", "ear", "keyboard"]
"""How a mark came in: read off the part, dictated, or typed."""

AnswerText = Annotated[str, StringConstraints(strip_whitespace=True, max_length=240), AfterValidator(printable)]


class EvidencePart(Part):
    """One answer of the caller. It is soft: a caller can be wrong, and no answer rules a segment out."""

    question: Question = Field(description="What was asked.", examples=["stock_colour"])
    answer: AnswerText = Field(
        description="What the caller said, in his words: a plant or line as it is called now or was called then, a "
        "colour, `12`, `418 mm`; for `picture` the number whose outline it is, or `not` and the numbers of all that it "
        "is not. Empty when he was asked and does not know; then it is not asked again.",
        examples=["green"],
    )
    tolerance_mm: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)] | None = Field(
        default=None,
        description="For a length or a thickness: how far it may be out, nearly always. As usual for the tool at hand "
        "unless said.",
        examples=[5.0],
    )


class SearchRequest(Part):
    """What is left of a mark, and what the caller knows besides. Nothing of it has to be there."""

    mark: Annotated[str, StringConstraints(max_length=512), AfterValidator(printable)] | None = Field(
        default=None,
        description="What can be read of the number, of a key or of a legacy mark: `?` for a sign that cannot be read, "
        "`*` or `…` for any number of them. Hyphens may be missing.",
        examples=["??V4-FC1-A5??-SW"],
    )
    came_by: CameByWord | None = Field(
        default=None,
        description="How the mark came in: read off the part by eye, dictated over the telephone, or typed. What is "
        "easily mistaken depends on it; a mixture of all three unless said.",
    )
    evidence: Annotated[tuple[EvidencePart, ...], Field(max_length=40)] = Field(
        default=(), description="The caller's answers so far, in the order in which they came."
    )
    prior: Literal["uniform", "breakages"] = Field(
        default="uniform",
        description="How likely each segment is before anything is known: all alike, or by how often it broke so far.",
    )
    limit: int = Field(default=10, ge=1, le=100, description="How many candidates to answer with at most.")


class WeighedAnswer(Answer):
    """What one answer of the caller says about one candidate."""

    question: Question = Field(description="What was asked.")
    answer: str = Field(description="What the caller said.")
    recorded: str | None = Field(description="What is on record of this segment; null where nothing is.")
    speaks: Literal["for", "against", "silent"] = Field(
        description="Whether the answer makes this segment likelier or less likely than before, or says nothing of it."
    )


class SearchCandidate(Answer):
    """A segment that may be meant."""

    number: NumberField
    key: str = Field(description="The segment's own key.")
    place: PlaceField
    kit: str = Field(description="Number of the kit.")
    assembly: str = Field(description="The assembly in words.", examples=["discharge star wheel"])
    plant: str = Field(description="The plant, as it is called today.")
    line: str | None = Field(description="The line that the machine stands on today; null where it stands on none.")
    machine: str = Field(description="The machine in words.")
    container: str = Field(description="What the kit was made for.", examples=["A500 tall round 500 mL"])
    stock_colour: ColourField
    status: Literal["active", "voided", "retired"] = Field(
        description="Voided: this place was given up. Retired: its kit is out of use."
    )
    probability: float = Field(
        description="How likely it is this one, from 0 to 1, given all that was said.", examples=[0.82]
    )
    assumed: tuple[str, ...] = Field(description="What has to be true of the mark for it to be this one, in words.")
    evidence: tuple[WeighedAnswer, ...] = Field(description="What each answer of the caller says about it.")
    picture: str = Field(
        description="Where its outline is to be had.", examples=["/api/segments/OSV4-FC1-A500-SW2-U3-42/outline.svg"]
    )


class ExpectedAnswer(Answer):
    """An answer that the caller may give to a question."""

    answer: str = Field(description="The answer.", examples=["green"])
    share: float = Field(description="How likely it is that this is the answer, from 0 to 1.", examples=[0.25])


class QuestionAnswer(Answer):
    """A question that may be put to the caller next."""

    question: Question = Field(description="What to ask; `picture` asks which of the likeliest outlines it is.")
    ask: str = Field(description="The question in words.", examples=["What colour is the plastic?"])
    answers: tuple[ExpectedAnswer, ...] = Field(description="What the caller may answer, the likeliest first.")
    gain_bits: float = Field(
        description="How much less uncertain it is expected to be afterwards, in bits: 1 halves what is left. That "
        "callers may not know, or be wrong, is counted in."
    )


class IgnoredAnswer(Answer):
    """Something that was sent and could not be used."""

    question: str = Field(description="What was asked; `mark` for the mark.")
    answer: str = Field(description="What the caller said.")
    reason: str = Field(description="Why it was left aside, and how to put it.")


class SearchAnswer(Answer):
    """The segments that may be meant, the likeliest first, and what to ask next. None is picked."""

    candidates: tuple[SearchCandidate, ...] = Field(description="The likeliest, at most `limit`.")
    left: int = Field(description="How many segments hold 95 % of the likelihood.", examples=[3])
    consistent: int = Field(
        description="How many issued numbers, keys and legacy marks agree with every sign of the mark that was read; "
        "all segments when there is no mark.",
        examples=[41],
    )
    entropy_bits: float = Field(
        description="How uncertain it still is, in bits: 0 when one is certain, 10 when a thousand are alike.",
        examples=[1.3],
    )
    unlooked: float = Field(
        description="Share of the likelihood that lies with segments which were left out to answer in time; an upper "
        "bound, 0 when every one was weighed."
    )
    next_question: QuestionAnswer | None = Field(
        description="The question that is expected to leave the fewest; null when nothing is to be gained."
    )
    questions: tuple[QuestionAnswer, ...] = Field(description="All that may be asked, the best one first.")
    ignored: tuple[IgnoredAnswer, ...] = Field(description="What was sent and could not be used, and why.")
    prior: Literal["uniform", "breakages"] = Field(description="How likely each segment was taken to be beforehand.")
