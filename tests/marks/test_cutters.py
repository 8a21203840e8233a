"""The groove that a cutter leaves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import BadRequest
from service.marks.cutters import USUAL_CUTTER, Cutter, CutterKind

lengths = st.floats(min_value=0.05, max_value=20, allow_nan=False)


@st.composite
def cutters(draw: st.DrawFn) -> Cutter:
    kind: CutterKind = draw(st.sampled_from(["flat", "vee", "ball"]))
    angle = draw(st.floats(min_value=10, max_value=150)) if kind == "vee" else 0.0
    return Cutter(kind=kind, diameter_mm=draw(lengths), depth_mm=draw(lengths), angle_deg=angle)


@given(cutters())
def test_a_groove_has_width_and_is_never_wider_than_the_cutter(cutter: Cutter) -> None:
    assert 0 < cutter.groove_mm <= cutter.diameter_mm + 1e-12


@pytest.mark.parametrize(
    ("cutter", "groove_mm"),
    [
        # A cone of 90 degrees is as wide as twice its depth, one of 60 degrees 2/sqrt(3) of it: tan 45°, tan 30°.
        (Cutter(kind="vee", diameter_mm=6, depth_mm=0.4, angle_deg=90), 0.8),
        (Cutter(kind="vee", diameter_mm=6, depth_mm=0.3, angle_deg=60), 0.6 / math.sqrt(3)),
        (Cutter(kind="vee", diameter_mm=6, depth_mm=0.3, angle_deg=90, tip_mm=0.2), 0.8),
        (Cutter(kind="vee", diameter_mm=1, depth_mm=3, angle_deg=90), 1.0),
        # The chord of a circle: 3-4-5 triangle with r = 5, depth 2, half chord 4.
        (Cutter(kind="ball", diameter_mm=10, depth_mm=2), 8.0),
        (Cutter(kind="ball", diameter_mm=2, depth_mm=1.5), 2.0),
        (Cutter(kind="flat", diameter_mm=0.8, depth_mm=0.4), 0.8),
    ],
)
def test_the_groove_follows_from_the_section(cutter: Cutter, groove_mm: float) -> None:
    assert cutter.groove_mm == pytest.approx(groove_mm)


@pytest.mark.parametrize(
    ("measures", "field"),
    [
        ({"kind": "flat", "diameter_mm": 0, "depth_mm": 0.4}, "diameter_mm"),
        ({"kind": "flat", "diameter_mm": 0.5, "depth_mm": math.nan}, "depth_mm"),
        ({"kind": "vee", "diameter_mm": 6, "depth_mm": 0.4}, "angle_deg"),
        ({"kind": "vee", "diameter_mm": 6, "depth_mm": 0.4, "angle_deg": 60, "tip_mm": 6}, "tip_mm"),
        ({"kind": "ball", "diameter_mm": 1, "depth_mm": 0.4, "angle_deg": 60}, "angle_deg"),
    ],
)
def test_what_no_cutter_can_be_is_refused(measures: dict[str, object], field: str) -> None:
    with pytest.raises(BadRequest) as refusal:
        Cutter(**measures)  # type: ignore[arg-type]  # wrong on purpose
    assert refusal.value.field == field


def test_a_cutter_is_named_with_its_depth() -> None:
    assert USUAL_CUTTER.words == "straight cutter 0.5 mm, 0.4 mm deep"
    assert Cutter(kind="vee", diameter_mm=6, depth_mm=0.3, angle_deg=60).words == "V cutter 60° 6 mm, 0.3 mm deep"
