"""Where the short label of a part stands in its picture: inside the outline as large as it fits, else mostly on it."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import prepare
from shapely.geometry import MultiPolygon, Polygon, box

Spot = tuple[float, float]


def label_spot(
    shape: MultiPolygon, widest: Spot, text: str, sizes: Sequence[float]
) -> tuple[float, float, float, bool]:
    """Middle and size of the label, and whether it lies inside the part.

    The widest spot, the centre of area and spots round it are tried, from the largest size down; if none holds the
    text, the smallest size goes where most of it lies on the part.

    Args:
        shape: the part in the units of the picture.
        widest: its point that is farthest from its borders.
        text: the label.
        sizes: sizes of type, the largest first.
    """
    centre = shape.centroid
    left, top, right, bottom = shape.bounds
    aside, above = 0.28 * (right - left), 0.28 * (bottom - top)
    spots = (
        widest,
        *((centre.x, centre.y + share * above) for share in (0.0, -1.0, 1.0)),
        *((centre.x + share * aside, centre.y) for share in (-1.0, 1.0, -0.5, 0.5)),
    )
    prepare(shape)
    for size in sizes:
        for x, y in spots:
            if shape.contains(_text_box(x, y, text, size)):
                return x, y, size, True
    size = sizes[-1]
    x, y = max(spots, key=lambda spot: shape.intersection(_text_box(spot[0], spot[1], text, size)).area)
    return x, y, size, False


def _text_box(x: float, y: float, text: str, size: float) -> Polygon:
    return box(x - 0.33 * size * len(text), y - 0.45 * size, x + 0.33 * size * len(text), y + 0.45 * size)
