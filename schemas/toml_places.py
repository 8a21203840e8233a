"""Where in a TOML text a value stands, so that an error can name the line.

The scanner knows keys, tables, arrays and strings of TOML 1.0 and nothing of values. It reads any text in one pass,
also one that is no TOML: where it does not understand, it goes on with the next line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

#: Keys and indexes from the root of a document to a value.
Path = tuple[int | str, ...]

_TOKEN = re.compile(
    r"""(?P<blank>[ \t\r]+)|(?P<newline>\n)|(?P<comment>\#[^\n]*)
    |(?P<long>\"\"\"(?:\\.|[^\\])*?\"{3,5}(?!\")|'''.*?'{3,5}(?!'))
    |(?P<text>"(?:\\.|[^"\\\n])*"|'[^'\n]*')
    |(?P<torn>["'][^\n]*)
    |(?P<sign>[\[\]{},.=])
    |(?P<bare>[^\s\[\]{},.=\#"']+)""",
    re.VERBOSE | re.DOTALL,
)


def path_text(path: Path) -> str:
    """A path as people write it: ``symbols[1].kind``."""
    text = ""
    for part in path:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def brief(value: object) -> str:
    """A value as an error quotes it; what is in a table or list is not repeated, and a long text is cut."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return "a list"
    text = {True: "true", False: "false"}[value] if isinstance(value, bool) else str(value)
    return text if len(text) <= 80 else text[:77] + "…"


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
    return TomlPlaces.of(text).line(path)


@dataclass(frozen=True, slots=True)
class TomlPlaces:
    """Lines of a TOML text by path.

    Attributes:
        lines: the line, from 1, on which each value begins; of one that stands twice the first.
        begun: the outermost path that begins on a line, also where it stood before.
        depth: how deep tables, arrays and dotted keys are nested at most.
        deepest: the line on which they are.
    """

    lines: dict[Path, int] = field(default_factory=dict)
    begun: dict[int, Path] = field(default_factory=dict)
    depth: int = 0
    deepest: int = 1

    @classmethod
    def of(cls, text: str) -> TomlPlaces:
        """The places of a text."""
        scanner = _Scanner()
        for kind, piece, line in _tokens(text):
            scanner.take(kind, piece, line)
        return cls(scanner.lines, scanner.begun, scanner.depth, scanner.deepest)

    def line(self, path: Path) -> int | None:
        """The line of a value, or of the deepest table that would hold it; None for the whole document."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return None

    def path_on(self, line: int) -> Path:
        """The path whose value begins on a line, the outermost of several; empty if none does."""
        return self.begun.get(line, ())


def _tokens(text: str) -> Iterator[tuple[str, str, int]]:
    line = 1
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup
        assert kind is not None
        yield kind, match[0], line
        line += match[0].count("\n")


@dataclass(slots=True)
class _Frame:
    """An array or inline table that is open; ``index`` counts the elements of an array, ``path`` is None too deep."""

    path: Path | None
    index: int | None


#: Deeper than this no path is kept, only the depth is counted on.
_DEEPEST_KEPT = 32


class _Scanner:
    """Keys to paths: fed piece by piece."""

    def __init__(self) -> None:
        self.lines: dict[Path, int] = {}
        self.begun: dict[int, Path] = {}
        self.depth, self.deepest = 0, 1
        self._line = 1
        self._table: Path = ()
        self._counts: dict[Path, int] = {}
        self._frames: list[_Frame] = []
        self._keys: list[str] = []
        self._header = 0
        self._in_value = False
        self._value_begun = False
        self._path: Path | None = ()

    def take(self, kind: str, piece: str, line: int) -> None:
        """Take the next piece."""
        self._line = line
        if kind in ("blank", "comment"):
            return
        if kind == "newline":
            self._newline()
        elif self._in_value:
            self._value(piece, line)
        elif kind == "sign":
            self._between(piece, line)
        else:
            self._keys.append(piece[1:-1] if kind == "text" else piece)
            self._deep(len(self._keys))

    def _deep(self, further: int = 0) -> None:
        depth = len(self._table) + len(self._frames) + further
        if depth > self.depth:
            self.depth, self.deepest = depth, self._line

    def _newline(self) -> None:
        if self._frames:
            return
        self._keys, self._header, self._in_value, self._value_begun = [], 0, False, False

    def _between(self, piece: str, line: int) -> None:
        """A sign where a key or a header is read."""
        if piece == "[" and not self._frames and not self._keys:
            self._header += 1
            self._deep(self._header)
        elif piece == "]" and self._header and self._keys:
            self._open_table(line)
        elif piece == "=" and self._keys:
            self._begin_value(line)
        elif piece == "}" and self._frames:
            self._close()

    def _open_table(self, line: int) -> None:
        path: Path = ()
        if len(self._keys) <= _DEEPEST_KEPT:
            for number, key in enumerate(self._keys, start=1):
                path = (*path, key)
                last = number == len(self._keys)
                if last and self._header >= 2:
                    self._counts[path] = self._counts.get(path, -1) + 1
                    self.lines.setdefault(path, line)
                if path in self._counts:
                    path = (*path, self._counts[path])
            self.lines.setdefault(path, line)
            self.begun.setdefault(line, path)
        self._table, self._keys, self._header = path, [], 0

    def _begin_value(self, line: int) -> None:
        base = self._frames[-1].path if self._frames else self._table
        keys, self._keys = self._keys[:_DEEPEST_KEPT], []
        self._path = None if base is None else (*base, *keys)
        if base is not None:
            for number in range(1, len(keys) + 1):
                self.lines.setdefault((*base, *keys[:number]), line)
                self.begun.setdefault(line, (*base, *keys[:number]))
        self._in_value, self._value_begun = True, False

    def _value(self, piece: str, line: int) -> None:
        """A piece where a value is read."""
        frame = self._frames[-1] if self._frames else None
        if piece in ("[", "{"):
            path = self._path_of(frame, line) if len(self._frames) < _DEEPEST_KEPT else None
            self._frames.append(_Frame(path, 0 if piece == "[" else None))
            self._in_value, self._value_begun = piece == "[", False
            self._deep()
        elif piece == "," and frame is not None:
            self._value_begun = False
            if frame.index is None:
                self._in_value = False
            else:
                frame.index += 1
        elif piece in ("]", "}") and frame is not None:
            self._close()
        elif not self._value_begun:
            self._path_of(frame, line)

    def _path_of(self, frame: _Frame | None, line: int) -> Path | None:
        """The path of the value that begins here."""
        self._value_begun = True
        if frame is None or frame.index is None:
            return self._path
        if frame.path is None:
            return None
        path = (*frame.path, frame.index)
        self.lines.setdefault(path, line)
        return path

    def _close(self) -> None:
        self._frames.pop()
        self._keys = []
        self._in_value = self._value_begun = True
