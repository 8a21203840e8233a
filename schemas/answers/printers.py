"""The printers of the shop: who they are, what they can do, and how marks would go to one of them."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import Answer

PrinterNameField = Field(description="What the shop calls the printer.", examples=["bench"])
PrinterUriField = Field(description="Its address.", examples=["ipp://labels.example/ipp/print"])


class NamedPrinterAnswer(Answer):
    """A printer that the shop has named."""

    name: str = PrinterNameField
    uri: str = PrinterUriField


class PrinterListAnswer(Answer):
    """The printers that the shop has named; jobs go to no other."""

    printers: tuple[NamedPrinterAnswer, ...] = Field(description="In the order of the setting.")


class MediaAnswer(Answer):
    """A size of paper or label that a printer takes."""

    width_mm: float = Field(description="Across the feed.", examples=[60.0])
    height_mm: float = Field(description="Along the feed.", examples=[22.0])
    name: str | None = Field(description="Its self-describing name (PWG 5101.1); null if it has none.")
    loaded: bool = Field(description="Whether it is in the printer just now.")


class MediaRangeAnswer(Answer):
    """Every size between two that a printer takes, as one with a roll does."""

    least_width_mm: float = Field(description="The narrowest, across the feed.")
    most_width_mm: float = Field(description="The widest.")
    least_height_mm: float = Field(description="The shortest, along the feed.")
    most_height_mm: float = Field(description="The longest.")


class PrintPlanAnswer(Answer):
    """How marks of a template would go to the printer."""

    template: str = Field(description="The label template that was asked about.", examples=["nameplate-60x22"])
    format: str = Field(description="What the printer is sent.", examples=["application/pdf"])
    width_mm: float = Field(description="Width of the paper that is asked for.", examples=[60.0])
    height_mm: float = Field(description="Its length along the feed.", examples=[22.0])
    turned: bool = Field(description="Whether each page is turned by a quarter to lie on that paper.")
    drawn_dpi: int = Field(description="The dots that the marks are drawn in.", examples=[203])
    printer_dpi: int = Field(description="The dots of the printer: the same, or a whole multiple.", examples=[203])
    notes: tuple[str, ...] = Field(description="What to know before printing.")


class PrinterAnswer(Answer):
    """A printer as it describes itself just now."""

    name: str = PrinterNameField
    uri: str = PrinterUriField
    model: str = Field(description="Make and model; empty where it does not say.")
    location: str = Field(description="Where it stands; empty where it does not say.")
    state: Literal["idle", "processing", "stopped", "unknown"] = Field(description="What it is doing.")
    reasons: tuple[str, ...] = Field(description="Why, in the standard's words.", examples=[["media-empty-error"]])
    accepting: bool = Field(description="Whether it takes jobs.")
    queued: int | None = Field(description="How many jobs wait; null where it does not say.")
    formats: tuple[str, ...] = Field(description="Formats of documents that it takes.")
    media: tuple[MediaAnswer, ...] = Field(description="Sizes that it takes, those loaded first.")
    ranges: tuple[MediaRangeAnswer, ...] = Field(description="Ranges of sizes that it takes.")
    dpi: tuple[int, ...] = Field(description="Its resolutions, dots per inch, lowest first.", examples=[[203]])
    colour: bool = Field(description="Whether it prints in colour.")
    plan: PrintPlanAnswer | None = Field(description="For the template that was asked about; null if none was.")
