"""Label templates: what the shop has, and everything that is wrong with one."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import Answer
from schemas.answers.kits import FindingAnswer


class TemplateFindingAnswer(FindingAnswer):
    """One sentence about a label template; ``field`` is the path in it."""

    line: int | None = Field(description="Line of the file; null for the whole file, or where no text was sent.")


class TemplateAnswer(Answer):
    """A label template that the shop has."""

    name: str = Field(description="Its name in calls.", examples=["nameplate-60x22"])
    title: str = Field(description="What it is, in words.")
    stock: str = Field(description="What it is printed on and how it is fixed.")
    finish: Literal["matt", "satin", "gloss"] = Field(description="Of its surface.")
    width_mm: float = Field(description="Width of the mark.")
    height_mm: float = Field(description="Height of the mark.")
    reading_distance_mm: float = Field(description="The distance from which it is meant to be read.")
    languages: tuple[str, ...] = Field(
        description="Languages of its words, as tags of BCP 47.", examples=[["en", "de"]]
    )
    resolutions: tuple[int, ...] = Field(description="Resolutions of printers that it is made for, in dots an inch.")
    own: bool = Field(description="Whether it lies in the shop's own folder; false for one that is shipped.")
    findings: tuple[TemplateFindingAnswer, ...] = Field(
        description="What is wrong with it, with the longest texts on record; a warning is a note."
    )


class TemplateLeftOutAnswer(Answer):
    """A file in a folder of templates that is not used, because something in it is wrong."""

    file: str = Field(description="Name of the file.", examples=["shelf-tag.toml"])
    own: bool = Field(description="Whether it lies in the shop's own folder.")
    findings: tuple[TemplateFindingAnswer, ...] = Field(description="What is wrong with it, in the order of the file.")


class TemplateListAnswer(Answer):
    """All label templates."""

    templates: tuple[TemplateAnswer, ...] = Field(description="By name.")
    left_out: tuple[TemplateLeftOutAnswer, ...] = Field(description="Files that are not used, by their names.")


class TemplateLintAnswer(Answer):
    """Everything that is wrong with a label template that was sent."""

    clean: bool = Field(description="Whether no finding is an error.")
    name: str | None = Field(description="Name of the template; null where it has none.", examples=["shelf-tag"])
    findings: tuple[TemplateFindingAnswer, ...] = Field(
        description="In the order of the file; empty where all is right."
    )


class SchemaAnswer(Answer):
    """A document of JSON Schema, draft 2020-12."""

    schema_: str = Field(alias="$schema", description="Which JSON Schema it is written in.")
    title: str = Field(description="What it describes.")
    description: str = Field(description="The same in a sentence.")
    type: str = Field(description="Always an object.")
    properties: dict[str, object] = Field(description="Fields of a template.")
    required: tuple[str, ...] = Field(description="Fields that a template must have.")
    additional_properties: bool = Field(alias="additionalProperties", description="False: there are no other fields.")
    defs: dict[str, object] = Field(alias="$defs", description="Parts that the fields refer to.")
