"""The problem document of RFC 9457, as every error is answered."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field

from schemas.answers import FindingAnswer


class Problem(BaseModel):
    """What is wrong, in which field, with which value, where in the input, and what to do (RFC 9457 section 3)."""

    model_config = ConfigDict(frozen=True)

    type: str = Field(
        description="A link to the documentation of the code.", examples=["/docs/errors#cut_file_unknown"]
    )
    title: str = Field(description="The kind of error, the same for every occurrence.")
    status: int = Field(ge=400, le=599, description="The HTTP status again.")
    detail: str = Field(description="A sentence that names the field, its value and the next thing to do.")
    instance: str = Field(description="The path that was asked.")
    code: str = Field(description="The stable code of the error.", examples=["cut_file_unknown"])
    field: str = Field(description="The field, setting or record that is wrong.")
    value: str = Field(description="Its value, on one line and cut to 60 characters.")
    todo: str = Field(description="The next thing to do.")
    place: str | None = Field(
        default=None, description="Where in the input: a path of fields, a line and column, an entity of a drawing."
    )
    position: int | None = Field(default=None, description="Position of a bad character, from 0.")
    candidates: tuple[str, ...] = Field(
        default=(), description="Where several segments fit: their numbers, none picked."
    )
    findings: tuple[FindingAnswer, ...] = Field(default=(), description="Every finding, where there are several.")
