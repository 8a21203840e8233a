"""Interlocking joints: the line along which a part is split, with lobes that lock the two sides together.

A joint is drawn once as its middle line, smooth throughout (lines and arcs that run into each other without a kink),
and each side is the middle line shifted by half the clearance. So the gap is the same everywhere, and shifting changes
a corner radius only by half the clearance.

Proportions (common practice, no source): the neck is at least a third of the lobe's width, no corner is tighter than
the cutter, and the clearance is 0.1 to 0.3 mm a side.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, degrees, radians, sin
from typing import Literal

from service.demo.contour import Contour, Hit, Vertex, joined
from service.demo.shapes import arc, rounded

CUTTER_RADIUS_MM = 3.0
"""The shop routs with a 6 mm cutter."""

CLEARANCE_MM = 0.15
"""The gap that the shop leaves between the two sides of a joint."""

Side = Literal[1, -1]


@dataclass(frozen=True, slots=True)
class Dovetail:
    """A lobe with straight flanks that lean outwards.

    Attributes:
        at_mm: its middle, along the joint from where the joint begins.
        side: 1 when it reaches to the left of the joint's direction, -1 to the right.
        width_mm: its width at the head, between the sharp corners.
        neck_mm: its width at the root, between the sharp corners.
        depth_mm: how far it reaches.
        corner_mm: the radius of its corners on the middle line.
    """

    at_mm: float
    side: Side
    width_mm: float = 28.0
    neck_mm: float = 18.0
    depth_mm: float = 16.0
    corner_mm: float = 3.6

    def chain(self) -> tuple[Vertex, ...]:
        """From the line y = 0 and back to it, about x = 0, reaching upwards."""
        neck, head, run = self.neck_mm / 2.0, self.width_mm / 2.0, 2.0 * self.width_mm
        points = [(-run, 0.0), (-neck, 0.0), (-head, self.depth_mm), (head, self.depth_mm), (neck, 0.0), (run, 0.0)]
        return rounded(points, self.corner_mm, closed=False).vertices[1:-1]


@dataclass(frozen=True, slots=True)
class RoundLobe:
    """A lobe with a round head on a waist; its depth follows from its widths and its corners.

    Attributes:
        at_mm: its middle, along the joint from where the joint begins.
        side: 1 when it reaches to the left of the joint's direction, -1 to the right.
        width_mm: the diameter of its head.
        neck_mm: its width at the waist.
        corner_mm: the radius of the two corners that lead into the head.
    """

    at_mm: float
    side: Side
    width_mm: float = 22.0
    neck_mm: float = 13.0
    corner_mm: float = 4.0

    def chain(self) -> tuple[Vertex, ...]:
        """From the line y = 0 and back to it, about x = 0, reaching upwards."""
        radius, corner = self.width_mm / 2.0, self.corner_mm
        aside = self.neck_mm / 2.0 + corner
        # The head touches both corner arcs: its centre is radius + corner away from theirs.
        lean = degrees(acos(aside / (radius + corner)))
        centre = (0.0, corner + (radius + corner) * sin(radians(lean)))
        into = arc((-aside, corner), corner, -90.0, 90.0 + lean)
        head = arc(centre, radius, 180.0 + lean, -(180.0 + 2.0 * lean))
        out = arc((aside, corner), corner, 180.0 - lean, 90.0 + lean)
        return into.vertices[:-1] + head.vertices[:-1] + out.vertices


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint between two segments: lobes of one kind along a straight line, and the gap between its sides.

    Raises:
        ValueError: a neck, a corner or the clearance is out of proportion.
    """

    lobes: tuple[Dovetail, ...] | tuple[RoundLobe, ...]
    clearance_mm: float = CLEARANCE_MM

    def __post_init__(self) -> None:
        if not 0.1 <= self.clearance_mm <= 0.3:
            raise ValueError(f"a clearance of {self.clearance_mm} mm is not between 0.1 and 0.3 mm")
        for lobe in self.lobes:
            if not lobe.width_mm / 3.0 <= lobe.neck_mm < lobe.width_mm:
                raise ValueError(f"a neck of {lobe.neck_mm} mm does not suit a lobe of {lobe.width_mm} mm")
            if lobe.corner_mm - self.clearance_mm / 2.0 < CUTTER_RADIUS_MM:
                raise ValueError(f"a corner of {lobe.corner_mm} mm is too tight for a cutter of {CUTTER_RADIUS_MM} mm")

    @property
    def form(self) -> str:
        """The shape of its lobes, as a manifest names it."""
        return "dovetail" if isinstance(self.lobes[0], Dovetail) else "round lobe"

    def line(self, start: tuple[float, float], heading_deg: float, length_mm: float) -> Contour:
        """The middle line of the joint, ``length_mm`` long from ``start``; lobes are counted from ``start``."""
        vertices = [Vertex(0.0, 0.0)]
        for lobe in self.lobes:
            vertices += [Vertex(x + lobe.at_mm, y * lobe.side, bulge * lobe.side) for x, y, bulge in lobe.chain()]
        vertices.append(Vertex(length_mm, 0.0))
        return Contour(tuple(vertices), closed=False).turned(heading_deg).moved(*start)

    def sides(self, start: tuple[float, float], heading_deg: float, length_mm: float) -> tuple[Contour, Contour]:
        """The edge of the left-hand segment and of the right-hand one, both walked from ``start``."""
        middle = self.line(start, heading_deg, length_mm)
        return middle.offset(self.clearance_mm / 2.0), middle.offset(-self.clearance_mm / 2.0)


def edge_between(edge: Contour, inner: Contour, outer: Contour) -> tuple[Contour, Hit, Hit]:
    """A joint's edge cut back to where its first run meets ``inner`` and its last ``outer``, and these two places."""
    runs = list(edge.edges())
    begins, ends = inner.hit_by(runs[0].end, runs[0].start), outer.hit_by(runs[-1].start, runs[-1].end)
    kept = (Vertex(*inner.place(begins)), *edge.vertices[1:-1], Vertex(*outer.place(ends)))
    return Contour(kept, closed=False), begins, ends


def split(
    whole: Contour, joint: Joint, start: tuple[float, float], heading_deg: float, length_mm: float
) -> tuple[Contour, Contour]:
    """A counter-clockwise contour cut in two along a joint that crosses it from ``start``; the left part first.

    The first and the last straight run of the joint must cross the contour, nothing else of it.
    """
    left, right = joint.sides(start, heading_deg, length_mm)
    left_edge, left_in, left_out = edge_between(left, whole, whole)
    right_edge, right_in, right_out = edge_between(right, whole, whole)
    return (
        joined(whole.between(left_out, left_in), left_edge),
        joined(whole.between(right_in, right_out), right_edge.reversed()),
    )
