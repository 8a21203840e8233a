"""The guides of a machine with one carousel between two stars, in coordinates that begin at the infeed star's centre.

They are drawn for a carousel that turns clockwise; a machine that turns the other way takes their mirror images.
"""

from __future__ import annotations

from service.demo.contour import Point
from service.demo.filler_guides import CONVEYOR_EDGE_MM
from service.demo.guides import Band, clear_of, edge, guide
from service.demo.layout import SingleCarousel
from service.demo.part import Part


def outer_guide(machine: SingleCarousel, body_mm: float) -> Part:
    """It sweeps containers off the conveyor into the infeed star, on their right."""
    (part,) = Band(Point(0.0, 0.0), machine.infeed.path_mm(body_mm), 58.0, 272.0, 46.0, "anticlockwise").segments()
    return part


def centre_guide(machine: SingleCarousel, body_mm: float) -> Part:
    """Between infeed and discharge star, from the conveyor up to the carousel."""
    infeed, discharge, carousel = machine.infeed, machine.discharge, machine.carousel
    path, base = infeed.path_mm(body_mm), CONVEYOR_EDGE_MM + 2.0
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
