"""Legacy marks as a table, one a line under a header, as in ``EXAMPLE``; and the table of the lines that were refused.

Commas, semicolons and tabs part the cells. A line that is broken is refused by itself: the others are read.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.errors import BadCsv

EXAMPLE = """\
mark,kind,number,kit,place,source,note
PO 4711/3,,OSV4-FC1-A500-SW2-U3-42,,,purchase order of 1998,
"12"" star, upper left",,,OSV4-FC1-A500,SW2-U4,stencilled on the part,
old Betty,machine,OSV4-FC1,,,what people call it,
"""
COLUMNS = ("mark", "kind", "of", "number", "key", "kit", "place", "source", "note")
NAMING = ("of", "number", "key")
"""Columns that say the same in other words: what the mark names."""

REASON = "refused_because"
"""Last column of the table of refused lines; passed over when that table comes back."""

MOST_LINES = 50_000
_FORMULA = "=+-@\uff1d\uff0b\uff0d\uff20"
"""What a spreadsheet takes for the beginning of a formula, in plain and in full width."""


@dataclass(frozen=True, slots=True)
class AliasLine:
    """A line of the table: what stands in each column that is filled, or why it cannot be read."""

    line: int
    cells: Mapping[str, str]
    broken: str = ""


@dataclass(frozen=True, slots=True)
class AliasTable:
    """A table as it came: the columns of its header, what parts its cells, its lines."""

    columns: tuple[str, ...]
    delimiter: str
    lines: tuple[AliasLine, ...]

    def refused(self, reasons: Mapping[int, str]) -> str:
        """The lines of these numbers as a table to correct and send again, the reason of each in the last column."""
        if not reasons:
            return ""
        written = io.StringIO()
        writer = csv.writer(written, delimiter=self.delimiter, quoting=csv.QUOTE_ALL)
        columns = [name for name in self.columns if name]
        writer.writerow([*columns, REASON])
        for line in self.lines:
            if line.line in reasons:
                cells = [harmless(line.cells.get(name, "")) for name in columns]
                writer.writerow([*cells, harmless(reasons[line.line])])
        return written.getvalue()


def harmless(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: an apostrophe stands before what would be one."""
    return f"'{cell}" if cell.lstrip("'")[:1] in _FORMULA and cell.strip("'") else cell


def as_meant(cell: str) -> str:
    """A cell without the apostrophe of ``harmless``."""
    return cell[1:] if cell.startswith("'") and harmless(cell[1:]) == cell else cell


def read_alias_table(data: bytes) -> AliasTable:
    """Take a table apart.

    Raises:
        BadCsv: it is no text, has no header, an unknown column, or too many lines; the line is named.
    """
    rows = _physical(_text(data))
    header_line, header, delimiter = _header(rows)
    columns = _columns(header, header_line)
    lines = []
    for number, cells in _rows(rows, header_line, delimiter):
        if isinstance(cells, str):
            lines.append(AliasLine(number, {"mark": " ".join(rows[number - 1].split())}, cells))
        elif any(cells):
            lines.append(_line(number, columns, [as_meant(cell) for cell in cells]))
        if len(lines) > MOST_LINES:
            raise _bad(f"the table has more than {MOST_LINES:,} lines", "lines", len(rows), number, "Send it in parts")
    return AliasTable(tuple(name for name in columns if name != REASON), delimiter, tuple(lines))


def _text(data: bytes) -> str:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise _bad(
            "this is no UTF-8 text",
            "table",
            repr(data[max(0, error.start - 10) : error.start + 10]),
            data.count(b"\n", 0, error.start) + 1,
            "Save the table as CSV in UTF-8 and send it again",
        ) from error


def _physical(text: str) -> list[str]:
    """The lines of a file, whatever ends them, each with a plain end."""
    return [f"{line}\n" for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n")]


def _header(rows: Sequence[str]) -> tuple[int, list[str], str]:
    number = next((number for number, row in enumerate(rows, 1) if row.strip(" \t\n,;")), 0)
    if not number:
        raise _bad("the table is empty", "table", "", 1, f"Begin with the header {','.join(COLUMNS)}")
    delimiter = max(",;\t", key=rows[number - 1].count)
    try:
        cells = next(csv.reader([rows[number - 1]], delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise _bad(f"the header cannot be read: {error}", "header", rows[0], number, "Check its quotes") from error
    return number, [cell.strip().lower() for cell in cells], delimiter


def _columns(header: list[str], line: int) -> list[str]:
    for name in header:
        if name and name not in COLUMNS and name != REASON:
            raise _bad(
                "no such column is known",
                "header",
                name,
                line,
                f"Use the columns {', '.join(COLUMNS)}; put anything else into 'note'",
            )
    filled = [name for name in header if name]
    if len(filled) != len(set(filled)):
        raise _bad("a column stands twice", "header", ",".join(header), line, "Take one of the two out")
    if "mark" not in filled or not {*NAMING, "kit"} & {*filled}:
        raise _bad(
            "a table of marks needs the mark, and what it names",
            "header",
            ",".join(header),
            line,
            f"Begin with the header {','.join(COLUMNS)}, or with some of these",
        )
    return header


def _rows(rows: Sequence[str], header_line: int, delimiter: str) -> Iterator[tuple[int, list[str] | str]]:
    """Line number and cells of every line under the header; for a line that cannot be read the reason."""
    start = header_line
    while start < len(rows):
        reader = csv.reader(rows[start:], delimiter=delimiter, strict=True)
        number = start + 1
        try:
            for cells in reader:
                yield number, [" ".join(cell.split()) for cell in cells]
                number = start + reader.line_num + 1
        except csv.Error as error:
            # A quote that is never closed swallows the lines after it: only its own line is given up.
            yield number, str(error)
        start = number


def _line(number: int, columns: Iterable[str], cells: Sequence[str]) -> AliasLine:
    named = list(columns)
    filled = {name: cell for name, cell in zip(named, cells, strict=False) if name and name != REASON and cell}
    beyond = [cell for name, cell in zip(named, cells, strict=False) if not name and cell] + list(
        filter(None, cells[len(named) :])
    )
    return AliasLine(number, filled, f"'{beyond[0]}' stands in no column of the header" if beyond else "")


def _bad(what: str, name: str, value: object, line: int, todo: str) -> BadCsv:
    return BadCsv(what, field=name, value=value, todo=todo, place=f"line {line}")
