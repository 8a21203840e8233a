"""A read drawing as bytes, to be kept beside the revision so that a file need not be read again.

Layout, all numbers little-endian: the magic ``KWO1``; millimetres in a source unit as a float64; the unit's symbol as
one length byte and ASCII; then four lists (material, engraving zones, keep-outs, hubs), each a uint32 count and for
every polygon a uint32 length and its well-known binary (OGC 06-103r4, "Well-known Binary Representation for Geometry").
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon

from service.errors import CutFileAltered
from service.outlines.drawing import Drawing

_MAGIC = b"KWO1"


def to_bytes(drawing: Drawing) -> bytes:
    """The bytes of a drawing; equal drawings give equal bytes."""
    symbol = drawing.units.encode("ascii")
    lists: tuple[Sequence[Polygon], ...] = (
        list(drawing.material.geoms),
        drawing.engraving_zones,
        drawing.keepouts,
        drawing.hubs,
    )
    parts = [_MAGIC, struct.pack("<dB", drawing.mm_per_unit, len(symbol)), symbol]
    for polygons in lists:
        parts.append(struct.pack("<I", len(polygons)))
        for polygon in polygons:
            blob = shapely.to_wkb(polygon, byte_order=1)
            parts += (struct.pack("<I", len(blob)), blob)
    return b"".join(parts)


def from_bytes(data: bytes) -> Drawing:
    """The drawing that ``to_bytes`` wrote.

    Raises:
        CutFileAltered: the bytes are not what ``to_bytes`` wrote.
    """
    try:
        return _parsed(memoryview(data))
    except (struct.error, shapely.GEOSException, ValueError, TypeError) as error:
        raise CutFileAltered(
            f"the kept shape cannot be read ({type(error).__name__})",
            field="shape",
            value=f"{len(data)} bytes",
            todo="Read the cut file again",
        ) from error


def _parsed(data: memoryview) -> Drawing:
    if bytes(data[:4]) != _MAGIC:
        raise ValueError("another form")
    mm_per_unit, length = struct.unpack_from("<dB", data, 4)
    at = 13
    symbol = bytes(data[at : at + length]).decode("ascii")
    at += length
    lists: list[list[Polygon]] = []
    for _ in range(4):
        (count,) = struct.unpack_from("<I", data, at)
        at += 4
        polygons = []
        for _ in range(count):
            (size,) = struct.unpack_from("<I", data, at)
            polygons.append(_polygon(bytes(data[at + 4 : at + 4 + size])))
            at += 4 + size
        lists.append(polygons)
    if at != len(data) or not lists[0]:
        raise ValueError("another length")
    return Drawing(
        material=MultiPolygon(lists[0]),
        engraving_zones=tuple(lists[1]),
        keepouts=tuple(lists[2]),
        hubs=tuple(lists[3]),
        units=symbol,
        mm_per_unit=mm_per_unit,
    )


def _polygon(blob: bytes) -> Polygon:
    geometry = shapely.from_wkb(blob)
    if not isinstance(geometry, Polygon):
        raise TypeError("not a polygon")
    return geometry
