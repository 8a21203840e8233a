"""The guides and rails of the filler-capper, for a container of a given body, in the coordinates of their assemblies.

Each assembly's origin is the centre of the star wheel upstream of it; rails begin at the origin.
"""

from __future__ import annotations

from service.demo.contour import Contour, Point, bearing, polar
from service.demo.fillets import Corner, Round
from service.demo.guides import Band, clear_of, edge, guide, in_two, rail
from service.demo.joints import Dovetail, Joint, RoundLobe
from service.demo.layout import SIDE_CLEARANCE_MM, FillerCapper
from service.demo.part import Part
from service.demo.shapes import rectangle

CAROUSEL_RIM_MM = 62.0
"""How far the bottle plates and their ring reach beyond the carousel's pitch circle."""

CONVEYOR_EDGE_MM = 47.0
"""Half the width of the conveyor with its wear strips."""


def centre_guide_1(machine: FillerCapper, body_mm: float) -> Part:
    """Between infeed and discharge star: it leads containers into the carousel and out of it."""
    infeed, carousel, discharge = machine.infeed, machine.carousel, machine.discharge
    left, right, base = infeed.path_mm(body_mm), discharge.path_mm(body_mm), 95.0
    top = Point(180.0, 290.0)
    corners = [
        edge((180.0, base), (discharge.centre.x - 0.58 * right, base)),
        clear_of(discharge.centre, right, Point(top.x + 60.0, top.y)),
        clear_of(carousel.centre, carousel.pitch_radius_mm + CAROUSEL_RIM_MM, Point(top.x - 50.0, top.y)),
        clear_of(infeed.centre, left, Point(infeed.centre.x + left, base)),
    ]
    fixings = ((200.0, 118.0), (272.0, 116.0), (182.0, 262.0))
    return guide(corners, fixings=fixings).moved(-infeed.centre.x, -infeed.centre.y)


def centre_guide_1_split(machine: FillerCapper, body_mm: float) -> tuple[Part, Part]:
    """The same guide in two: the half at the conveyor, where the containers come in, then the half at the carousel."""
    whole = centre_guide_1(machine, body_mm)
    across_deg = bearing(machine.infeed.centre, machine.discharge.centre)
    waist_mm = machine.infeed.path_mm(body_mm) + 37.0
    joint = Joint((Dovetail(waist_mm, 1, width_mm=26.0, neck_mm=17.0, depth_mm=15.0),))
    upper, lower = in_two(whole, joint, Point(0.0, 0.0), across_deg, waist_mm + 90.0)
    return lower, upper


def centre_guide_2(machine: FillerCapper, body_mm: float) -> Part:
    """Above discharge and capper star: it takes over from the discharge star and leads into the capper star."""
    discharge, capper = machine.discharge, machine.capper
    path = capper.path_mm(body_mm)
    left, top = discharge.centre.x + 55.0, discharge.centre.y + 290.0
    corners = [
        clear_of(capper.centre, path, Point(capper.centre.x - 0.88 * path, top)),
        edge((left + 150.0, top), (left, top)),
        edge((left, top), (left, discharge.centre.y + discharge.sweep_mm)),
        Corner(Round(discharge.centre, discharge.sweep_mm), polar(path, 177.0, capper.centre), 4.0),
    ]
    fixings = ((left + 24.0, top - 22.0), (left + 104.0, top - 22.0), (left + 78.0, top - 84.0))
    return guide(corners, fixings=fixings).moved(-discharge.centre.x, -discharge.centre.y)


def centre_guide_3(machine: FillerCapper, body_mm: float) -> Part:
    """Between capper and exit star, down to the conveyor."""
    capper, leaving = machine.capper, machine.exit
    path, left = leaving.path_mm(body_mm), capper.centre.x + 10.0
    base = CONVEYOR_EDGE_MM + 2.0
    tip = polar(capper.sweep_mm, bearing(capper.centre, leaving.centre) - 18.0, capper.centre)
    corners = [
        edge((left, base), (leaving.centre.x - 0.84 * path, base)),
        clear_of(leaving.centre, path, tip, 4.0),
        clear_of(capper.centre, capper.sweep_mm, Point(left, capper.centre.y - capper.sweep_mm)),
        edge((left, base + 100.0), (left, base)),
    ]
    fixings = ((left + 22.0, base + 20.0), (left + 112.0, base + 20.0))
    return guide(corners, fixings=fixings).moved(-capper.centre.x, -capper.centre.y)


def infeed_outer_guides(machine: FillerCapper, body_mm: float) -> tuple[Part, Part, Part]:
    """Two segments on the right that sweep containers off the conveyor, and the third that leads in on the left."""
    infeed = machine.infeed
    path, centre = infeed.path_mm(body_mm), Point(0.0, 0.0)
    joint = Joint((Dovetail(path + 31.0, 1, width_mm=24.0, neck_mm=15.0, depth_mm=14.0),))
    first, second = Band(centre, path, 62.0, 278.0, 60.0, "anticlockwise", (joint,)).segments()
    low, high, left = body_mm / 2.0 + SIDE_CLEARANCE_MM, 112.0, -330.0
    corners = [
        edge((left, low), (-100.0, low), 4.0),
        clear_of(infeed.centre, infeed.sweep_mm, Point(-145.0, high)),
        edge((-145.0, high), (left, high)),
        edge((left, high), (left, low), 16.0),
    ]
    lead_in = guide(corners, fixings=((-290.0, 82.0), (-215.0, 82.0), (-168.0, 82.0)))
    return first, second, lead_in.moved(-infeed.centre.x, -infeed.centre.y)


def discharge_outer_guides(machine: FillerCapper, body_mm: float) -> tuple[Part, ...]:
    """Round the discharge star on the containers' right, in two segments."""
    path = machine.discharge.path_mm(body_mm)
    joint = Joint((RoundLobe(path + 33.0, -1),))
    return Band(Point(0.0, 0.0), path, 66.0, 240.0, 95.0, "anticlockwise", (joint,)).segments()


def capper_outer_guides(machine: FillerCapper, body_mm: float) -> tuple[Part, ...]:
    """Round the capper star on the containers' left, in three segments."""
    path = machine.capper.path_mm(body_mm)
    joints = (Joint((Dovetail(path + 33.0, 1),)), Joint((Dovetail(path + 33.0, -1),)))
    return Band(Point(0.0, 0.0), path, 66.0, 147.0, 158.0, "clockwise", joints).segments()


def neck_guides(machine: FillerCapper, neck_mm: float) -> tuple[Part, ...]:
    """Under the neck ring round the capper star, on the containers' left, in two segments."""
    path = machine.capper.path_mm(neck_mm)
    joint = Joint((RoundLobe(path + 24.0, 1, width_mm=18.0, neck_mm=11.0),))
    band = Band(Point(0.0, 0.0), path, 48.0, 140.0, 130.0, "clockwise", (joint,), fixing_mm=(18.0, 7.0))
    return band.segments()


def rails(length_mm: float, body_mm: float) -> tuple[Part, Part]:
    """Left and right rail of a stretch of conveyor, from where it begins."""
    beside = body_mm / 2.0 + SIDE_CLEARANCE_MM
    return (
        rail((0.0, beside), length_mm, 32.0, lead_in_above=False),
        rail((0.0, -beside - 32.0), length_mm, 32.0, lead_in_above=True),
    )


def centre_guide_1_zone(machine: FillerCapper) -> Contour:
    """Where the half at the conveyor is engraved."""
    return rectangle((235.0 - machine.infeed.centre.x, 134.0 - machine.infeed.centre.y), 72.0, 16.0)
