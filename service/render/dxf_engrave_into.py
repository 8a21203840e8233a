"""A cut file with the engraving added to it, so that the router takes text and profile from one drawing.

The text comes on a layer of its own, and so does the letter of the revision, which belongs to this profile. Both go
between the lines of the original, of which every one stays as it is but for the counter of the next free
handle. Reading the file into a drawing library and writing it out again would rewrite all of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.errors import BadCutFile
from service.marks.engraving import Engraving
from service.marks.strokes import Point, Stroke
from service.render.dxf import LAYER, REVISION_LAYER, circle, decimals, lwpolyline, points, to_drawing_units
from service.render.dxf_tags import Tag, first, header_value, lines_of, records, section, tags_of

RELEASE_12 = "AC1009"
RELEASE_14 = "AC1014"
RELEASE_2000 = "AC1015"

_LAYER_COLOURS = {LAYER: "5", REVISION_LAYER: "6"}
_KEPT_LAYER_GROUPS = frozenset({100, 290, 330, 347, 348, 370, 390})
"""What the new layer takes over from the first one: subclass markers, owner, plot style, line weight, material."""


def engrave_into(
    original: bytes,
    engraving: Engraving,
    *,
    mm_per_unit: float,
    revision: Sequence[Stroke] = (),
    name: str = "cut file",
) -> bytes:
    """The cut file with the text on the layer ``ENGRAVE_TEXT`` and the revision on ``ENGRAVE_REV``.

    Args:
        original: a text DXF of release 12, 14 or 2000 and later.
        engraving: strokes or drilled dots in the coordinates of the part, in mm.
        revision: strokes of the revision's mark, likewise.
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
    for layer in (LAYER, REVISION_LAYER):
        if any(tag.code == 8 and tag.value.upper() == layer for tag in tags):
            raise _refused(f"it has something on the layer {layer} already", name, "Take the file as it was released")
    version_tag = header_value(tags, "$ACADVER")
    version = version_tag.value if version_tag else RELEASE_12
    if RELEASE_12 < version < RELEASE_14:
        raise _refused("release 13 of DXF has no fitting polyline", name, "Save it as DXF release 2000")
    handles = _Handles(tags)
    digits = decimals(mm_per_unit)
    layers = [_new_layer(tags, version, handles, layer) for layer in (LAYER, REVISION_LAYER)[: 2 if revision else 1]]
    added = [layer for layer in layers if layer is not None]
    pen = _Pen(digits, handles, version, _model_space(tags) if version >= RELEASE_2000 else None)
    drawn = [pen.line(stroke, LAYER) for stroke in to_drawing_units(engraving.strokes, mm_per_unit)]
    radius = engraving.dot_diameter_mm / 2 / mm_per_unit
    drawn += [pen.circle(dot, radius) for dot in to_drawing_units([engraving.dots], mm_per_unit)[0]]
    drawn += [pen.line(stroke, REVISION_LAYER) for stroke in to_drawing_units(revision, mm_per_unit)]
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


class _Pen:
    """Writes entities in the form of the file's release."""

    def __init__(self, digits: int, handles: _Handles, version: str, owner: str | None) -> None:
        self._digits, self._handles, self._owner = digits, handles, owner
        self._old = version < RELEASE_14

    def line(self, stroke: Stroke, layer: str) -> str:
        """An open polyline."""
        if self._old:
            return _polyline_12(stroke, self._digits, self._handles, layer)
        return lwpolyline(stroke, digits=self._digits, handle=self._handles.next(), owner=self._owner, layer=layer)

    def circle(self, centre: Point, radius: float) -> str:
        """A circle on the layer of the text."""
        if self._old:
            place = points((centre,), digits=self._digits, before="")
            size = f" 30\n0.0\n 40\n{radius:.{self._digits}f}\n"
            return f"  0\nCIRCLE\n{self._handles.group_12()}  8\n{LAYER}\n{place}{size}"
        return circle(centre, radius, digits=self._digits, handle=self._handles.next(), owner=self._owner)


def _new_layer(tags: Sequence[Tag], version: str, handles: _Handles, name: str) -> tuple[int, str] | None:
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
    if end is None or any(first(record, 2).upper() == name for record in table):
        return None
    if version < RELEASE_14 or not table:
        return end.line, f"  0\nLAYER\n  2\n{name}\n 70\n0\n 62\n{_LAYER_COLOURS[name]}\n  6\nCONTINUOUS\n"
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
            text += f"  2\n{name}\n 70\n0\n 62\n{_LAYER_COLOURS[name]}\n  6\nContinuous\n"
    return end.line, text


def _model_space(tags: Sequence[Tag]) -> str | None:
    """The handle of the block record that owns the entities."""
    for record in records(section(tags, "TABLES")):
        if record[0].value == "BLOCK_RECORD" and first(record, 2).upper() == "*MODEL_SPACE":
            return first(record, 5) or None
    return None


def _polyline_12(stroke: Stroke, digits: int, handles: _Handles, layer: str) -> str:
    """One open POLYLINE of release 12 with its vertices."""
    head = f"  0\nPOLYLINE\n{handles.group_12()}  8\n{layer}\n 66\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n 70\n0\n"
    vertices = [
        points((point,), digits=digits, before=f"  0\nVERTEX\n{handles.group_12()}  8\n{layer}\n") for point in stroke
    ]
    return f"{head}{''.join(vertices)}  0\nSEQEND\n{handles.group_12()}  8\n{layer}\n"


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
