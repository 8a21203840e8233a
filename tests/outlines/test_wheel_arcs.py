"""Arcs found again in flattened outlines, and the axis that an assembly shows."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LinearRing, MultiPolygon, Point, Polygon, box

from service.outlines.arcs import polyline_points
from service.outlines.drawing import Drawing
from service.outlines.wheel_arcs import axis_of, outline_arcs
from tests.outlines.assembly import drawings, moved, shifted
from tests.part_factory import make_drawing


def band(radius: float, width: float, begin_deg: float, sweep_deg: float, centre: tuple[float, float]) -> LinearRing:
    """A band about a centre, flattened as a cut file is."""

    def at(distance: float, degrees: float) -> tuple[float, float]:
        turn = math.radians(degrees)
        return centre[0] + distance * math.cos(turn), centre[1] + distance * math.sin(turn)

    bulge = math.tan(math.radians(sweep_deg) / 4)
    end = begin_deg + sweep_deg
    corners = [(*at(radius + width, begin_deg), bulge), (*at(radius + width, end), 0.0), (*at(radius, end), -bulge)]
    return LinearRing(polyline_points([*corners, (*at(radius, begin_deg), 0.0)], closed=True))


@given(
    radius=st.floats(25, 800),
    width=st.floats(10, 100),
    begin=st.floats(-180, 180),
    sweep=st.floats(40, 200),
    x=st.floats(-500, 500),
    y=st.floats(-500, 500),
)
@settings(max_examples=50, deadline=None)
def test_both_arcs_of_a_band_are_found(
    radius: float, width: float, begin: float, sweep: float, x: float, y: float
) -> None:
    arcs = outline_arcs(band(radius, width, begin, sweep, (x, y)))
    assert sorted(arc.convex for arc in arcs) == [False, True]
    for arc in arcs:
        # Arc by drawing: its radius, how far it goes, and where it turns.
        assert arc.radius_mm == pytest.approx(radius + width if arc.convex else radius, rel=0.005)
        assert arc.sweep_deg == pytest.approx(sweep, abs=5)
        assert arc.about((x, y))
        assert not arc.about((x + 0.02 * arc.radius_mm, y))


@pytest.mark.parametrize("shape", [box(0, 0, 520, 90), box(0, 0, 90, 90), Polygon([(0, 0), (90, 10), (30, 70)])])
def test_corners_on_a_circle_are_no_arc(shape: Polygon) -> None:
    assert outline_arcs(shape.exterior) == ()


class TestAxis:
    @pytest.mark.parametrize("place", ["SW1-L1", "SW2-U3", "SW3-U2"])
    def test_of_a_star_is_that_of_its_hub(self, place: str) -> None:
        axis = axis_of(moved(drawings()[place], shifted(300, -120)))
        assert axis is not None
        assert axis.known_by == "hub"
        assert axis.at == pytest.approx((300, -120), abs=0.01)

    @pytest.mark.parametrize("place", ["CG1-L1", "CG2-U1", "CG3-L1", "OR1-U3", "OR2-L1", "OR3-U2", "NG1-K1"])
    def test_of_a_guide_is_that_of_the_wheel_at_the_origin(self, place: str) -> None:
        axis = axis_of(drawings()[place])
        assert axis is not None
        assert (axis.at, axis.known_by) == ((0.0, 0.0), "origin")

    @pytest.mark.parametrize("place", ["RL1-U1", "RL2-U2", "TS1-X1", "TS1-X2", "BP1-X1", "DC1-X1"])
    def test_rails_plates_and_bars_have_none(self, place: str) -> None:
        assert axis_of(drawings()[place]) is None

    def test_away_from_the_origin_a_wide_arc_tells(self) -> None:
        axis = axis_of(moved(drawings()["OR2-L1"], shifted(1000, 700)))
        assert axis is not None
        assert axis.known_by == "arcs"
        assert axis.at == pytest.approx((1000, 700), abs=0.5)

    def test_a_part_takes_it_from_its_assembly(self) -> None:
        plate = make_drawing(box(200, 200, 300, 260))
        assert axis_of(plate) is None
        axis = axis_of(plate, [drawings()["OR2-L1"]])
        assert axis is not None
        assert axis.known_by == "origin"

    def test_clamps_all_over_a_part_are_no_axis(self) -> None:
        clamps = (Point(20, 20).buffer(8), Point(180, 20).buffer(8))
        assert axis_of(make_drawing(hubs=clamps)) is None

    def test_a_quarter_of_a_hub_has_the_axis_of_the_whole(self) -> None:
        quarter = Polygon([(0, 0), *((60 * math.cos(a / 90), 60 * math.sin(a / 90)) for a in range(142))])
        axis = axis_of(make_drawing(box(10, 10, 200, 90), hubs=(quarter,)))
        assert axis is not None
        assert axis.at == pytest.approx((0, 0), abs=0.05)

    def test_nothing_fails_on_what_is_hardly_an_outline(self) -> None:
        for shape in (Polygon([(0, 0), (1, 0), (0, 1)]), box(0, 0, 1e-3, 900)):
            assert axis_of(Drawing(MultiPolygon([shape]), (), (), (), "mm", 1.0)) is None
