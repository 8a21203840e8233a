"""What is measured on a part: known shapes by hand, and the letters of their holes."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Point, box

from service.outlines.drawing import Drawing
from service.outlines.inspection_features import inspected
from tests.outlines.hole_sets import hole, plate
from tests.part_factory import make_drawing, star_segment


def lengths(drawing: Drawing) -> dict[str, float]:
    """Every length by its words."""
    return {feature.what: feature.nominal_mm for feature in inspected(drawing).features}


def test_a_plate_by_hand() -> None:
    holes = [hole(0j, 9), hole(80 + 0j, 11), hole(80 + 60j, 9, 30, 90)]
    found = lengths(plate(holes, bounds=(-20, -20, 130, 100)))
    assert found["greatest length, corner to corner"] == pytest.approx(math.hypot(150, 120), abs=0.001)
    assert found["hole A: diameter"] == pytest.approx(9, abs=0.01)
    assert found["hole B: diameter"] == pytest.approx(11, abs=0.01)
    assert found["hole C: width of the slot"] == pytest.approx(9, abs=0.01)
    assert found["hole C: length of the slot"] == pytest.approx(30, abs=0.02)
    assert found["hole A to hole B, middle to middle"] == pytest.approx(80, abs=0.001)
    assert found["hole A to hole C, middle to middle"] == pytest.approx(100, abs=0.001)
    assert found["hole B to hole C, middle to middle"] == pytest.approx(60, abs=0.001)


def test_letters_stand_where_the_holes_are() -> None:
    drawing = plate([hole(0j), hole(80 + 0j), hole(30 + 55j)])
    assert [(letter, round(x), round(y)) for letter, (x, y) in inspected(drawing).holes] == [
        ("A", 0, 0),
        ("B", 80, 0),
        ("C", 30, 55),
    ]


def test_a_disc_has_a_bore_and_a_star_has_pockets() -> None:
    disc = make_drawing(Point(0, 0).buffer(90, quad_segs=90).difference(Point(0, 0).buffer(25, quad_segs=90)))
    assert lengths(disc)["bore: diameter"] == pytest.approx(50, abs=0.02)
    star = make_drawing(star_segment(pockets=12, pitch_radius_mm=200, pocket_mm=66, segments=4, ordinal=1))
    radius = next(value for what, value in lengths(star).items() if "radius" in what and "pocket" in what)
    assert radius == pytest.approx(33, abs=0.3)


def test_many_holes_are_measured_one_by_one() -> None:
    rows = [hole(complex(20 * (index % 7), 20 * (index // 7))) for index in range(14)]
    found = lengths(plate(rows, bounds=(-20, -20, 150, 60)))
    assert sum("diameter" in what for what in found) == 14
    assert not any("middle to middle" in what for what in found)
    assert len(lengths(make_drawing(box(0, 0, 40, 30)))) == 2
