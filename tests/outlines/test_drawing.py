"""Reading a cut file: versions, units, even-odd filling and every kind of curve."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest
from ezdxf.layouts.layout import Modelspace
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from service.errors import BadCutFile, BadRequest, NoUnits
from service.outlines.drawing import read_drawing
from service.outlines.units import LENGTH_UNITS, LengthUnit
from tests.outlines.dxf_files import (
    PLATE_AREA_MM2,
    circle,
    dxf_bytes,
    plate,
    polygon,
    rectangle,
)

VERSIONS = ("R2000", "R2004", "R2007", "R2010", "R2013", "R2018")


@pytest.mark.parametrize("binary", [False, True], ids=["text", "binary"])
@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_reads_as_text_and_as_binary(version: str, binary: bool) -> None:  # noqa: FBT001 -- a parameter of pytest
    drawing = read_drawing(dxf_bytes(plate, version=version, binary=binary), name="plate.dxf")
    assert drawing.area_mm2 == pytest.approx(PLATE_AREA_MM2)
    assert drawing.bounds_mm == pytest.approx((0, 0, 100, 40))
    assert (drawing.width_mm, drawing.height_mm, drawing.hole_count) == (100, 40, 1)
    assert (drawing.units, drawing.mm_per_unit) == ("mm", 1.0)


@pytest.mark.parametrize("binary", [False, True], ids=["text", "binary"])
def test_the_oldest_version_reads_with_units_given(binary: bool) -> None:  # noqa: FBT001 -- a parameter of pytest
    def draw(msp: Modelspace) -> None:
        msp.add_polyline2d([(0, 0), (100, 0), (100, 40), (0, 40)], close=True)
        msp.add_polyline2d([(15, 20, 1), (25, 20, 1)], format="xyb", close=True)

    drawing = read_drawing(dxf_bytes(draw, version="R12", binary=binary), name="old.dxf", units="mm")
    assert drawing.area_mm2 == pytest.approx(PLATE_AREA_MM2)


def test_a_file_of_entities_alone_reads() -> None:
    square = [(0, 0), (50, 0), (50, 50), (0, 50), (0, 0)]
    body = "".join(f"0\nLINE\n8\n0\n10\n{a[0]}\n20\n{a[1]}\n11\n{b[0]}\n21\n{b[1]}\n" for a, b in pairwise(square))
    data = f"0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n".encode()
    with pytest.raises(NoUnits):  # the library would answer metres here
        read_drawing(data, name="bare.dxf")
    assert read_drawing(data, name="bare.dxf", units="mm").area_mm2 == pytest.approx(2500)


class TestUnits:
    @pytest.mark.parametrize(
        "unit", [unit for unit in LENGTH_UNITS if 0.001 <= unit.mm <= 1e6], ids=lambda unit: unit.symbol
    )
    def test_every_unit_of_the_header_gives_millimetres(self, unit: LengthUnit) -> None:
        def draw(msp: Modelspace) -> None:
            rectangle(msp, 0, 0, 100 / unit.mm, 40 / unit.mm)

        drawing = read_drawing(dxf_bytes(draw, insunits=unit.insunits), name="plate.dxf")
        assert drawing.area_mm2 == pytest.approx(4000)
        assert (drawing.units, drawing.mm_per_unit) == (unit.symbol, unit.mm)

    def test_a_file_without_units_is_refused(self) -> None:
        with pytest.raises(NoUnits) as caught:
            read_drawing(dxf_bytes(plate, insunits=0), name="plate.dxf")
        assert caught.value.field == "units"

    def test_a_code_that_names_no_unit_is_no_unit(self) -> None:
        with pytest.raises(NoUnits, match="99"):
            read_drawing(dxf_bytes(plate, insunits=99), name="plate.dxf")
        assert read_drawing(dxf_bytes(plate, insunits=99), name="plate.dxf", units="mm").width_mm == pytest.approx(100)

    @pytest.mark.parametrize(("word", "width_mm"), [("mm", 100), ("Inch", 2540), ('"', 2540), (" cm ", 1000)])
    def test_units_given_with_a_file_fill_in(self, word: str, width_mm: float) -> None:
        drawing = read_drawing(dxf_bytes(plate, insunits=0), name="plate.dxf", units=word)
        assert drawing.width_mm == pytest.approx(width_mm)

    def test_units_given_that_agree_change_nothing(self) -> None:
        assert read_drawing(dxf_bytes(plate), name="plate.dxf", units="mm").width_mm == pytest.approx(100)
        assert read_drawing(dxf_bytes(plate), name="plate.dxf", units="").width_mm == pytest.approx(100)

    def test_units_given_that_contradict_are_refused(self) -> None:
        with pytest.raises(BadCutFile, match="millimetres, but inches") as caught:
            read_drawing(dxf_bytes(plate), name="plate.dxf", units="in")
        assert caught.value.field == "units"

    def test_a_word_that_is_no_unit_is_refused(self) -> None:
        with pytest.raises(BadRequest, match="furlong"):
            read_drawing(dxf_bytes(plate, insunits=0), name="plate.dxf", units="furlong")

    @pytest.mark.parametrize("insunits", [6, 13])
    def test_a_size_that_no_part_has_points_at_the_units(self, insunits: int) -> None:
        with pytest.raises(BadCutFile, match="Check the units"):
            read_drawing(dxf_bytes(plate, insunits=insunits), name="plate.dxf")


class TestFilling:
    def test_an_island_in_a_hole_is_material(self) -> None:
        def draw(msp: Modelspace) -> None:
            for radius in (10, 50, 20, 40, 30):
                circle(msp, 0, 0, radius, layer=f"LAYER {radius}")

        drawing = read_drawing(dxf_bytes(draw), name="rings.dxf")
        assert drawing.area_mm2 == pytest.approx(math.pi * (50**2 - 40**2 + 30**2 - 20**2 + 10**2))
        assert [piece.area for piece in sorted(drawing.material.geoms, key=lambda piece: piece.area)] == [
            pytest.approx(math.pi * 10**2),
            pytest.approx(math.pi * (30**2 - 20**2)),
            pytest.approx(math.pi * (50**2 - 40**2)),
        ]
        assert drawing.hole_count == 2

    def test_several_pieces_in_one_file(self) -> None:
        def draw(msp: Modelspace) -> None:
            rectangle(msp, 0, 0, 10, 10)
            rectangle(msp, 20, 0, 30, 10)
            circle(msp, 25, 5, 2)

        drawing = read_drawing(dxf_bytes(draw), name="two.dxf")
        assert len(drawing.material.geoms) == 2
        assert drawing.area_mm2 == pytest.approx(200 - math.pi * 4)

    @given(
        radii=st.lists(st.floats(10, 100), min_size=3, max_size=40),
        unit=st.sampled_from([unit for unit in LENGTH_UNITS if 0.01 <= unit.mm <= 2000]),
        seed=st.integers(0, 2**32),
    )
    @settings(max_examples=60, deadline=None)
    def test_a_star_polygon_has_its_area_in_any_unit_order_and_direction(
        self, radii: list[float], unit: LengthUnit, seed: int
    ) -> None:
        corners = [
            (radius * math.cos(math.tau * index / len(radii)), radius * math.sin(math.tau * index / len(radii)))
            for index, radius in enumerate(radii)
        ]
        shuffler = random.Random(seed)
        pairs = list(zip(corners, corners[1:] + corners[:1], strict=True))
        shuffler.shuffle(pairs)

        def as_lines(msp: Modelspace) -> None:
            for pair in pairs:
                ends = [(x / unit.mm, y / unit.mm) for x, y in pair]
                shuffler.shuffle(ends)
                msp.add_line(*ends)

        def as_polyline(msp: Modelspace) -> None:
            polygon(msp, [(x / unit.mm, y / unit.mm) for x, y in corners])

        expected = Polygon(corners)
        for draw in (as_lines, as_polyline):
            drawing = read_drawing(dxf_bytes(draw, insunits=unit.insunits), name="star.dxf")
            assert drawing.area_mm2 == pytest.approx(expected.area, rel=1e-9)
            assert drawing.bounds_mm == pytest.approx(expected.bounds, abs=1e-6)

    def test_the_order_of_drawing_makes_no_difference(self) -> None:
        def one(msp: Modelspace) -> None:
            plate(msp)
            circle(msp, 80, 20, 5)

        def other(msp: Modelspace) -> None:
            circle(msp, 80, 20, 5)
            circle(msp, 20, 20, 5)
            polygon(msp, [(100, 40), (100, 0), (0, 0), (0, 40)])

        assert read_drawing(dxf_bytes(one), name="a.dxf") == read_drawing(dxf_bytes(other), name="b.dxf")


class TestCurves:
    def test_a_chain_of_lines_and_arcs_is_one_outline(self) -> None:
        def draw(msp: Modelspace) -> None:  # a slot of 60 × 20 mm
            msp.add_arc((50, 10), 10, 270, 90)
            msp.add_line((10, 0), (50, 0))
            msp.add_arc((10, 10), 10, 90, 270)
            msp.add_line((10, 20), (50, 20))

        drawing = read_drawing(dxf_bytes(draw), name="slot.dxf")
        assert drawing.area_mm2 == pytest.approx(40 * 20 + math.pi * 100)
        assert drawing.bounds_mm == pytest.approx((0, 0, 60, 20))

    def test_an_ellipse_and_its_half(self) -> None:
        def draw(msp: Modelspace) -> None:
            msp.add_ellipse((0, 0), major_axis=(30, 0), ratio=0.5)
            msp.add_ellipse((100, 0), major_axis=(0, 30), ratio=0.5, start_param=0, end_param=math.pi)
            msp.add_line((100, 30), (100, -30))

        drawing = read_drawing(dxf_bytes(draw), name="ellipses.dxf")
        assert drawing.area_mm2 == pytest.approx(1.5 * math.pi * 30 * 15)

    def test_a_spline_through_a_circle_comes_near_its_area(self) -> None:
        def draw(msp: Modelspace) -> None:
            ring = [(50 * math.cos(math.tau * i / 24), 50 * math.sin(math.tau * i / 24), 0) for i in range(25)]
            msp.add_spline(ring)

        drawing = read_drawing(dxf_bytes(draw), name="spline.dxf")
        assert drawing.area_mm2 == pytest.approx(math.pi * 2500, rel=2e-3)

    def test_a_rational_spline_that_is_a_circle_has_its_area(self) -> None:
        def draw(msp: Modelspace) -> None:
            w = math.sqrt(0.5)
            square = [(50, 0), (50, 50), (0, 50), (-50, 50), (-50, 0), (-50, -50), (0, -50), (50, -50), (50, 0)]
            msp.add_rational_spline(
                square, weights=[1, w, 1, w, 1, w, 1, w, 1], degree=2, knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
            )

        drawing = read_drawing(dxf_bytes(draw), name="nurbs.dxf")
        assert drawing.area_mm2 == pytest.approx(math.pi * 2500, rel=5e-4)

    def test_entities_drawn_from_below_are_mirrored(self) -> None:
        def draw(msp: Modelspace) -> None:
            below = {"extrusion": (0, 0, -1)}
            msp.add_circle((-50, 0), 5, dxfattribs=below)
            msp.add_arc((-10, 0), 10, 90, 270, dxfattribs=below)  # shown on the right of (10, 0)
            msp.add_line((10, 10), (10, -10))

        drawing = read_drawing(dxf_bytes(draw), name="below.dxf")
        assert drawing.bounds_mm == pytest.approx((10, -10, 55, 10))

    def test_a_tilted_circle_is_refused(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            msp.add_circle((50, 20), 5, dxfattribs={"extrusion": (0, 1, 1), "layer": "CUT"})

        with pytest.raises(BadCutFile, match="flat") as caught:
            read_drawing(dxf_bytes(draw), name="tilted.dxf")
        assert caught.value.place is not None
        assert caught.value.place.startswith("CIRCLE #")
        assert caught.value.place.endswith("on layer CUT")

    def test_a_polyline_whose_last_point_repeats_the_first(self) -> None:
        def draw(msp: Modelspace) -> None:
            msp.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], close=True)
            msp.add_lwpolyline([(2, 2), (4, 2), (4, 4), (2, 4), (2, 2)])

        assert read_drawing(dxf_bytes(draw), name="repeat.dxf").area_mm2 == pytest.approx(96)

    def test_a_flat_polyline_in_space(self) -> None:
        def draw(msp: Modelspace) -> None:
            msp.add_polyline3d([(0, 0, 7), (10, 0, 7), (10, 10, 7), (0, 10, 7)], close=True)

        assert read_drawing(dxf_bytes(draw), name="space.dxf").area_mm2 == pytest.approx(100)
