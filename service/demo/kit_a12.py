"""The kit of the labeller of line 1 for the 12 fl oz sauce: one deck, a machine that turns anticlockwise."""

from __future__ import annotations

from dataclasses import replace

from service.demo.contour import Point
from service.demo.filler_guides import CONVEYOR_EDGE_MM
from service.demo.filler_stars import SMALL_ZONE, small_star
from service.demo.guides import Band, clear_of, edge, guide
from service.demo.kit import Assembly, Kit, Segment
from service.demo.kit_a500 import star_segments
from service.demo.layout import Labeller
from service.demo.part import Part
from service.demo.plates import bottle_plate, screw_blank
from service.demo.scenario import A12, LABELLER, LINE_1, MARROWGATE

BODY_MM = 62.9
"""The largest measured body."""

THREE_QUARTER_INCH_MM = 19.05


def kit_a12() -> Kit:
    """The kit MRG1-LB1-A12."""
    machine = Labeller.of_line_1()
    zone = replace(SMALL_ZONE, radius_mm=78.0, width_mm=60.0, height_mm=14.0)
    infeed = replace(small_star(machine.infeed, BODY_MM, "clockwise"), zone=zone)
    discharge = replace(small_star(machine.discharge, BODY_MM, "clockwise"), zone=zone)
    outer = Band(Point(0.0, 0.0), machine.infeed.path_mm(BODY_MM), 58.0, 272.0, 46.0, "anticlockwise").segments()[0]
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
            Assembly(
                "CG", 1, "centre guide", (Segment("U", 1, centre_guide(machine).mirrored(), THREE_QUARTER_INCH_MM),)
            ),
            Assembly(
                "OR",
                1,
                "outer guide, infeed",
                (Segment("U", 1, outer.mirrored(), THREE_QUARTER_INCH_MM, hand="LEFT"),),
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


def centre_guide(machine: Labeller) -> Part:
    """Between infeed and discharge star under the carousel, as on a machine that turns clockwise."""
    infeed, discharge, carousel = machine.infeed, machine.discharge, machine.carousel
    path, base = infeed.path_mm(BODY_MM), CONVEYOR_EDGE_MM + 2.0
    left, right = infeed.centre.x + 0.87 * path, discharge.centre.x - 0.87 * path
    shoulder = infeed.centre.y + 12.0
    corners = [
        edge((left, base), (right, base)),
        clear_of(discharge.centre, path, Point(discharge.centre.x - path, shoulder)),
        clear_of(carousel.centre, carousel.pitch_radius_mm + 50.0, Point(infeed.centre.x + path, shoulder)),
        clear_of(infeed.centre, path, Point(left, base)),
    ]
    middle = carousel.centre.x
    fixings = ((middle - 58.0, base + 30.0), (middle + 58.0, base + 30.0))
    return guide(corners, fixings=fixings).moved(-infeed.centre.x, -infeed.centre.y)
