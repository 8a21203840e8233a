"""Gaps at a dovetail, against the published formula for measuring one over two rolls.

A roll of diameter D in each corner between base and flank, the corners a apart, the flanks at θ to the base: over the
rolls the measure is x = a + D (1 + cot ½θ). Source: Machinery's Handbook, "Measuring Dovetail Slides", as quoted at
toolmonger.com (29 July 2009, "A small dovetail problem") and zpag.net ("Measuring dovetail slides"). Worked values:
60°, 1 in, rolls of 0.25 in: 1.6830 in (datumcalc.com); 60°, 40 mm, rolls of 10 mm: 40 + 10 × 2.7320508 mm
(machinecalcs.com).
"""

from __future__ import annotations

from math import cos, radians, sin, tan

import pytest
from shapely.geometry import MultiPolygon, Point, Polygon

from service.outlines.joint_fit import Piece, joint_fit


def over_rolls(corners_mm: float, roll_mm: float, angle_deg: float) -> float:
    return corners_mm + roll_mm * (1 + 1 / tan(radians(angle_deg) / 2))


def slide(corners_mm: float, angle_deg: float, flank_mm: float = 60.0) -> Piece:
    """A male slide on its base: the flanks begin at the corners and lean outwards."""
    half, out, up = corners_mm / 2, flank_mm * cos(radians(angle_deg)), flank_mm * sin(radians(angle_deg))
    base = [(half, 0), (half + 200, 0), (half + 200, -50), (-half - 200, -50), (-half - 200, 0), (-half, 0)]
    return Piece(MultiPolygon([Polygon([*base, (-half - out, up), (half + out, up)])]), cutter_mm=0)


def test_the_formula_gives_the_published_values() -> None:
    assert over_rolls(1.0, 0.25, 60) == pytest.approx(1.6830, abs=5e-5)
    assert over_rolls(40.0, 10.0, 60) == pytest.approx(67.320508, abs=1e-6)


@pytest.mark.parametrize(
    ("corners", "roll", "angle"), [(25.4, 6.35, 60), (40.0, 10.0, 60), (40.0, 10.0, 45), (30.0, 8.0, 55)]
)
@pytest.mark.parametrize("smaller", [0.15, 0.4])
def test_rolls_at_the_published_measure_keep_off_base_and_flank_by_what_they_are_smaller(
    corners: float, roll: float, angle: float, smaller: float
) -> None:
    measure = over_rolls(corners, roll, angle)
    for side in (1, -1):
        centre = (side * (measure - roll) / 2, roll / 2)
        rolled = Piece(MultiPolygon([Point(centre).buffer(roll / 2 - smaller, quad_segs=300)]), cutter_mm=0)
        fit = joint_fit(rolled, slide(corners, angle))
        assert fit is not None
        # It touches both: the same gap to the base below it and to the flank beside it.
        assert fit.least_mm == pytest.approx(smaller, abs=2e-3)
        below = min(gap for x, y, gap in fit.places if y < roll * 0.02 + smaller)
        turn = radians(angle)
        flank = (centre[0] - side * sin(turn) * (roll / 2 - smaller), centre[1] + cos(turn) * (roll / 2 - smaller))
        beside = min(gap for x, y, gap in fit.places if (x - flank[0]) ** 2 + (y - flank[1]) ** 2 < 0.25)
        assert (below, beside) == pytest.approx((smaller, smaller), abs=5e-3)
