"""The kit of the filler of line 2 for the square 500 mL: square pockets, which a round 500 mL would not sit in."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from service.demo.carousel_guides import centre_guide, outer_guide
from service.demo.filler_guides import rails
from service.demo.filler_stars import SMALL_ZONE, small_star
from service.demo.kit import Assembly, Kit, Segment
from service.demo.kit_a500 import UPPER_MM, star_segments
from service.demo.layout import SingleCarousel
from service.demo.plates import bottle_plate
from service.demo.scenario import C500, FILLER, LINE_2, OSTREY_VALE

BODY_MM = 62.4
"""The largest measured width, the same both ways."""

BODY_CORNER_MM = 12.0
"""The rounding of the body's upright edges."""

POCKET_CORNER_MM = 10.0
"""The inner corners of a pocket, a little tighter than the body's, so that the faces bear."""


def kit_c500() -> Kit:
    """The kit OSV2-FL1-C500."""
    machine = SingleCarousel.of(pockets=8, plates=24, pitch_mm=114.3)
    infeed, discharge = (
        replace(small_star(wheel, BODY_MM), pocket_corner_mm=POCKET_CORNER_MM, zone=SMALL_ZONE)
        for wheel in (machine.infeed, machine.discharge)
    )
    swept_mm = swept_width_mm(machine.infeed.pitch_radius_mm)
    left, right = rails(620.0, BODY_MM)
    return Kit(
        plant=OSTREY_VALE,
        line=LINE_2,
        machine=FILLER,
        container=C500,
        stock_colour="white",
        assemblies=(
            Assembly("SW", 1, "infeed star wheel", star_segments("U", UPPER_MM, infeed)),
            Assembly("SW", 2, "discharge star wheel", star_segments("U", UPPER_MM, discharge)),
            Assembly("CG", 1, "centre guide", (Segment("U", 1, centre_guide(machine, swept_mm), UPPER_MM),)),
            Assembly(
                "OR",
                1,
                "outer guide, infeed",
                (Segment("U", 1, outer_guide(machine, swept_mm), UPPER_MM, hand="RIGHT"),),
            ),
            Assembly(
                "RL",
                1,
                "rails, infeed",
                (Segment("U", 1, left, 20.0, hand="LEFT"), Segment("U", 2, right, 20.0, hand="RIGHT")),
            ),
            Assembly(
                "BP",
                1,
                "bottle plate",
                (Segment("X", 1, bottle_plate(104.0), 15.0, material="POM-C", quantity=machine.carousel.pockets),),
            ),
        ),
    )


def swept_width_mm(pitch_radius_mm: float) -> float:
    """Twice how far a square body that rides face outwards reaches beyond the pitch circle: its outer edges lead."""
    inner = BODY_MM / 2.0 - BODY_CORNER_MM
    reach_mm = hypot(inner, pitch_radius_mm + inner) + BODY_CORNER_MM
    return 2.0 * (reach_mm - pitch_radius_mm)
