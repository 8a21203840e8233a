"""Guides: bands concentric with a star wheel, centre guides between star wheels, straight lead-ins and rails.

Centres are those of the coordinates that the caller draws in. Segments are numbered from the infeed, so along the flow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.demo.contour import Contour, Point, bearing, polar
from service.demo.fillets import Corner, Round, Straight, bounded
from service.demo.joints import Joint, split
from service.demo.part import Disc, Part
from service.demo.shapes import slot
from service.demo.star import Rotation

END_CORNER_MM = 6.0
LEAD_IN_MM = 16.0
"""The rounding of the corner that a container meets first."""


@dataclass(frozen=True, slots=True)
class Band:
    """A guide concentric with a star wheel, outside the path of the containers.

    Attributes:
        centre: the wheel's centre.
        guide_radius_mm: the radius of the edge that guides.
        width_mm: the width of the band.
        from_deg: where it begins, in the direction of flow.
        sweep_deg: how far it goes, a positive angle.
        flow: the direction of flow about the centre.
        joints: one for each split, along the flow; one fewer than the segments.
        fixing_mm: length and width of the fixing slots, two in every segment.
    """

    centre: Point
    guide_radius_mm: float
    width_mm: float
    from_deg: float
    sweep_deg: float
    flow: Rotation
    joints: tuple[Joint, ...] = ()
    fixing_mm: tuple[float, float] = (22.0, 9.0)

    def segments(self) -> tuple[Part, ...]:
        """The segments, along the flow."""
        count = len(self.joints) + 1
        forward = self.flow == "anticlockwise"
        begin_deg = self.from_deg if forward else self.from_deg - self.sweep_deg
        step = self.sweep_deg / count
        rest = self.whole()
        outlines: list[Contour] = []
        for index in range(1, count):
            joint = self.joints[index - 1 if forward else count - 1 - index]
            reach = self.guide_radius_mm + self.width_mm + 20.0
            rest, cut_off = split(rest, joint, self.centre, begin_deg + index * step, reach)
            outlines.append(cut_off)
        outlines.append(rest)
        parts = tuple(
            Part(outline, holes=self._fixings(begin_deg + index * step, step)) for index, outline in enumerate(outlines)
        )
        return parts if forward else parts[::-1]

    def whole(self) -> Contour:
        """The band before it is split, counter-clockwise."""
        forward = self.flow == "anticlockwise"
        low = self.from_deg if forward else self.from_deg - self.sweep_deg
        high = low + self.sweep_deg
        inner, outer = self.guide_radius_mm, self.guide_radius_mm + self.width_mm
        low_inner, high_inner = (LEAD_IN_MM, END_CORNER_MM) if forward else (END_CORNER_MM, LEAD_IN_MM)
        return bounded(
            [
                Corner(Straight(polar(inner, low, self.centre), low), polar(outer, low, self.centre), END_CORNER_MM),
                Corner(Round(self.centre, outer, True), polar(outer, high, self.centre), END_CORNER_MM),
                Corner(
                    Straight(polar(outer, high, self.centre), high + 180.0),
                    polar(inner, high, self.centre),
                    high_inner,
                ),
                Corner(Round(self.centre, inner), polar(inner, low, self.centre), low_inner),
            ]
        )

    def _fixings(self, begin_deg: float, step_deg: float) -> tuple[Contour | Disc, ...]:
        middle_mm = self.guide_radius_mm + self.width_mm * 0.6
        return tuple(
            slot(
                polar(middle_mm, begin_deg + step_deg * share, self.centre),
                *self.fixing_mm,
                begin_deg + step_deg * share,
            )
            for share in (0.27, 0.73)
        )


def clear_of(centre: Point, path_radius_mm: float, near: Point, corner_mm: float = END_CORNER_MM) -> Corner:
    """An edge concentric with a wheel, material outside; walked clockwise about the wheel until ``near``."""
    return Corner(Round(centre, path_radius_mm), near, corner_mm)


def edge(start: tuple[float, float], end: tuple[float, float], corner_mm: float = END_CORNER_MM) -> Corner:
    """A straight edge towards ``end``, material on its left."""
    return Corner(Straight(Point(*start), bearing(start, end)), Point(*end), corner_mm)


def guide(corners: Sequence[Corner], *, fixings: Sequence[tuple[float, float]] = (), fixing_mm: float = 9.0) -> Part:
    """A guide of one piece with round fixing holes."""
    return Part(bounded(corners), holes=tuple(Disc(centre, fixing_mm / 2.0) for centre in fixings))


def in_two(whole: Part, joint: Joint, start: Point, heading_deg: float, length_mm: float) -> tuple[Part, Part]:
    """A guide split along a line from ``start``; the part on the left of the line first. Each keeps its own holes.

    Raises:
        TypeError: the guide's outline is no contour of lines and arcs.
    """
    if not isinstance(whole.outline, Contour):
        raise TypeError("only an outline of lines and arcs can be split")
    left, right = split(whole.outline, joint, start, heading_deg, length_mm)
    ahead = polar(length_mm, heading_deg, start)
    left_holes = tuple(hole for hole in whole.holes if isinstance(hole, Disc) and _is_left(hole.centre, start, ahead))
    right_holes = tuple(hole for hole in whole.holes if hole not in left_holes)
    return Part(left, holes=left_holes), Part(right, holes=right_holes)


def _is_left(point: tuple[float, float], start: Point, ahead: Point) -> bool:
    return (ahead.x - start.x) * (point[1] - start.y) > (ahead.y - start.y) * (point[0] - start.x)


def rail(start: tuple[float, float], length_mm: float, width_mm: float, *, lead_in_above: bool) -> Part:
    """A straight rail along +x from its lower left corner, slotted for its clamps.

    Args:
        start: the lower left corner.
        length_mm: along the conveyor.
        width_mm: across.
        lead_in_above: the containers run along the upper edge, so that its infeed corner is the well rounded one.
    """
    x, y = start
    upper, lower = (LEAD_IN_MM, END_CORNER_MM) if lead_in_above else (END_CORNER_MM, LEAD_IN_MM)
    outline = bounded(
        [
            edge((x, y), (x + length_mm, y)),
            edge((x + length_mm, y), (x + length_mm, y + width_mm)),
            edge((x + length_mm, y + width_mm), (x, y + width_mm), upper),
            edge((x, y + width_mm), (x, y), lower),
        ]
    )
    count = max(2, round(length_mm / 180.0))
    clamps = tuple(
        slot((x + length_mm * (index + 0.5) / count, y + width_mm / 2.0), 30.0, 9.0) for index in range(count)
    )
    return Part(outline, holes=clamps)
