"""Where in a TOML text a value stands, so that an error can name the line."""

from __future__ import annotations

import re

#: Keys and indexes from the root of a document to a value.
Path = tuple[int | str, ...]


def path_text(path: Path) -> str:
    """A path as people write it: ``symbols[1].kind``."""
    text = ""
    for part in path:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def brief(value: object) -> str:
    """A value as an error quotes it; what is in a table or list is not repeated."""
    return "a table" if isinstance(value, dict) else "a list" if isinstance(value, list | tuple) else str(value)


def value_at(data: object, path: Path) -> object:
    """The value at a path, or of the deepest part of it that is there."""
    for part in path:
        in_table = isinstance(data, dict) and part in data
        in_list = isinstance(data, list) and isinstance(part, int) and part < len(data)
        if not (in_table or in_list):
            break
        data = data[part]  # type: ignore[index]  # one of the two it is
    return data


def line_of(text: str, path: Path) -> int | None:
    """The line on which the deepest part of a path begins, as far as table headers and keys show it."""
    best: int | None = None
    seen: dict[str, int] = {}
    table: tuple[int | str, ...] = ()
    for number, line in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]", line)
        assignment = re.match(r"\s*([A-Za-z0-9_-]+)\s*=", line)
        if header:
            table = tuple(header[2].split("."))
            if header[1] == "[[":
                seen[header[2]] = seen.get(header[2], -1) + 1
                table = (*table, seen[header[2]])
            if table == path[: len(table)]:
                best = number
        elif assignment and (*table, assignment[1]) == path[: len(table) + 1]:
            return number
    return best
