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
    title: str
    status: int = Field(ge=400, le=599)
    detail: str = Field(description="A sentence that names the field, its value and the next thing to do.")
    instance: str
    code: str = Field(description="The stable code of the error.", examples=["cut_file_unknown"])
    field: str
    value: str
    todo: str
    place: str | None = None
    position: int | None = Field(default=None, description="Position of a bad character, from 0.")
    candidates: tuple[str, ...] = ()
    findings: tuple[FindingAnswer, ...] = ()
