"""Guides: they clear the containers and the wheels, they split along the flow, and their halves fit."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import hypot

import pytest
from shapely import Point as Spot
from shapely import unary_union
from shapely.geometry.base import BaseGeometry

from service.demo import filler_guides as guides
from service.demo.carousel_guides import centre_guide, outer_guide
from service.demo.contour import Point, polar
from service.demo.guides import Band
from service.demo.joints import Dovetail, Joint
from service.demo.layout import SIDE_CLEARANCE_MM, TIP_CLEARANCE_MM, FillerCapper, SingleCarousel, Wheel
from service.demo.part import Part
from tests.demo.flattened import material

BODY_MM = 65.8
MACHINE = FillerCapper.of_line_4()


def standing(parts: tuple[Part, ...], wheel: Wheel) -> list[BaseGeometry]:
    """Parts of an assembly in the machine's coordinates."""
    return [material(part.moved(*wheel.centre)) for part in parts]


DECK: dict[str, list[BaseGeometry]] = {
    "CG1": standing(guides.centre_guide_1_split(MACHINE, BODY_MM), MACHINE.infeed),
    "CG2": standing((guides.centre_guide_2(MACHINE, BODY_MM),), MACHINE.discharge),
    "CG3": standing((guides.centre_guide_3(MACHINE, BODY_MM),), MACHINE.capper),
    "OR1": standing(guides.infeed_outer_guides(MACHINE, BODY_MM), MACHINE.infeed),
    "OR2": standing(guides.discharge_outer_guides(MACHINE, BODY_MM), MACHINE.discharge),
    "OR3": standing(guides.capper_outer_guides(MACHINE, BODY_MM), MACHINE.capper),
}


def test_no_two_parts_of_a_deck_overlap() -> None:
    parts = [part for assembly in DECK.values() for part in assembly]
    assert len(parts) == 12
    for first, second in combinations(parts, 2):
        assert first.intersection(second).area < 0.01


@pytest.mark.parametrize("name", ["infeed", "discharge", "capper", "exit"])
def test_every_standing_part_clears_the_tips_of_every_wheel(name: str) -> None:
    wheel: Wheel = getattr(MACHINE, name)
    turning = Spot(wheel.centre).buffer(wheel.pitch_radius_mm, quad_segs=200)
    assert min(part.distance(turning) for parts in DECK.values() for part in parts) > TIP_CLEARANCE_MM - 0.01


@pytest.mark.parametrize(
    ("name", "from_deg", "to_deg"),
    # Where containers ride, in the direction of flow: from where a wheel takes them over to where it hands them on.
    [("infeed", 270, 460), ("discharge", 132, 375), ("capper", 195, -41), ("exit", 139, 270)],
)
def test_containers_on_their_way_through_the_wheels_touch_no_guide(name: str, from_deg: float, to_deg: float) -> None:
    wheel: Wheel = getattr(MACHINE, name)
    for step in range(81):
        place = polar(wheel.pitch_radius_mm, from_deg + (to_deg - from_deg) * step / 80, wheel.centre)
        container = Spot(place).buffer(BODY_MM / 2, quad_segs=60)
        nearest = min(part.distance(container) for parts in DECK.values() for part in parts)
        assert nearest > SIDE_CLEARANCE_MM - 0.02


@pytest.mark.parametrize(
    ("assembly", "wheel"),
    [
        ("CG1", "infeed"),
        ("CG1", "discharge"),
        ("CG2", "capper"),
        ("CG3", "exit"),
        ("OR2", "discharge"),
        ("OR3", "capper"),
    ],
)
def test_each_guide_guides_at_the_side_clearance(assembly: str, wheel: str) -> None:
    turning: Wheel = getattr(MACHINE, wheel)
    nearest = min(Spot(turning.centre).distance(part) for part in DECK[assembly])
    assert nearest == pytest.approx(turning.pitch_radius_mm + BODY_MM / 2 + SIDE_CLEARANCE_MM, abs=0.01)


def test_wheels_that_hand_over_touch_with_their_pitch_circles() -> None:
    chain = [MACHINE.infeed, MACHINE.carousel, MACHINE.discharge, MACHINE.capper, MACHINE.exit]
    for first, second in pairwise(chain):
        apart = hypot(first.centre.x - second.centre.x, first.centre.y - second.centre.y)
        assert apart == pytest.approx(first.pitch_radius_mm + second.pitch_radius_mm)
    assert MACHINE.exit.centre.y == pytest.approx(MACHINE.exit.pitch_radius_mm)


@pytest.mark.parametrize("flow", ["clockwise", "anticlockwise"])
def test_a_band_is_split_along_the_flow_and_its_segments_fit(flow: str) -> None:
    joints = (Joint((Dovetail(230, 1),)), Joint((Dovetail(230, -1),)))
    band = Band(Point(0, 0), 200, 60, 100, 120, "clockwise" if flow == "clockwise" else "anticlockwise", joints)
    parts = [material(part) for part in band.segments()]
    turn = -1 if flow == "clockwise" else 1
    for index, part in enumerate(parts):
        assert part.contains(Spot(polar(210, 100 + turn * (20 + 40 * index))))
    for first, second in pairwise(parts):
        assert first.intersection(second).area < 0.01
        assert 0.1 < first.distance(second) <= 0.151
    whole = (260**2 - 200**2) * 3.14159265 / 3
    assert unary_union(parts).area == pytest.approx(whole - 6 * (22 * 9 - 9**2 * (1 - 3.14159265 / 4)), rel=0.006)


def test_the_corner_that_a_container_meets_first_is_the_well_rounded_one() -> None:
    for flow, sign in (("clockwise", -1), ("anticlockwise", 1)):
        band = Band(Point(0, 0), 200, 60, 90, 60, "clockwise" if flow == "clockwise" else "anticlockwise")
        (part,) = band.segments()
        body = material(part)
        entry, leaving = Spot(polar(203, 90 + sign * 1)), Spot(polar(203, 90 + sign * 59))
        assert not body.contains(entry)
        assert body.contains(leaving)


@pytest.mark.parametrize(("plates", "pitch_mm", "body_mm"), [(18, 101.6, 62.9), (24, 114.3, 66.0)])
def test_a_centre_guide_under_one_carousel_is_symmetrical_and_clears_the_wheels(
    plates: int, pitch_mm: float, body_mm: float
) -> None:
    machine = SingleCarousel.of(pockets=8, plates=plates, pitch_mm=pitch_mm)
    body = material(centre_guide(machine, body_mm).moved(*machine.infeed.centre))
    for wheel in (machine.infeed, machine.discharge):
        assert Spot(wheel.centre).distance(body) == pytest.approx(wheel.path_mm(body_mm), abs=0.01)
    left, _, right, _ = body.bounds
    assert (left + right) / 2 == pytest.approx(machine.carousel.centre.x, abs=0.01)
    assert Spot(machine.carousel.centre).distance(body) > machine.carousel.pitch_radius_mm + 48
    outer = material(outer_guide(machine, body_mm).moved(*machine.infeed.centre))
    assert outer.intersection(body).area == 0
    assert Spot(machine.infeed.centre).distance(outer) == pytest.approx(machine.infeed.path_mm(body_mm), abs=0.01)


def test_rails_stand_on_both_sides_of_the_containers() -> None:
    left, right = (material(part) for part in guides.rails(560, BODY_MM))
    assert left.distance(right) == pytest.approx(BODY_MM + 2 * SIDE_CLEARANCE_MM, abs=0.01)
    assert left.bounds[1] > 0 > right.bounds[3]
    assert not right.contains(Spot(1, right.bounds[3] - 1))
