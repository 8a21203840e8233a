"""Where the wheels of the machines stand.

Machine coordinates in mm: the conveyor runs along y = 0 in the direction of +x, and the first star wheel stands over
x = 0. Two wheels that hand containers to each other touch with their pitch circles and turn opposite ways.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.demo.contour import Point, polar
from service.demo.star import pitch_diameter_mm

SIDE_CLEARANCE_MM = 1.5
"""Between a container of the largest measured body and the guide beside it."""

TIP_CLEARANCE_MM = 4.0
"""Between the tips of a turning wheel and a standing part."""


@dataclass(frozen=True, slots=True)
class Wheel:
    """A star wheel or a carousel: where it stands, and how many containers it holds how far apart."""

    centre: Point
    pockets: int
    pitch_mm: float

    @property
    def pitch_radius_mm(self) -> float:
        """The radius on which the containers travel."""
        return pitch_diameter_mm(self.pockets, self.pitch_mm) / 2.0

    @property
    def sweep_mm(self) -> float:
        """The radius at which a standing part clears the wheel's tips."""
        return self.pitch_radius_mm + TIP_CLEARANCE_MM

    def path_mm(self, body_mm: float) -> float:
        """The radius at which a guide clears containers of this diameter that ride in the wheel."""
        return self.pitch_radius_mm + body_mm / 2.0 + SIDE_CLEARANCE_MM

    def next_to(self, direction_deg: float, pockets: int) -> Wheel:
        """The wheel of the same pitch that touches this one in a direction."""
        apart_mm = self.pitch_radius_mm + pitch_diameter_mm(pockets, self.pitch_mm) / 2.0
        return Wheel(polar(apart_mm, direction_deg, self.centre), pockets, self.pitch_mm)


def over_conveyor(pockets: int, pitch_mm: float, x_mm: float = 0.0) -> Wheel:
    """A wheel whose pitch circle touches the conveyor's middle line from above."""
    return Wheel(Point(x_mm, pitch_diameter_mm(pockets, pitch_mm) / 2.0), pockets, pitch_mm)


@dataclass(frozen=True, slots=True)
class FillerCapper:
    """Infeed star, filler carousel, discharge star, capper star and exit star, on a pitch of 4½ inches.

    The carousel and the capper star turn clockwise, the other three anticlockwise.
    """

    infeed: Wheel
    carousel: Wheel
    discharge: Wheel
    capper: Wheel
    exit: Wheel

    @classmethod
    def of_line_4(cls) -> FillerCapper:
        """The machine of line 4: 40 filling valves, 16 capping heads."""
        infeed = over_conveyor(8, 114.3)
        carousel = infeed.next_to(100.0, 40)
        discharge = carousel.next_to(-48.0, 12)
        capper = discharge.next_to(15.0, 16)
        # The exit star touches the capper star and the conveyor.
        exit_star = over_conveyor(8, 114.3)
        apart_mm = capper.pitch_radius_mm + exit_star.pitch_radius_mm
        rise_mm = capper.centre.y - exit_star.centre.y
        x_mm = capper.centre.x + (apart_mm**2 - rise_mm**2) ** 0.5
        return cls(infeed, carousel, discharge, capper, over_conveyor(8, 114.3, x_mm))


@dataclass(frozen=True, slots=True)
class SingleCarousel:
    """Infeed star, carousel and discharge star, drawn as if the carousel turned clockwise; symmetrical about it."""

    infeed: Wheel
    carousel: Wheel
    discharge: Wheel

    @classmethod
    def of(cls, *, pockets: int, plates: int, pitch_mm: float) -> SingleCarousel:
        """A machine with two stars of ``pockets`` and a carousel of ``plates``."""
        infeed = over_conveyor(pockets, pitch_mm)
        carousel = infeed.next_to(55.0, plates)
        return cls(infeed, carousel, over_conveyor(pockets, pitch_mm, 2.0 * carousel.centre.x))
