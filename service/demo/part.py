"""A flat part as it is drawn: outline, holes, and the places that engraving must seek or avoid. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from service.demo.contour import Contour


@dataclass(frozen=True, slots=True)
class Disc:
    """A full circle."""

    centre: tuple[float, float]
    radius_mm: float

    def moved(self, dx_mm: float, dy_mm: float) -> Disc:
        """Shifted."""
        return Disc((self.centre[0] + dx_mm, self.centre[1] + dy_mm), self.radius_mm)

    def mirrored(self) -> Disc:
        """Left and right exchanged: x becomes -x."""
        return Disc((-self.centre[0], self.centre[1]), self.radius_mm)


@dataclass(frozen=True, slots=True)
class Freeform:
    """A smooth closed curve through points, as a spline; it passes the first of them in the direction given."""

    through: tuple[tuple[float, float], ...]
    heading_deg: float

    def moved(self, dx_mm: float, dy_mm: float) -> Freeform:
        """Shifted."""
        return Freeform(tuple((x + dx_mm, y + dy_mm) for x, y in self.through), self.heading_deg)

    def mirrored(self) -> Freeform:
        """Left and right exchanged: x becomes -x."""
        return Freeform(tuple((-x, y) for x, y in self.through), 180.0 - self.heading_deg)


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

    def moved(self, dx_mm: float, dy_mm: float) -> Part:
        """The part in coordinates whose origin lies at (-dx, -dy) of these."""
        return Part(
            self.outline.moved(dx_mm, dy_mm),
            tuple(hole.moved(dx_mm, dy_mm) for hole in self.holes),
            tuple(hub.moved(dx_mm, dy_mm) for hub in self.hubs),
            tuple(zone.moved(dx_mm, dy_mm) for zone in self.engraving),
            tuple(keepout.moved(dx_mm, dy_mm) for keepout in self.keepouts),
        )

    def mirrored(self) -> Part:
        """The part for a machine that turns the other way: x becomes -x."""
        return Part(
            self.outline.mirrored(),
            tuple(hole.mirrored() for hole in self.holes),
            tuple(hub.mirrored() for hub in self.hubs),
            tuple(zone.mirrored() for zone in self.engraving),
            tuple(keepout.mirrored() for keepout in self.keepouts),
        )
