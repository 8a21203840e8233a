"""Bulges, units and areas of DXF drawings against published values and a second library."""

from __future__ import annotations

import math
from itertools import pairwise

import pint
import pytest
from ezdxf.math import bulge_to_arc
from shapely import union_all
from shapely.geometry import LineString, Point, Polygon

from service.outlines.arcs import FLATTENING_MM, bulge_points
from service.outlines.drawing import read_drawing
from service.outlines.units import LENGTH_UNITS
from service.rules.materials import mass_kg, material
from tests.outlines.dxf_files import circle, dxf_bytes, rectangle


@pytest.mark.parametrize(
    ("bulge", "angle_deg", "radius", "sagitta", "centre"),
    [
        # Source: DXF Reference, group code 42 (bulge = tan of a quarter of the angle, positive anticlockwise), worked
        # with R = c (1 + b²) / 4b and sagitta = b c / 2 for the chord (0, 0) to (10, 0).
        (0.5, 106.2602, 6.25, 2.5, (5.0, 3.75)),
        (1.0, 180.0, 5.0, 5.0, (5.0, 0.0)),
        (0.414214, 90.0, 7.0711, 2.0711, (5.0, 5.0)),
    ],
)
def test_bulge_of_a_chord_of_ten(
    bulge: float, angle_deg: float, radius: float, sagitta: float, centre: tuple[float, float]
) -> None:
    points = [(0.0, 0.0), *bulge_points((0.0, 0.0), (10.0, 0.0), bulge)]
    assert all(abs(math.dist(point, centre) - radius) <= FLATTENING_MM + 1e-4 for point in points)
    # Anticlockwise from left to right the arc runs below the chord.
    assert min(y for _, y in points) == pytest.approx(-sagitta, abs=FLATTENING_MM)
    turned = sum(_angle(centre, one, other) for one, other in pairwise(points))
    assert math.degrees(turned) == pytest.approx(angle_deg, abs=1e-3)


@pytest.mark.parametrize("bulge", [0.1, 0.5, 1.0, 2.5, -0.1, -0.5, -1.0, -2.5])
def test_bulge_against_a_second_library(bulge: float) -> None:
    # Source: the open-source library ezdxf, whose bulge_to_arc gives centre, angles and radius.
    start, end = (3.0, 4.0), (40.0, -7.0)
    centre, _, _, radius = bulge_to_arc(start, end, bulge)
    points = [start, *bulge_points(start, end, bulge)]
    assert max(abs(math.dist(point, (centre.x, centre.y)) - radius) for point in points) <= FLATTENING_MM * 1.001


def test_area_and_mass_of_a_stadium() -> None:
    # Source: geometry: 20 × 10 mm and two round ends of radius 5 mm: 200 + 25 pi = 278.540 mm²; 25.4 mm of UHMW-PE at
    # 0.93 g/cm³ weigh 6.580 g.
    data = dxf_bytes(
        lambda msp: msp.add_lwpolyline([(0, 0, 0), (20, 0, 1), (20, 10, 0), (0, 10, 1)], format="xyb", close=True)
    )
    drawing = read_drawing(data, name="stadium.dxf")
    assert drawing.area_mm2 == pytest.approx(278.540, abs=5e-4)
    assert drawing.bounds_mm == pytest.approx((-5, 0, 25, 10))
    assert mass_kg(drawing.area_mm2, 25.4, material("UHMW-PE")) == pytest.approx(6.580e-3, abs=1e-6)


def test_mass_of_a_plate() -> None:
    # Source: 600 × 300 × 25 mm of UHMW-PE at 0.93 g/cm³ weigh 4.185 kg, worked by hand.
    drawing = read_drawing(dxf_bytes(lambda msp: rectangle(msp, 0, 0, 600, 300)), name="plate.dxf")
    assert mass_kg(drawing.area_mm2, 25, material("UHMW-PE")) == pytest.approx(4.185)


