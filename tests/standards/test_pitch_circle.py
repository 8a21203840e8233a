"""Pitch circle of a star wheel, against values worked by hand.

Source: geometry. A circle of diameter d has the circumference π·d; n pockets stand a pitch p apart along it, so that
d = n·p/π. With π = 3.14159265: 24 × 104.7198 mm ÷ π = 2513.2752 ÷ 3.14159265 = 800.000 mm, and so on.
"""

from __future__ import annotations

import pytest

from service.rules.survey import pitch_diameter_mm


@pytest.mark.parametrize(
    ("pockets", "pitch_mm", "diameter_mm"),
    [
        (24, 104.7198, 800.000),
        (12, 104.7198, 400.000),
        (8, 157.0796, 400.000),
        (1, 3.14159265, 1.000),
        (10, 100.0, 318.310),
        (60, 113.0973, 2160.000),
    ],
)
def test_pockets_and_pitch_give_the_pitch_circle(pockets: int, pitch_mm: float, diameter_mm: float) -> None:
    assert pitch_diameter_mm(pockets, pitch_mm) == pytest.approx(diameter_mm, abs=0.001)
