"""The kit of the labeller of line 1 for the 12 fl oz sauce: one deck, a machine that turns anticlockwise."""

from __future__ import annotations

from dataclasses import replace

from service.demo.carousel_guides import centre_guide, outer_guide
from service.demo.filler_stars import SMALL_ZONE, small_star
from service.demo.kit import Assembly, Kit, Segment
from service.demo.kit_a500 import star_segments
from service.demo.layout import SingleCarousel
from service.demo.plates import bottle_plate, screw_blank
from service.demo.scenario import A12, LABELLER, LINE_1, MARROWGATE

BODY_MM = 62.9
"""The largest measured body."""

THREE_QUARTER_INCH_MM = 19.05


def kit_a12() -> Kit:
    """The kit MRG1-LB1-A12."""
    machine = SingleCarousel.of(pockets=8, plates=18, pitch_mm=101.6)
    zone = replace(SMALL_ZONE, radius_mm=78.0, width_mm=60.0, height_mm=14.0)
    infeed = replace(small_star(machine.infeed, BODY_MM, "clockwise"), zone=zone)
    discharge = replace(small_star(machine.discharge, BODY_MM, "clockwise"), zone=zone)
    centre, outer = (part.mirrored() for part in (centre_guide(machine, BODY_MM), outer_guide(machine, BODY_MM)))
    return Kit(
        plant=MARROWGATE,
        line=LINE_1,
        machine=LABELLER,
        container=A12,
        stock_colour="yellow",
        assemblies=(
            Assembly("TS", 1, "timing screw, infeed", (Segment("X", 1, screw_blank(406.4, 88.9), 88.9, unit="in"),)),
            Assembly("SW", 1, "infeed star wheel", star_segments("U", THREE_QUARTER_INCH_MM, infeed)),
            Assembly("SW", 2, "discharge star wheel", star_segments("U", THREE_QUARTER_INCH_MM, discharge)),
            Assembly("CG", 1, "centre guide", (Segment("U", 1, centre, THREE_QUARTER_INCH_MM),)),
            Assembly(
                "OR",
                1,
                "outer guide, infeed",
                (Segment("U", 1, outer, THREE_QUARTER_INCH_MM, hand="LEFT"),),
            ),
            Assembly(
                "BP",
                1,
                "bottle plate",
                (
                    Segment(
                        "X",
                        1,
                        bottle_plate(96.0),
                        12.7,
                        material="POM-C",
                        quantity=machine.carousel.pockets,
                    ),
                ),
            ),
        ),
    )
