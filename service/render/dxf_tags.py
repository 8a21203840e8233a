"""A text DXF as the run of its tags, each with the line that it stands on, so that a file can be added to in place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.errors import BadCutFile

BINARY_SENTINEL = b"AutoCAD Binary DXF"
_BLANKS = " \t\r\n"
UTF_8_MARK = "\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Tag:
    """A group code, its value without blanks around it, and the index of the line with the code."""

    code: int
    value: str
    line: int


def lines_of(data: bytes, *, name: str) -> list[str]:
    """The lines of a text DXF, each byte one character, line ends kept.

    Raises:
        BadCutFile: a binary DXF.
    """
    if data.startswith(BINARY_SENTINEL):
        raise BadCutFile(
            "a binary DXF cannot be added to",
            field="file",
            value=name,
            todo="Save it as a text DXF, or take the engraving as a file of its own",
        )
    # str.splitlines would also break at bytes that are part of a letter in UTF-8.
    *whole, rest = data.decode("latin-1").split("\n")
    return [f"{line}\n" for line in whole] + ([rest] if rest else [])


def tags_of(lines: Sequence[str], *, name: str) -> list[Tag]:
    """The tags of a text DXF.

    Raises:
        BadCutFile: a line that should be a group code is none.
    """
    tags: list[Tag] = []
    for line in range(0, len(lines) - 1, 2):
        code = lines[line].removeprefix(UTF_8_MARK).strip()
        if not code.lstrip("-").isdigit():
            raise BadCutFile(
                "this is no text DXF: a line that should be a group code is none",
                field="file",
                value=name,
                todo="Save the drawing as a text DXF",
                place=f"line {line + 1}",
            )
        tags.append(Tag(int(code), lines[line + 1].strip(_BLANKS), line))
    return tags


def section(tags: Sequence[Tag], name: str) -> Sequence[Tag]:
    """The tags of one section, its ENDSEC included; nothing if there is no such section."""
    start = next(
        (i for i, tag in enumerate(tags[1:], 1) if tag == Tag(2, name, tag.line) and tags[i - 1].value == "SECTION"),
        None,
    )
    if start is None:
        return ()
    end = next((i for i in range(start, len(tags)) if (tags[i].code, tags[i].value) == (0, "ENDSEC")), len(tags) - 1)
    return tags[start + 1 : end + 1]


def records(tags: Sequence[Tag]) -> Iterator[Sequence[Tag]]:
    """Runs of tags that begin with a group 0 each."""
    starts = [index for index, tag in enumerate(tags) if tag.code == 0]
    for start, end in pairwise([*starts, len(tags)]):
        yield tags[start:end]


def header_value(tags: Sequence[Tag], variable: str) -> Tag | None:
    """The first tag after a header variable's name."""
    header = section(tags, "HEADER")
    for before, tag in pairwise(header):
        if (before.code, before.value) == (9, variable):
            return tag
    return None


def first(record: Sequence[Tag], code: int, default: str = "") -> str:
    """The value of the first tag with this group code."""
    return next((tag.value for tag in record if tag.code == code), default)
