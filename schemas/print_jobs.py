"""Print jobs: what is asked of a real printer, and how far each mark of it is."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints

from schemas.answers import Answer
from schemas.answers.base import MomentField, NumberField
from schemas.manifest import Part
from schemas.requests import MarkText
from schemas.text import Reason, printable

PrinterText = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=1023), AfterValidator(printable)
]
PageField = Annotated[int, Field(description="The page: one mark of a roll, or one sheet; from 1.", examples=[12])]


class PrintJobRequest(Part):
    """Marks for a real printer."""

    marks: Annotated[tuple[MarkText, ...], Field(min_length=1, max_length=300)] = Field(
        description="A kit, whose marks are printed in assembly order, or numbers or keys of segments and pieces of "
        "one kit.",
        examples=[["OSV4-FC1-A500"]],
    )
    printer: PrinterText = Field(description="What the shop calls the printer.", examples=["bench"])
    template: Annotated[str, StringConstraints(min_length=1, max_length=60), AfterValidator(printable)] = Field(
        default="nameplate-60x22", description="Name of a label template.", examples=["nameplate-60x22"]
    )
    paper: Literal["roll", "a4", "letter"] = Field(
        default="roll", description="A roll of labels, one mark a page, or sheets of several marks."
    )
    dpi: int = Field(default=203, description="Dots per inch that the marks are drawn for.", examples=[203])
    start_cell: Annotated[int, Field(ge=1, le=10_000)] = Field(
        default=1,
        description="On sheets, the first free cell of a sheet of which some are taken, counted along the rows.",
        examples=[7],
    )
    copies: Annotated[int, Field(ge=1, le=99)] = Field(
        default=1, description="How often each page is printed.", examples=[1]
    )
    set: Annotated[int, Field(ge=1, le=10_000)] | None = Field(
        default=None, description="Of a kit, only what is fitted of this set.", examples=[2]
    )
    override: Reason | None = Field(
        default=None, description="Why, although the kit is retired; goes on record.", examples=["asked by the plant"]
    )


class PrintedWord(Part):
    """What somebody saw at the printer, of the page that the job asks about."""

    printed: bool = Field(
        description="True when the page lies there whole; false when it does not, and is to be printed.",
        examples=[True],
    )


class JobMarkAnswer(Answer):
    """One mark of a print job."""

    number: NumberField
    key: str = Field(description="The key that the mark bears.", examples=["P3HW9TCP"])


class JobPageAnswer(Answer):
    """One page of a print job: what the printer is given at once."""

    page: PageField
    state: Literal["waiting", "sent", "printed", "failed", "doubtful"] = Field(
        description="`waiting`; `sent`, its end not known yet; `printed`; `failed`, and is sent again when the job "
        "goes on; `doubtful`, and somebody has to look.",
    )
    marks: tuple[JobMarkAnswer, ...] = Field(description="The marks on it, in order.")
    job_name: str | None = Field(
        description="What the printer calls it; null until it is sent.", examples=["kitwright 17 page 12 9f3a61c2"]
    )
    sent_at: str | None = Field(description="When it was sent, UTC.", examples=["2026-03-09T08:15:00Z"])
    ended_at: str | None = Field(description="When its end was known, UTC.", examples=["2026-03-09T08:15:02Z"])
    said: str = Field(description="Why it failed or is doubtful, else empty.", examples=[""])


class PrintJobSummaryAnswer(Answer):
    """A print job in a list."""

    id: int = Field(description="Id of the job.", examples=[17])
    subject: str = Field(description="The kit, or the one segment.", examples=["OSV4-FC1-A500"])
    printer: str = Field(description="The shop's name of the printer, else its address.", examples=["bench"])
    state: Literal["waiting", "printing", "stopped", "asks", "done", "cancelled"] = Field(
        description="`waiting` and `stopped` can be resumed; `asks` waits for somebody who looks at the printer."
    )
    marks: int = Field(description="Marks of the job.", examples=[40])
    printed: int = Field(description="How many of them are printed.", examples=[11])
    made_at: MomentField
    made_by: str = Field(description="Who started it.", examples=["owner"])
    said: str = Field(
        description="Why it stopped and what to do, else empty.", examples=["media-empty: load labels, then resume"]
    )


class PrintJobListAnswer(Answer):
    """Print jobs, the newest first."""

    print_jobs: tuple[PrintJobSummaryAnswer, ...] = Field(description="The page of the list.")


class PrintJobAnswer(PrintJobSummaryAnswer):
    """A print job with every page."""

    template: str = Field(description="Name of the label template.", examples=["nameplate-60x22"])
    paper: Literal["roll", "a4", "letter"] = Field(description="On what it is printed.")
    dpi: int = Field(description="Dots per inch that the marks are drawn for.", examples=[203])
    start_cell: int = Field(description="The cell of the first sheet that it begins at.", examples=[1])
    copies: int = Field(description="How often each page is printed.", examples=[1])
    notes: tuple[str, ...] = Field(
        description="What the printer said that somebody should know; only when the job is started."
    )
    question: str = Field(
        description="What somebody has to look for at the printer; empty when nothing is in doubt.",
        examples=["Is mark 12 printed: OSV4-FC1-A500-SW2-U3-42, key P3HW 9TCP?"],
    )
    question_page: int | None = Field(description="The page that the question is about.", examples=[12])
    pages: tuple[JobPageAnswer, ...] = Field(description="Every page in order.")
