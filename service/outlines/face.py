"""The marked face of a part: which of its edges do what, what lies over it, and where an engraving may go.

The outside of a part is joint, working edge or plain edge. Joints are where the outlines of its neighbours touch it.
Plain are the arcs that bulge away from the axis of the wheel, the tips of a star and the back of a guide, on a part
that shows a hollow edge too. Everything else may be a pocket or an edge that guides, and is treated as one: what cannot
be known gets the larger margin.

Where the drawing has engraving zones, free is what those zones offer on the material, without further margins: whoever
drew the zone has chosen it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from service.outlines.contact import GAP_MM, MIN_LENGTH_MM, lie_over_each_other, near_border
from service.outlines.drawing import Drawing
from service.outlines.wheel_arcs import Axis, axis_of, outline_arcs

MarginName = Literal["full", "reduced", "zone"]

WORKING_MM = 10.0
"""From a pocket or an edge that guides: it wears, and is dressed again (common practice, no source)."""
JOINT_MM = 8.0
"""From an edge that interlocks with a neighbour: it bears the load (common practice, no source)."""
PLAIN_MM = 5.0
"""From an edge that does neither (common practice, no source)."""
HOLE_MM = 5.0
"""From a hole: room for the head of its screw (common practice, no source)."""
HUB_MM = 5.0
"""From what a hub or flange covers (common practice, no source)."""
SHADOW_MM = 3.0
"""From the edge of the deck above, since nobody looks straight down (common practice, no source)."""
LEAST_MM = 5.0
"""No margin is taken back further than this on a part that is too small for the full ones."""


@dataclass(frozen=True, slots=True)
class Margins:
    """Distances that an engraving keeps, in mm.

    Attributes:
        name: ``full``; ``reduced`` where those leave no room; ``zone`` where the drawing says where to engrave.
        working_mm: from pockets, edges that guide, and every edge of which nothing is known.
        joint_mm: from joints.
    """

    name: MarginName
    working_mm: float
    joint_mm: float


FULL = Margins("full", WORKING_MM, JOINT_MM)
STEPS: tuple[Margins, ...] = (
    FULL,
    Margins("reduced", (WORKING_MM + LEAST_MM) / 2, (JOINT_MM + LEAST_MM) / 2),
    Margins("reduced", LEAST_MM, LEAST_MM),
)
"""One after the other, as long as the part has no room."""
ZONE = Margins("zone", 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands round a part in its assembly, all in the same coordinates.

    Attributes:
        neighbours: parts of the same deck.
        above: parts of the next deck above.
        others: further parts of the assembly; they may show its axis.
    """

    neighbours: tuple[Drawing, ...] = ()
    above: tuple[Drawing, ...] = ()
    others: tuple[Drawing, ...] = ()


ALONE = Surroundings()


@dataclass(frozen=True, slots=True)
class Face:
    """The face of a part that is engraved.

    Attributes:
        drawing: the part.
        axis: where the tops of letters point, if that is known.
        joints: the stretches of its outside that touch a neighbour.
        working: the stretches that are, or may be, pockets and edges that guide.
        plain: the other stretches.
        shadow: what the deck above covers of it.
        neighbours: the parts beside it that touch it.
    """

    drawing: Drawing
    axis: Axis | None
    joints: BaseGeometry
    working: BaseGeometry
    plain: BaseGeometry
    shadow: BaseGeometry
    neighbours: tuple[Drawing, ...]

    @property
    def steps(self) -> tuple[Margins, ...]:
        """The margins to try for the text, the largest first."""
        return (ZONE,) if self.drawing.engraving_zones else STEPS

    def free(self, margins: Margins = FULL, *, seen: bool = True) -> BaseGeometry:
        """Where an engraving may go.

        Args:
            margins: the distances that it keeps.
            seen: whether it must be seen when the deck above is mounted.
        """
        drawing = self.drawing
        blocked = [*drawing.keepouts, *(hub.buffer(HUB_MM) for hub in drawing.hubs)]
        if seen and not self.shadow.is_empty:
            blocked.append(self.shadow.buffer(SHADOW_MM))
        if margins.name == "zone":
            zone = shapely.union_all(list(drawing.engraving_zones))
            return zone.intersection(drawing.material).difference(shapely.union_all(blocked))
        blocked += [Polygon(hole).buffer(HOLE_MM) for part in drawing.material.geoms for hole in part.interiors]
        blocked += [
            edge.buffer(distance)
            for edge, distance in (
                (self.working, margins.working_mm),
                (self.joints, margins.joint_mm),
                (self.plain, PLAIN_MM),
            )
            if not edge.is_empty
        ]
        return drawing.material.difference(shapely.union_all(blocked))


def face_of(drawing: Drawing, around: Surroundings = ALONE) -> Face:
    """What is known of the face of a part from its outline and those round it."""
    material = drawing.material
    solid = MultiPolygon([Polygon(part.exterior) for part in material.geoms])
    outside = solid.boundary
    axis = axis_of(drawing, (*around.neighbours, *around.above, *around.others))
    touching = [other for other in around.neighbours if _touches(material, other.material)]
    joints = shapely.union_all([near_border(solid, other.material, GAP_MM) for other in touching])
    plain = _plain(drawing, axis)
    return Face(
        drawing=drawing,
        axis=axis,
        joints=joints,
        # What the hub covers, the bore for one, needs no margin of its own: the hub has one.
        working=outside.difference(shapely.union_all([joints, plain, *drawing.hubs]).buffer(1e-6)),
        plain=plain.difference(joints.buffer(1e-6)),
        shadow=_shadow(material, around.above),
        neighbours=tuple(touching),
    )


def _touches(one: BaseGeometry, other: BaseGeometry) -> bool:
    if not shapely.dwithin(one, other, GAP_MM) or lie_over_each_other(one, other):
        return False
    return bool(near_border(one, other, GAP_MM).length >= MIN_LENGTH_MM)


def _plain(drawing: Drawing, axis: Axis | None) -> BaseGeometry:
    """Arcs about the axis that bulge away from it, on parts whose outside has a hollow edge as well."""
    if axis is None:
        return Polygon()
    arcs = [arc for part in drawing.material.geoms for arc in outline_arcs(part.exterior)]
    hubs = shapely.union_all(list(drawing.hubs))
    # The bore is hollow too, and tells nothing.
    if not any(not arc.convex and not hubs.covers(arc.line) and arc.wide for arc in arcs):
        return Polygon()
    return shapely.union_all([arc.line for arc in arcs if arc.convex and arc.wide and arc.about(axis.at)])


def _shadow(material: BaseGeometry, above: Sequence[Drawing]) -> BaseGeometry:
    """What parts of another deck cover, their holes and the gaps of their joints included."""
    if not above:
        return Polygon()
    solid = [Polygon(part.exterior) for other in above for part in other.material.geoms]
    closed = shapely.union_all(solid).buffer(GAP_MM, join_style="mitre").buffer(-GAP_MM, join_style="mitre")
    return material.intersection(closed)
