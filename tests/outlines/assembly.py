"""Parts of the demonstration in assembly coordinates, and whole assemblies that are moved, turned or mirrored."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache

from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from service.demo.kit_a500 import kit_a500
from service.outlines.drawing import Drawing, read_drawing
from service.outlines.face import Face, Surroundings, face_of

Move = Callable[[BaseGeometry], BaseGeometry]
DECKS = "LMUK"


@cache
def drawings() -> Mapping[str, Drawing]:
    """The first release of every cut file of the kit OSV4-FC1-A500, by its place."""
    found = {}
    for one in kit_a500().revisions():
        if one.revision == "-":
            place = one.name.removesuffix(".dxf").split("-", 3)[3].upper()
            found[place] = read_drawing(one.data, name=one.name)
    return found


def moved(drawing: Drawing, move: Move) -> Drawing:
    """A drawing with every shape of it moved alike."""

    def polygons(shapes: tuple[Polygon, ...]) -> tuple[Polygon, ...]:
        return tuple(shape for shape in map(move, shapes) if isinstance(shape, Polygon))

    material = move(drawing.material)
    assert isinstance(material, MultiPolygon)
    return replace(
        drawing,
        material=material,
        engraving_zones=polygons(drawing.engraving_zones),
        keepouts=polygons(drawing.keepouts),
        hubs=polygons(drawing.hubs),
    )


def turned(degrees: float, about: tuple[float, float] = (0.0, 0.0)) -> Move:
    """Turned anticlockwise."""
    return lambda shape: affinity.rotate(shape, degrees, origin=about)


def shifted(dx: float, dy: float) -> Move:
    """Shifted."""
    return lambda shape: affinity.translate(shape, dx, dy)


def mirrored(shape: BaseGeometry) -> BaseGeometry:
    """Left and right exchanged: the part for the other hand."""
    return affinity.scale(shape, -1.0, 1.0, origin=(0.0, 0.0))


def stay(shape: BaseGeometry) -> BaseGeometry:
    """Where it is."""
    return shape


def surroundings(place: str, move: Move = stay) -> Surroundings:
    """What stands round and over a part of the demonstration."""
    assembly, own = place.split("-")
    rest = {
        other: drawing for other, drawing in drawings().items() if other.startswith(f"{assembly}-") and other != place
    }
    higher = list(DECKS[DECKS.index(own[0]) + 1 :]) if own[0] in DECKS else []
    next_deck = next((deck for deck in higher if any(other.split("-")[1][0] == deck for other in rest)), None)

    def on(deck: str | None) -> tuple[Drawing, ...]:
        return tuple(moved(drawing, move) for other, drawing in rest.items() if other.split("-")[1][0] == deck)

    return Surroundings(neighbours=on(own[0]), above=on(next_deck))


def face_in_kit(place: str, move: Move = stay) -> Face:
    """The face of a part of the demonstration, with what stands round and over it, all moved alike."""
    return face_of(moved(drawings()[place], move), surroundings(place, move))