def test_area_of_a_star_against_a_fine_polygon() -> None:
    # Source: the open-source library Shapely with circles of 8,000 points, which lose less than 1e-7 of their area.
    pockets, pitch_radius, pocket_radius = 12, 218.3, 33.4
    at = [
        (pitch_radius * math.cos(math.tau * index / pockets), pitch_radius * math.sin(math.tau * index / pockets))
        for index in range(pockets)
    ]
    pocket_discs = union_all([Point(x, y).buffer(pocket_radius, quad_segs=2000) for x, y in at])
    fine = Point(0, 0).buffer(200, quad_segs=2000).difference(pocket_discs)
    # The same star with bulges: the outside runs anticlockwise, in a pocket the path turns the other way.
    half = math.acos((200**2 + pitch_radius**2 - pocket_radius**2) / (2 * 200 * pitch_radius))
    into = math.acos((pocket_radius**2 + pitch_radius**2 - 200**2) / (2 * pocket_radius * pitch_radius))
    vertices = []
    for index in range(pockets):
        middle = math.tau * index / pockets
        vertices.append((200 * math.cos(middle - half), 200 * math.sin(middle - half), -math.tan(into / 2)))
        land = math.tau / pockets - 2 * half
        vertices.append((200 * math.cos(middle + half), 200 * math.sin(middle + half), math.tan(land / 4)))
    data = dxf_bytes(lambda msp: [msp.add_lwpolyline(vertices, format="xyb", close=True), circle(msp, 0, 0, 40)])
    drawing = read_drawing(data, name="star.dxf")
    assert drawing.area_mm2 == pytest.approx(fine.area - math.pi * 1600, rel=1e-6)


@pytest.mark.parametrize(
    ("symbol", "name"),
    [
        # Source: the open-source units library Pint; the exact definitions are in NIST SP 811 (from memory).
        ("in", "inch"),
        ("ft", "foot"),
        ("mi", "mile"),
        ("mm", "millimeter"),
        ("cm", "centimeter"),
        ("m", "meter"),
        ("km", "kilometer"),
        ("uin", "microinch"),
        ("mil", "thou"),
        ("yd", "yard"),
        ("angstrom", "angstrom"),
        ("nm", "nanometer"),
        ("um", "micrometer"),
        ("dm", "decimeter"),
        ("dam", "decameter"),
        ("hm", "hectometer"),
        ("Gm", "gigameter"),
        ("au", "astronomical_unit"),
        ("ly", "light_year"),
        ("pc", "parsec"),
        ("us-ft", "survey_foot"),
        ("us-mi", "survey_mile"),
    ],
)
def test_units_of_length(symbol: str, name: str) -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    unit = next(row for row in LENGTH_UNITS if row.symbol == symbol)
    assert unit.mm == pytest.approx(registry.Quantity(1.0, name).to("mm").magnitude, rel=1e-9)


def test_codes_of_units() -> None:
    # Source: DXF Reference, header variable $INSUNITS: 1 inches, 2 feet, 4 millimetres, 5 centimetres, 6 metres.
    named = {unit.insunits: unit.symbol for unit in LENGTH_UNITS}
    assert [named[code] for code in (1, 2, 4, 5, 6, 13, 14, 21)] == ["in", "ft", "mm", "cm", "m", "um", "dm", "us-ft"]


def _angle(centre: tuple[float, float], one: tuple[float, float], other: tuple[float, float]) -> float:
    begin = math.atan2(one[1] - centre[1], one[0] - centre[0])
    end = math.atan2(other[1] - centre[1], other[0] - centre[0])
    return (end - begin) % math.tau


def test_the_flattened_bulge_encloses_what_its_arc_does() -> None:
    # Source: geometry: a circular segment has the area R² (θ - sin θ) / 2.
    theta, radius = math.radians(106.2602047), 6.25
    segment = Polygon([(0.0, 0.0), *bulge_points((0.0, 0.0), (10.0, 0.0), 0.5)])
    assert segment.area == pytest.approx(radius**2 * (theta - math.sin(theta)) / 2, rel=1e-8)
    assert LineString(segment.exterior.coords).is_simple
