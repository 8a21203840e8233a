"""The cutter that was asked for: usual measures, measures of one's own, and what no cutter has."""

from __future__ import annotations

import pytest

from service.errors import BadRequest
from service.marks.cutters import USUAL_CUTTER
from service.work.cutter_choice import USUAL, chosen_cutter


def test_nothing_said_is_the_usual_one() -> None:
    assert chosen_cutter() == USUAL_CUTTER
    assert [chosen_cutter(kind).kind for kind in USUAL] == list(USUAL)


def test_a_measure_takes_the_place_of_the_usual_one() -> None:
    cutter = chosen_cutter("vee", depth_mm=0.5, angle_deg=90.0, tip_mm=0.0)
    # A cone of 90 degrees opens as wide as twice its depth.
    assert cutter.groove_mm == pytest.approx(1.0)
    assert cutter.diameter_mm == USUAL["vee"].diameter_mm


@pytest.mark.parametrize(
    ("kind", "measures"),
    [("drill", {}), ("flat", {"angle_deg": 60.0}), ("ball", {"tip_mm": 0.2}), ("vee", {"angle_deg": 5.0})],
)
def test_what_no_cutter_has_is_refused(kind: str, measures: dict[str, float]) -> None:
    with pytest.raises(BadRequest):
        chosen_cutter(kind, **measures)
