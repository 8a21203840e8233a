"""The entities that a drawing shows and a router would follow, with blocks taken apart.

What counts is what stands in model space and can be seen:

* Entities on layers that are off or frozen, entities marked invisible, and paper space are left out.
* Entities in a broken line type (centre, hidden, phantom, dashed, dotted) are reference lines and are left out.
* Texts, dimensions, leaders, points, hatches, pictures and construction lines are left out.
* Every block reference is taken apart, rows and columns too. An entity on layer 0 in a block lies on the layer of the
  reference; a line type "by block" is that of the reference.
* What is left and is no curve that can be followed (a solid, a region, a mesh, a reference to a drawing outside) is
  refused: leaving it out could lose an outline.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ezdxf.document import Drawing as DxfDocument
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert

from service.errors import BadCutFile, KitwrightError

MAX_ENTITIES = 100_000
"""Most entities of a drawing."""
MAX_FROM_BLOCKS = 20_000
"""Most entities that blocks may put into a drawing."""
MAX_BLOCK_DEPTH = 32
"""Deepest nesting of blocks."""

CURVES = frozenset({"LINE", "ARC", "CIRCLE", "ELLIPSE", "LWPOLYLINE", "POLYLINE", "SPLINE"})
NO_OUTLINES = frozenset(
    {
        *(
            "ACAD_TABLE",
            "ARC_DIMENSION",
            "ATTDEF",
            "ATTRIB",
            "DIMENSION",
            "GEODATA",
            "HATCH",
            "IMAGE",
            "LARGE_RADIAL_DIMENSION",
        ),
        *(
            "LEADER",
            "LIGHT",
            "MPOLYGON",
            "MTEXT",
            "MULTILEADER",
            "OLE2FRAME",
            "OLEFRAME",
            "PDFUNDERLAY",
            "POINT",
            "RAY",
        ),
        *("RTEXT", "SECTION", "SHAPE", "SOLID", "TEXT", "TOLERANCE", "TRACE", "VIEWPORT", "WIPEOUT", "XLINE"),
    }
)
_BROKEN_LINE_TYPES = ("ACAD_ISO", "BORDER", "CENTER", "CENTRE", "DASH", "DIVIDE", "DOT", "HIDDEN", "PHANTOM")


@dataclass(frozen=True, slots=True)
class ShownCurve:
    """A curve that the drawing shows.

    Attributes:
        entity: the library's entity, in world coordinates of the drawing.
        layer: the layer that it lies on, as the drawing spells it.
        place: how a message names it, for example ``ARC #2F on layer CUT``.
    """

    entity: DXFGraphic
    layer: str
    place: str


@dataclass(frozen=True, slots=True)
class _Context:
    """What a block reference passes on to the entities of its block."""

    layer: str = "0"
    line_type: str = "CONTINUOUS"
    blocks: tuple[str, ...] = ()


def shown_curves(document: DxfDocument, *, name: str) -> Iterator[ShownCurve]:
    """Every curve that model space shows, in the order of the drawing.

    Args:
        document: the loaded document.
        name: the file's name, for messages.

    Raises:
        BadCutFile: an entity that cannot be followed, a block that is missing or contains itself, or more than
            ``MAX_ENTITIES`` entities, ``MAX_FROM_BLOCKS`` of them from blocks, or ``MAX_BLOCK_DEPTH`` levels.
    """
    try:
        yield from _walk(document, name)
    except KitwrightError:
        raise
    except Exception as error:  # the library raises many classes on hostile blocks; each is the file's fault
        raise BadCutFile(
            f"an entity or block cannot be taken apart ({type(error).__name__})",
            field="file",
            value=name,
            todo="Explode the blocks and save the drawing again",
        ) from error


def _walk(document: DxfDocument, name: str) -> Iterator[ShownCurve]:
    layers = _Layers(document)
    seen = from_blocks = 0
    stack: list[tuple[Iterator[DXFGraphic], _Context]] = [(iter(document.modelspace()), _Context())]
    while stack:
        entities, context = stack[-1]
        entity = next(entities, None)
        if entity is None:
            stack.pop()
            continue
        seen += 1
        from_blocks += bool(context.blocks)
        if seen > MAX_ENTITIES or from_blocks > MAX_FROM_BLOCKS:
            most = f"{MAX_ENTITIES:,} entities, or {MAX_FROM_BLOCKS:,} once blocks are taken apart"
            raise BadCutFile(f"more than {most}", field="file", value=name, todo="Save the outline of one part alone")
        kind = entity.dxftype()
        layer = _layer_of(entity, context)
        place = _place(entity, layer, context)
        if kind in NO_OUTLINES or _value(entity, "invisible", 0):
            continue
        if isinstance(entity, Insert):
            if not layers.is_frozen(layer):
                inner = _Context(
                    layer, layers.line_type(entity, layer, context), (*context.blocks, entity.dxf.get("name", ""))
                )
                stack.append((_inside(entity, inner, document, name, place), inner))
            continue
        if not layers.is_shown(layer) or _is_broken(layers.line_type(entity, layer, context)):
            continue
        if kind not in CURVES:
            raise BadCutFile(
                f"a {kind} cannot be followed as a line",
                field="file",
                value=name,
                todo="Explode it to lines, arcs and polylines, or put it on a layer that is off",
                place=place,
            )
        yield ShownCurve(entity=entity, layer=layer, place=place)


def _inside(insert: Insert, inner: _Context, document: DxfDocument, name: str, place: str) -> Iterator[DXFGraphic]:
    """The entities of a block at the place of its reference; several times over for rows and columns."""
    fault = ""
    block = document.blocks.get(inner.blocks[-1]) if inner.blocks[-1] in document.blocks else None
    if block is None:
        fault = f"its block {inner.blocks[-1]} is missing from the file"
    elif block.block is not None and block.block.dxf.get("flags", 0) & 0b1100:  # external reference or overlay
        fault = f"its block {inner.blocks[-1]} lies in another file"
    elif inner.blocks[-1] in inner.blocks[:-1]:
        fault = f"its block {inner.blocks[-1]} contains itself"
    elif len(inner.blocks) > MAX_BLOCK_DEPTH:
        fault = f"blocks are nested more than {MAX_BLOCK_DEPTH} deep"
    elif not 0 <= insert.mcount <= MAX_FROM_BLOCKS:
        fault = f"it repeats its block {insert.mcount:,} times"
    if fault:
        raise BadCutFile(
            fault, field="file", value=name, todo="Explode the blocks and save the drawing again", place=place
        )
    references = insert.multi_insert() if insert.mcount > 1 else iter((insert,))
    return (entity for reference in references for entity in reference.virtual_entities())


def _layer_of(entity: DXFGraphic, context: _Context) -> str:
    layer = str(_value(entity, "layer", "0"))
    return context.layer if layer == "0" and context.blocks else layer


def _place(entity: DXFGraphic, layer: str, context: _Context) -> str:
    handle = _value(entity, "handle", None)
    number = f" #{handle}" if handle else ""
    block = f" in block {context.blocks[-1]}" if context.blocks else ""
    return f"{entity.dxftype()}{number} on layer {layer}{block}"


def _value(entity: DXFGraphic, attribute: str, default: object) -> object:
    """A common attribute; the default also for kinds of entities that the library does not know at all."""
    return entity.dxf.get(attribute, default) if entity.dxf.is_supported(attribute) else default


def _is_broken(line_type: str) -> bool:
    return line_type.upper().startswith(_BROKEN_LINE_TYPES)


class _Layers:
    """The layer table, read once."""

    def __init__(self, document: DxfDocument) -> None:
        self._frozen: set[str] = set()
        self._off: set[str] = set()
        self._line_types: dict[str, str] = {}
        for layer in document.layers:
            key = str(layer.dxf.get("name", "")).casefold()
            if layer.is_frozen():
                self._frozen.add(key)
            if layer.is_off():
                self._off.add(key)
            self._line_types[key] = str(layer.dxf.get("linetype", "CONTINUOUS"))

    def is_frozen(self, layer: str) -> bool:
        return layer.casefold() in self._frozen

    def is_shown(self, layer: str) -> bool:
        return layer.casefold() not in self._frozen | self._off

    def line_type(self, entity: DXFGraphic, layer: str, context: _Context) -> str:
        own = str(_value(entity, "linetype", "BYLAYER"))
        if own.upper() == "BYLAYER":
            return self._line_types.get(layer.casefold(), "CONTINUOUS")
        return context.line_type if own.upper() == "BYBLOCK" else own
