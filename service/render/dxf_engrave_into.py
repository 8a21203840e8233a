"""A cut file with the engraving added to it, so that the router takes text and profile from one drawing.

The text is put between the lines of the original; every line of the original stays as it is, but for the counter of the
next free handle. Reading the file into a drawing library and writing it out again would rewrite all of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.errors import BadCutFile
from service.marks.engraving import Engraving
from service.marks.strokes import Stroke
from service.render.dxf import LAYER, decimals, lwpolyline, points, to_drawing_units
from service.render.dxf_tags import Tag, first, header_value, lines_of, records, section, tags_of

RELEASE_12 = "AC1009"
RELEASE_14 = "AC1014"
RELEASE_2000 = "AC1015"

_LAYER_COLOUR = "5"
_KEPT_LAYER_GROUPS = frozenset({100, 290, 330, 347, 348, 370, 390})
"""What the new layer takes over from the first one: subclass markers, owner, plot style, line weight, material."""


def engrave_into(original: bytes, engraving: Engraving, *, mm_per_unit: float, name: str = "cut file") -> bytes:
    """The cut file with the strokes on the layer ``ENGRAVE_TEXT``.

    Args:
        original: a text DXF of release 12, 14 or 2000 and later.
        engraving: strokes in the coordinates of the part, in mm.
        mm_per_unit: length of one drawing unit of the file in mm.
        name: the file's name, for messages.

    Raises:
        BadCutFile: a binary DXF, a DXF of release 13, no DXF, or one that has something on that layer already.
    """
    lines = lines_of(original, name=name)
    tags = tags_of(lines, name=name)
    entities = section(tags, "ENTITIES")
    if not entities or entities[-1].value != "ENDSEC":
        raise _refused("it has no section of entities", name, "Save the drawing as a text DXF")
    if any(tag.code == 8 and tag.value.upper() == LAYER for tag in tags):
        raise _refused(f"it has something on the layer {LAYER} already", name, "Take the file as it was released")
    version_tag = header_value(tags, "$ACADVER")
    version = version_tag.value if version_tag else RELEASE_12
    if RELEASE_12 < version < RELEASE_14:
        raise _refused("release 13 of DXF has no fitting polyline", name, "Save it as DXF release 2000")
    handles = _Handles(tags)
    digits = decimals(mm_per_unit)
    strokes = to_drawing_units(engraving.strokes, mm_per_unit)
    added: list[tuple[int, str]] = []
    layer = _new_layer(tags, version, handles)
    if layer is not None:
        added.append(layer)
    if version >= RELEASE_14:
        owner = _model_space(tags) if version >= RELEASE_2000 else None
        drawn = [lwpolyline(stroke, digits=digits, handle=handles.next(), owner=owner) for stroke in strokes]
    else:
        drawn = [_polyline_12(stroke, digits, handles) for stroke in strokes]
    added.append((entities[-1].line, "".join(drawn)))
    return _spliced(lines, added, handles)


class _Handles:
    """Free handles of a file; empty where a release 12 file has none."""

    def __init__(self, tags: Sequence[Tag]) -> None:
        self._seed = header_value(tags, "$HANDSEED")
        used = [_hex(tag.value) for tag in tags if tag.code in (5, 105)]
        self._next = max([0, *used]) + 1
        if self._seed is not None:
            self._next = max(self._next, _hex(self._seed.value))
        self._in_use = any(used)

    def next(self) -> str:
        """A handle that no other object has."""
        handle = f"{self._next:X}"
        self._next += 1
        return handle

    def group_12(self) -> str:
        """A handle as lines of a release 12 entity, if the file has handles at all."""
        return f"  5\n{self.next()}\n" if self._in_use else ""

    def seed(self) -> tuple[int, str] | None:
        """The line of the counter and its new value."""
        return (self._seed.line + 1, f"{self._next:X}") if self._seed is not None else None


def _hex(text: str) -> int:
    # Group 5 of a dimension style is a block's name, not a handle.
    try:
        return int(text, 16)
    except ValueError:
        return 0


def _new_layer(tags: Sequence[Tag], version: str, handles: _Handles) -> tuple[int, str] | None:
    """The record of the layer and the line before which it goes; None where the file needs none."""
    table: list[Sequence[Tag]] = []
    end: Tag | None = None
    inside = False
    for record in records(section(tags, "TABLES")):
        if record[0].value == "TABLE":
            inside = first(record, 2) == "LAYER"
        elif inside and record[0].value == "ENDTAB":
            end, inside = record[0], False
        elif inside and record[0].value == "LAYER":
            table.append(record)
    if end is None or any(first(record, 2).upper() == LAYER for record in table):
        return None
    if version < RELEASE_14 or not table:
        return end.line, f"  0\nLAYER\n  2\n{LAYER}\n 70\n0\n 62\n{_LAYER_COLOUR}\n  6\nCONTINUOUS\n"
    text = f"  0\nLAYER\n  5\n{handles.next()}\n"
    in_group = False
    for tag in table[0][1:]:
        if tag.code == 102:
            in_group = tag.value.startswith("{")
        elif in_group:
            continue
        elif tag.code in _KEPT_LAYER_GROUPS:
            text += f"{tag.code:>3}\n{tag.value}\n"
        elif tag.code == 2:
            text += f"  2\n{LAYER}\n 70\n0\n 62\n{_LAYER_COLOUR}\n  6\nContinuous\n"
    return end.line, text


def _model_space(tags: Sequence[Tag]) -> str | None:
    """The handle of the block record that owns the entities."""
    for record in records(section(tags, "TABLES")):
        if record[0].value == "BLOCK_RECORD" and first(record, 2).upper() == "*MODEL_SPACE":
            return first(record, 5) or None
    return None


def _polyline_12(stroke: Stroke, digits: int, handles: _Handles) -> str:
    """One open POLYLINE of release 12 with its vertices."""
    head = f"  0\nPOLYLINE\n{handles.group_12()}  8\n{LAYER}\n 66\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n 70\n0\n"
    vertices = [
        points((point,), digits=digits, before=f"  0\nVERTEX\n{handles.group_12()}  8\n{LAYER}\n") for point in stroke
    ]
    return f"{head}{''.join(vertices)}  0\nSEQEND\n{handles.group_12()}  8\n{LAYER}\n"


def _spliced(lines: Sequence[str], added: Sequence[tuple[int, str]], handles: _Handles) -> bytes:
    end = "\r\n" if lines[0].endswith("\r\n") else "\n"
    parts = list(lines)
    seed = handles.seed()
    if seed is not None:
        line, value = seed
        parts[line] = value + parts[line][len(parts[line].rstrip("\r\n")) :]
    for line, text in sorted(added, reverse=True):
        parts[line:line] = [text.replace("\n", end)]
    return "".join(parts).encode("latin-1")


def _refused(what: str, name: str, todo: str) -> BadCutFile:
    return BadCutFile(f"the engraving cannot be added: {what}", field="file", value=name, todo=todo)
