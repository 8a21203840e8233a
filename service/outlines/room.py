"""A rectangle for an engraving on a part, and the point where a short label sits best."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from service.outlines.drawing import Drawing


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle in part coordinates.

    Attributes:
        centre: its centre, in mm.
        width_mm: extent along the direction of the text.
        height_mm: extent across it.
        angle_deg: direction of the width, in degrees anticlockwise from the x axis. Where ``by_rule`` holds it is the
            direction of reading, above -180 and up to 180, and the tops of letters lie on its left.
        by_rule: whether the direction of reading was chosen, for one with the tops of letters toward the centre of the
            machine; otherwise only the line is given, and text on it reads from below or from the right.
    """

    centre: tuple[float, float]
    width_mm: float
    height_mm: float
    angle_deg: float
    by_rule: bool = False

    def polygon(self) -> Polygon:
        """The rectangle as a polygon."""
        x, y = self.centre
        half_width, half_height = self.width_mm / 2, self.height_mm / 2
        upright = shapely.box(x - half_width, y - half_height, x + half_width, y + half_height)
        turned = affinity.rotate(upright, self.angle_deg, origin=self.centre)
        assert isinstance(turned, Polygon)
        return turned


def label_point(drawing: Drawing) -> tuple[float, float]:
    """The point of the largest piece that is farthest from its borders and holes, in mm: the best place for a label."""
    largest = max(drawing.material.geoms, key=lambda polygon: polygon.area)
    size = max(drawing.width_mm, drawing.height_mm)
    thinned = shapely.simplify(largest, size / 1000)
    radius = shapely.maximum_inscribed_circle(thinned, tolerance=size / 500)
    x, y = radius.coords[0]
    return float(x), float(y)
