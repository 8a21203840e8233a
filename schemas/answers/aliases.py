"""Legacy marks on record, and what became of a table of them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from schemas.answers.base import Answer, MomentField

AliasKind = Literal["segment", "kit", "machine", "container", "line", "plant"]
KindField = Annotated[AliasKind, Field(description="What sort of thing is called so.", examples=["machine"])]
OfField = Annotated[
    str,
    Field(
        description="What is called so: number of a segment or kit, a machine where it was born, a line, a plant, or a "
        "container behind the code of its customer's first plant.",
        examples=["OSV4-FC1"],
    ),
]


class AliasAnswer(Answer):
    """A legacy mark on record."""

    id: int = Field(description="By which it is marked wrong.", examples=[12])
    kind: KindField
    of: OfField
    text: str = Field(description="As it was written.", examples=["old Betty"])
    source: str = Field(description="Who says so, or where it stands; may be empty.")
    note: str = Field(description="Anything else; may be empty.")
    recorded_by: str = Field(description="Who put it on record.", examples=["owner"])
    recorded_at: MomentField
    wrong_reason: str | None = Field(description="Why it is wrong; null as long as it holds.")
    wrong_by: str | None = Field(description="Who marked it wrong.")
    wrong_at: str | None = Field(description="When it was marked wrong, in UTC, ISO 8601.")


class AliasListAnswer(Answer):
    """Legacy marks, those first that were recorded first."""

    aliases: tuple[AliasAnswer, ...] = Field(description="Those marked wrong too; they say so.")


class RefusedLineAnswer(Answer):
    """A line of the table that does not go in."""

    line: int = Field(description="Of the file, from 1.", examples=[4])
    column: str = Field(description="The column that is wrong; empty for the whole line.", examples=["of"])
    value: str = Field(description="What stands there.", examples=["OSV4-FC1-A500-SW2-U3-24"])
    code: str = Field(description="As in a problem document.", examples=["ambiguous_mark"])
    message: str = Field(description="Why it does not go in, a clause.")
    todo: str = Field(description="What to do, an imperative sentence.")


class ImportAnswer(Answer):
    """What became of every line of a table of legacy marks."""

    status: Literal["prepared", "imported"] = Field(description="Prepared: looked at only, nothing was put on record.")
    lines: int = Field(description="Lines below the header that are not empty.", examples=[120])
    added: int = Field(description="Went in, or would.", examples=[112])
    already: int = Field(description="Said what is on record, or what a line above says.", examples=[5])
    refused: tuple[RefusedLineAnswer, ...] = Field(description="Do not go in, in the order of the file.")
    refused_csv: str = Field(
        description="The refused lines as a table to correct and send again, the reason in the last column; empty when "
        "there are none. A cell that a spreadsheet would take for a formula has an apostrophe in front, which is taken "
        "off again when the table is read."
    )
