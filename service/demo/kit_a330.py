"""The kit of the filler-capper of line 4 for the sport 330 mL: waisted, so only the upper deck differs."""

from __future__ import annotations

from dataclasses import replace

from service.demo import filler_guides as guides
from service.demo.filler_stars import DISCHARGE_ZONE, SMALL_ZONE, discharge_star, small_star
from service.demo.kit import Assembly, Kit, Segment, SharedSegment
from service.demo.kit_a500 import UPPER_MM, star_segments
from service.demo.layout import FillerCapper
from service.demo.scenario import A330, FILLER_CAPPER, LINE_4, OSTREY_VALE
from service.numbering.number import KitNumber, Number, Place

WAIST_MM = 58.0
"""The largest measured body at the height of the upper deck."""


def kit_a330() -> Kit:
    """The kit OSV4-FC1-A330. The foot is as wide as the 500 mL's, so the lower centre guide stays on."""
    machine = FillerCapper.of_line_4()
    infeed = replace(small_star(machine.infeed, WAIST_MM), zone=SMALL_ZONE)
    discharge = replace(discharge_star(machine.discharge, WAIST_MM), zone=DISCHARGE_ZONE)
    leaving = replace(small_star(machine.exit, WAIST_MM), zone=SMALL_ZONE)
    first, second = guides.centre_guide_1_split(machine, WAIST_MM)
    shared = Number(KitNumber.parse("OSV4-FC1-A500"), Place.parse("CG1-L1"))
    return Kit(
        plant=OSTREY_VALE,
        line=LINE_4,
        machine=FILLER_CAPPER,
        container=A330,
        stock_colour="blue",
        assemblies=(
            Assembly("SW", 1, "infeed star wheel", star_segments("U", UPPER_MM, infeed)),
            Assembly("SW", 2, "discharge star wheel", star_segments("U", UPPER_MM, discharge)),
            Assembly("SW", 4, "exit star wheel", star_segments("U", UPPER_MM, leaving)),
            Assembly(
                "CG",
                1,
                "centre guide, infeed",
                (
                    SharedSegment("L", 1, str(shared)),
                    Segment("U", 1, first, UPPER_MM),
                    Segment("U", 2, second, UPPER_MM),
                ),
            ),
        ),
    )
