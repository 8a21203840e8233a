"""Legacy marks as they are put on record, one by one or as lines of a table."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints

from schemas.answers.aliases import AliasKind, KindField
from schemas.manifest import Part
from schemas.text import Name, PlaceText, Reason, printable, tidy

AliasSource = Annotated[str, StringConstraints(max_length=120), BeforeValidator(tidy), AfterValidator(printable)]
AliasNote = Annotated[str, StringConstraints(max_length=240), BeforeValidator(tidy), AfterValidator(printable)]
Designated = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=512), AfterValidator(printable)
]


class AliasRequest(Part):
    """A legacy mark that is put on record; nothing is renumbered."""

    kind: KindField
    of: Designated = Field(
        description="What is called so. A segment by number, key or any mark; a kit by number; a machine as in its "
        "kits' numbers; a line such as OSV4; a plant by code; a container by code, or behind a plant's code (OSV-A500) "
        "where two customers have one.",
        examples=["OSV4-FC1"],
    )
    text: Name = Field(
        description="The mark as it is written. Letter case, blanks, dashes, punctuation and accents do not count "
        "when it is looked for.",
        examples=["old Betty"],
    )
    source: AliasSource = Field(
        default="", description="Who says so, or where it stands.", examples=["what people call it"]
    )
    note: AliasNote = Field(default="", description="Anything else.")


class AliasWrongRequest(Part):
    """A legacy mark that does not hold."""

    reason: Reason = Field(description="Why it is wrong.", examples=["Betty is the machine next to it"])


def _lower(value: object) -> object:
    return value.strip().lower() if isinstance(value, str) else value


class AliasLinePart(Part):
    """A line of a table of legacy marks: a thing is named by ``of``, or as the place in a kit."""

    mark: Name
    kind: Annotated[AliasKind | None, BeforeValidator(_lower)] = None
    of: Designated | None = None
    kit: Designated | None = None
    place: PlaceText | None = None
    source: AliasSource = ""
    note: AliasNote = ""
