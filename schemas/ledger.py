"""What the service answers about its ledger."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers import Answer


class LedgerTipAnswer(Answer):
    """The last row of the ledger."""

    id: int = Field(description="The row's number; 0 when there is none yet.")
    sha256: str = Field(description="Of that row, and with it of all rows before it.")
    at: str | None = Field(description="When it was written; null when there is none yet.")
    tip: str = Field(
        description="Both as one text, to be written down elsewhere and given to a later verification.",
        examples=["9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08:1204"],
    )


class LedgerFaultAnswer(Answer):
    """A row, or several in a row, that are not as they were written."""

    id: int = Field(description="The row, the first of several.")
    last_id: int = Field(description="The last of several; the same row for one.")
    kind: Literal["changed", "missing", "forged", "cut_off", "rewritten"] = Field(
        description="Changed: it says something else now. Missing: it is not there. Forged: it never had a place in "
        "the chain. Cut off: it stood at the end. Rewritten: it is another than the one whose tip was kept."
    )
    message: str = Field(description="The same in words.", examples=["row 3 does not say what it said"])


class LedgerAnswer(Answer):
    """What a verification of the whole ledger found."""

    whole: bool = Field(description="Whether nothing was found.")
    rows: int = Field(description="Rows that were read.")
    tip: LedgerTipAnswer = Field(description="The last row that was read.")
    anchors: tuple[str, ...] = Field(default=(), description="The tips that it was compared with.")
    fault_count: int = Field(description="How many faults there are; 0 when the ledger is whole.")
    faults: tuple[LedgerFaultAnswer, ...] = Field(description="The first hundred at most.")
