"""Texts as people send them: blanks tidied, and nothing in them that no plate, page or record can hold."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import (
    AfterValidator,
    BeforeValidator,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    StringConstraints,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema


def tidy(value: object) -> object:
    """A text on one line, its words parted by single blanks."""
    return " ".join(value.split()) if isinstance(value, str) else value


def upper(value: object) -> object:
    """A code in capitals, without blanks around it."""
    return value.strip().upper() if isinstance(value, str) else value


def printable(value: str) -> str:
    """Refuse control characters, half characters, and signs that turn the direction of writing."""
    for position, char in enumerate(value):
        # Lines may be broken; every other blank is as good as a blank.
        if not (char.isprintable() or char.isspace()) or char in "\x1c\x1d\x1e\x1f\x85\u2028\u2029\x0b\x0c":
            raise PydanticCustomError(
                "unprintable",
                "character {position} is U+{code}, which can be neither printed nor kept",
                {"position": position + 1, "code": f"{ord(char):04X}"},
            )
    return value


@dataclass(frozen=True, slots=True)
class Formed:
    """A text of a fixed form, with the form in words: a pattern tells people nothing.

    Attributes:
        pattern: a regular expression that the whole text matches.
        words: what the text is, a clause.
        example: one that is right.
    """

    pattern: str
    words: str
    example: str

    def check(self, value: str) -> str:
        """The text, if it has the form."""
        if re.fullmatch(self.pattern, value) is None:
            raise PydanticCustomError("malformed", "{words}", {"words": self.words, "example": self.example})
        return value

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_after_validator_function(self.check, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        return {**handler(schema), "pattern": f"^{self.pattern}$", "examples": [self.example]}


# The order matters: what stands last is asked first, but for the one that looks at what came of the others.
Name = Annotated[str, StringConstraints(min_length=1, max_length=120), BeforeValidator(tidy), AfterValidator(printable)]
ShortName = Annotated[
    str, StringConstraints(min_length=1, max_length=40), BeforeValidator(tidy), AfterValidator(printable)
]
DrawingIssue = Annotated[str, StringConstraints(max_length=60), BeforeValidator(tidy), AfterValidator(printable)]
Printable = Annotated[str, AfterValidator(printable)]
Remark = Annotated[str, StringConstraints(max_length=2000), AfterValidator(printable)]
"""Several lines, for one about rework on site."""
Reason = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=3, max_length=240), AfterValidator(printable)
]
FileName = Annotated[str, StringConstraints(min_length=1, max_length=255), AfterValidator(printable)]
Letter = Annotated[str, StringConstraints(min_length=1, max_length=3), AfterValidator(printable)]
"""A revision: ``-`` or letters after ASME Y14.35."""
NumberText = Annotated[
    str, StringConstraints(min_length=8, max_length=64), BeforeValidator(upper), AfterValidator(printable)
]
PlantCode = Annotated[
    str, Formed("[A-Z]{3,4}", "a plant code is 3 letters, or 4 once those are used up", "OSV"), BeforeValidator(upper)
]
Code = Annotated[str, Formed("[A-Z]{1,4}", "a code is 1 to 4 letters", "SW"), BeforeValidator(upper)]
AssemblyCode = Annotated[
    str, Formed("[A-Z]{1,4}[1-9][0-9]{0,2}", "an assembly is its code and its ordinal", "SW2"), BeforeValidator(upper)
]
ContainerCode = Annotated[
    str,
    Formed("[A-Z]{1,2}[1-9][0-9]{0,5}", "a container is its design letter and its nominal content", "A500"),
    BeforeValidator(upper),
]
PlaceText = Annotated[
    str,
    Formed(
        "[A-Z]{1,4}[1-9][0-9]{0,2}-?[A-Z]{1,2}[1-9][0-9]{0,3}",
        "a place is the assembly with its ordinal, then the deck with the segment's ordinal",
        "SW2-U3",
    ),
    BeforeValidator(upper),
]
