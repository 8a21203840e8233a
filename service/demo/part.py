"""A flat part as it is drawn: its outline, its holes, and the places that engraving must seek or avoid. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from service.demo.contour import Contour


@dataclass(frozen=True, slots=True)
class Disc:
    """A full circle."""

    centre: tuple[float, float]
    radius_mm: float


@dataclass(frozen=True, slots=True)
class Freeform:
    """A smooth closed curve through points, as a spline; it passes the first of them in the direction given."""

    through: tuple[tuple[float, float], ...]
    heading_deg: float


@dataclass(frozen=True, slots=True)
class Part:
    """One segment's shape, in the coordinates of its assembly.

    Attributes:
        outline: the outer edge.
        holes: what is cut out of it.
        hubs: where a hub or a clamp covers the part.
        engraving: where the shop wants the engraving.
        keepouts: where nothing may be engraved: under bolt heads, along pocket edges.
    """

    outline: Contour | Disc | Freeform
    holes: tuple[Contour | Disc, ...] = ()
    hubs: tuple[Disc, ...] = ()
    engraving: tuple[Contour, ...] = ()
    keepouts: tuple[Disc, ...] = ()
