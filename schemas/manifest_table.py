"""The kit manifest as a table: a head of ``field,value`` rows, then one row a segment, as in ``EXAMPLE``.

Commas, semicolons and tabs part the cells; with semicolons and tabs a decimal comma is read as a point. Several joints
in one cell are parted by ``|``.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field

from schemas.faults import Location, place_in_json
from service.errors import BadCsv

EXAMPLE = """\
plant.code,OSV
plant.name,Ostrey Vale
plant.customer,Tarnquill Waters
line.ordinal,4
machine.class,FC
machine.ordinal,1
machine.rotation,clockwise
container.code,A500
container.name,tall round 500 mL
container.nominal,500
container.unit,mL
stock_colour,green

assembly,assembly_name,deck,ordinal,cut_file,revision,material,thickness_mm,quantity,hand,joints
SW2,discharge star wheel,U,3,osv4-fc1-a500-sw2-u3.dxf,B,UHMW-PE,25,1,,SW2-U4 dovetail 0.15
SW2,discharge star wheel,U,4,osv4-fc1-a500-sw2-u4.dxf,B,UHMW-PE,25,1,,
"""
HEAD_PARTS = ("plant", "line", "machine", "container")
NUMBERS = frozenset({"nominal", "diameter_mm", "width_mm", "depth_mm", "min_body_mm", "max_body_mm", "height_mm"})
ROW_NUMBERS = frozenset({"thickness_mm", "measured_thickness_mm"})
SEGMENT_COLUMNS = (
    "deck",
    "ordinal",
    "shares",
    "cut_file",
    "revision",
    "material",
    "thickness_mm",
    "measured_thickness_mm",
    "quantity",
    "hand",
    "stock_colour",
    "marked_face",
    "deviations",
)
COLUMNS = ("assembly", "assembly_name", *SEGMENT_COLUMNS, "joints")
_ASSEMBLY = re.compile(r"(?P<code>[A-Za-z]{1,4})(?P<ordinal>[0-9]{1,3})")
_MOST_ROWS = 5000


@dataclass(slots=True)
class ManifestTable:
    """What a table says, as the document that a JSON manifest would be, and where each part of it stood."""

    document: dict[str, object] = field(default_factory=dict)
    head_lines: dict[str, int] = field(default_factory=dict)
    segment_lines: dict[tuple[int, int], int] = field(default_factory=dict)
    joint_lines: list[int] = field(default_factory=list)

    def place_of(self, location: Location) -> str:
        """The line and column of a field of the document."""
        steps = list(location)
        if steps[:1] == ["assemblies"] and len(steps) >= 4 and isinstance(steps[1], int) and isinstance(steps[3], int):
            return _line(self.segment_lines.get((steps[1], steps[3])), steps[4:])
        if steps[:1] == ["assemblies"] and len(steps) >= 2 and isinstance(steps[1], int):
            column = "assembly_name" if steps[2:3] == ["name"] else "assembly"
            return _line(self.segment_lines.get((steps[1], 0)), [column])
        if steps[:1] == ["joints"] and len(steps) >= 2 and isinstance(steps[1], int):
            return _line(self.joint_lines[steps[1]], ["joints"])
        # A head row holds a whole list: the longest beginning of the path that is the name of a row.
        names = (".".join(str(step) for step in steps[:count]) for count in range(len(steps), 0, -1))
        found = next((self.head_lines[name] for name in names if name in self.head_lines), None)
        return _line(found, []) or place_in_json(location)


def _line(number: int | None, column: Location) -> str:
    if number is None:
        return ""
    return f"line {number}, column '{column[0]}'" if column else f"line {number}"


def read_table(text: str) -> ManifestTable:
    """Take a table apart.

    Raises:
        BadCsv: no head, no table, an unknown column, a broken row; line and column are named.
    """
    # Spreadsheet programs end lines in each of the three ways.
    text = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    delimiter = _delimiter(text)
    table = ManifestTable()
    columns: list[str] | None = None
    assemblies: dict[str, dict[str, object]] = {}
    order: list[str] = []
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if not any(cells):
                continue
            if reader.line_num > _MOST_ROWS:
                raise _bad("the table is too long", "rows", reader.line_num, reader.line_num, "Split the kit")
            if columns is None and cells[0].lower() == "assembly":
                columns = _columns(cells, reader.line_num)
            elif columns is None:
                _head(table, cells, reader.line_num, decimal_comma=delimiter != ",")
            else:
                _segment(table, assemblies, order, columns, cells, reader.line_num, decimal_comma=delimiter != ",")
    except csv.Error as error:
        raise _bad(f"this row cannot be read: {error}", "row", "", reader.line_num, "Check its quotes") from error
    if columns is None:
        raise _bad(
            "the table has no row that begins with 'assembly'",
            "header",
            "",
            reader.line_num,
            f"Add the header row {','.join(COLUMNS)}",
        )
    table.document["assemblies"] = [assemblies[name] for name in order]
    return table


def _delimiter(text: str) -> str:
    first = text.lstrip(" \n").split("\n", 1)[0]
    return max(",;\t", key=first.count)


def _columns(cells: list[str], line: int) -> list[str]:
    names = [cell.lower() for cell in cells]
    for name in names:
        if name and name not in COLUMNS:
            raise _bad("no such column is known", "header", name, line, f"Use the columns {', '.join(COLUMNS)}")
    if len([name for name in names if name]) != len({name for name in names if name}):
        raise _bad("a column stands twice", "header", ",".join(names), line, "Take one of the two out")
    return names


def _head(table: ManifestTable, cells: list[str], line: int, *, decimal_comma: bool) -> None:
    name = cells[0]
    value = cells[1] if len(cells) > 1 else ""
    if any(cells[2:]):
        raise _bad("a head row has a name and one value", name, ",".join(cells), line, "Put the value in quotes")
    if name in table.head_lines:
        raise _bad("this is given twice", name, value, line, "Take one of the two out")
    table.head_lines[name] = line
    if not value:
        return
    part, _, attribute = name.partition(".")
    if part in HEAD_PARTS and attribute:
        group = table.document.setdefault(part, {})
        assert isinstance(group, dict)
        group[attribute] = value.replace(",", ".") if decimal_comma and attribute in NUMBERS else value
    elif name == "stock_colour":
        table.document[name] = value
    elif name == "serves":
        table.document[name] = [code.strip() for code in value.split("|") if code.strip()]
    else:
        raise _bad(
            "no such field is known",
            name,
            value,
            line,
            "Use plant.code, plant.name, plant.customer, line.ordinal, machine.class, machine.ordinal, container.code "
            "and so on, then a row that begins with 'assembly'",
        )


def _segment(
    table: ManifestTable,
    assemblies: dict[str, dict[str, object]],
    order: list[str],
    columns: list[str],
    cells: list[str],
    line: int,
    *,
    decimal_comma: bool,
) -> None:
    if len(cells) > len(columns):
        raise _bad("this row has more cells than the header", "row", ",".join(cells), line, "Check its commas")
    values = {name: cell for name, cell in zip(columns, cells, strict=False) if name and cell}
    match = _ASSEMBLY.fullmatch(values.get("assembly", ""))
    if match is None:
        raise _bad(
            "an assembly is its code and its ordinal",
            "assembly",
            values.get("assembly", ""),
            line,
            "Write SW2, for one",
        )
    name = f"{match['code'].upper()}{int(match['ordinal'])}"
    if name not in assemblies:
        order.append(name)
        assemblies[name] = {"code": match["code"], "ordinal": match["ordinal"], "segments": []}
    assembly = assemblies[name]
    if "assembly_name" in values:
        assembly.setdefault("name", values["assembly_name"])
    segments = assembly["segments"]
    assert isinstance(segments, list)
    table.segment_lines[order.index(name), len(segments)] = line
    segments.append(
        {
            column: values[column].replace(",", ".") if decimal_comma and column in ROW_NUMBERS else values[column]
            for column in SEGMENT_COLUMNS
            if column in values
        }
    )
    here = f"{name}-{values.get('deck', '')}{values.get('ordinal', '')}"
    _joints(table, here, values.get("joints", ""), line, decimal_comma=decimal_comma)


def _joints(table: ManifestTable, here: str, cell: str, line: int, *, decimal_comma: bool) -> None:
    for entry in filter(None, (part.strip() for part in cell.split("|"))):
        words = entry.split()
        joint: dict[str, object] = {"between": [here, words[0]]}
        rest = words[1:]
        if rest and rest[-1].replace(",", ".").replace(".", "", 1).isdigit():
            clearance = rest.pop()
            joint["clearance_mm"] = clearance.replace(",", ".") if decimal_comma else clearance
        if rest:
            joint["form"] = " ".join(rest)
        table.joint_lines.append(line)
        joints = table.document.setdefault("joints", [])
        assert isinstance(joints, list)
        joints.append(joint)


def _bad(what: str, name: str, value: object, line: int, todo: str) -> BadCsv:
    return BadCsv(what, field=name, value=value, todo=todo, place=f"line {line}")
