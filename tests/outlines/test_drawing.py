"""Reading a cut file: what counts, in which units, on which layers; and what is refused."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest
from ezdxf.layouts.layout import Modelspace
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from service.errors import BadCutFile, BadRequest, NoOutline, NoUnits, SelfCrossing
from service.outlines.drawing import LayerNames, read_drawing
from service.outlines.units import LENGTH_UNITS, LengthUnit
from tests.outlines.dxf_files import circle, dxf_bytes, empty_document, lines, polygon, rectangle, written

VERSIONS = ("R2000", "R2004", "R2007", "R2010", "R2013", "R2018")


def plate(msp: Modelspace) -> None:
    """100 × 40 mm with a hole of 10 mm diameter."""
    rectangle(msp, 0, 0, 100, 40)
    circle(msp, 20, 20, 5)


PLATE_AREA = 4000 - math.pi * 25


@pytest.mark.parametrize("binary", [False, True], ids=["text", "binary"])
@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_reads_as_text_and_as_binary(version: str, binary: bool) -> None:  # noqa: FBT001 -- a parameter of pytest
    drawing = read_drawing(dxf_bytes(plate, version=version, binary=binary), name="plate.dxf")
    assert drawing.area_mm2 == pytest.approx(PLATE_AREA)
    assert drawing.bounds_mm == pytest.approx((0, 0, 100, 40))
    assert (drawing.width_mm, drawing.height_mm, drawing.hole_count) == (100, 40, 1)
    assert (drawing.units, drawing.mm_per_unit) == ("mm", 1.0)


@pytest.mark.parametrize("binary", [False, True], ids=["text", "binary"])
def test_the_oldest_version_reads_with_units_given(binary: bool) -> None:  # noqa: FBT001 -- a parameter of pytest
    def draw(msp: Modelspace) -> None:
        msp.add_polyline2d([(0, 0), (100, 0), (100, 40), (0, 40)], close=True)
        msp.add_polyline2d([(15, 20, 1), (25, 20, 1)], format="xyb", close=True)

    drawing = read_drawing(dxf_bytes(draw, version="R12", binary=binary), name="old.dxf", units="mm")
    assert drawing.area_mm2 == pytest.approx(PLATE_AREA)


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


class TestBlocks:
    def test_a_block_counts_where_it_is_placed(self) -> None:
        document = empty_document()
        bolt = document.blocks.new("BOLT")
        bolt.add_circle((0, 0), 1)
        pair = document.blocks.new("PAIR")
        pair.add_blockref("BOLT", (0, 0), dxfattribs={"xscale": 3, "yscale": 3})
        pair.add_blockref("BOLT", (20, 0), dxfattribs={"xscale": 3, "yscale": 1.5})
        msp = document.modelspace()
        rectangle(msp, 0, 0, 100, 40)
        msp.add_blockref("PAIR", (20, 20), dxfattribs={"rotation": 30})
        msp.add_blockref(
            "BOLT",
            (60, 10),
            dxfattribs={"row_count": 2, "column_count": 3, "row_spacing": 20, "column_spacing": 10},
        )
        drawing = read_drawing(written(document), name="blocks.dxf")
        assert drawing.hole_count == 8
        assert drawing.area_mm2 == pytest.approx(4000 - math.pi * (9 + 4.5 + 6))
        assert drawing.material.intersects(Point(20, 20)) is False

    def test_layer_0_in_a_block_is_the_layer_of_the_reference(self) -> None:
        document = empty_document()
        document.layers.add("HIDDEN STUFF").off()
        document.blocks.new("HOLE").add_circle((0, 0), 5)
        msp = document.modelspace()
        rectangle(msp, 0, 0, 100, 40)
        msp.add_blockref("HOLE", (20, 20), dxfattribs={"layer": "KEEPOUT"})
        msp.add_blockref("HOLE", (50, 20), dxfattribs={"layer": "hidden stuff"})
        drawing = read_drawing(written(document), name="layers.dxf")
        assert drawing.hole_count == 0
        assert [zone.centroid.coords[0] for zone in drawing.keepouts] == [pytest.approx((20, 20))]

    def test_a_missing_block_is_refused(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            msp.add_blockref("NOWHERE", (0, 0))

        with pytest.raises(BadCutFile, match="NOWHERE is missing"):
            read_drawing(dxf_bytes(draw), name="missing.dxf")


class TestWhatIsLeftOut:
    def test_texts_dimensions_points_and_reference_lines(self) -> None:
        document = empty_document()
        msp = document.modelspace()
        plate(msp)
        msp.add_text("SW2-U3").set_placement((50, 20))
        msp.add_mtext("note")
        msp.add_point((1, 1))
        msp.add_linear_dim(base=(0, -10), p1=(0, 0), p2=(100, 0)).render()
        msp.add_line((-10, 20), (110, 20), dxfattribs={"linetype": "CENTER"})
        msp.add_circle((50, 20), 80, dxfattribs={"linetype": "DASHED"})
        msp.add_line((45, 60), (55, 60))  # a stray straight line
        msp.add_circle((70, 20), 5, dxfattribs={"invisible": 1})
        document.layers.add("PITCH CIRCLE", linetype="CENTER2")
        circle(msp, 0, 0, 300, layer="PITCH CIRCLE")
        hatch = msp.add_hatch()
        hatch.paths.add_polyline_path([(0, 0), (100, 0), (100, 40)], is_closed=True)
        assert read_drawing(written(document), name="notes.dxf").area_mm2 == pytest.approx(PLATE_AREA)

    @pytest.mark.parametrize("state", ["off", "freeze"])
    def test_layers_that_are_off_or_frozen(self, state: str) -> None:
        document = empty_document()
        getattr(document.layers.add("FIXTURE"), state)()
        plate(document.modelspace())
        rectangle(document.modelspace(), -50, -50, 200, 200, layer="Fixture")
        assert read_drawing(written(document), name="fixture.dxf").area_mm2 == pytest.approx(PLATE_AREA)

    def test_paper_space(self) -> None:
        document = empty_document()
        plate(document.modelspace())
        document.paperspace().add_circle((0, 0), 500)
        assert read_drawing(written(document), name="paper.dxf").area_mm2 == pytest.approx(PLATE_AREA)

    def test_a_surface_is_refused_and_named(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            msp.add_3dface([(0, 0), (1, 0), (1, 1)], dxfattribs={"layer": "CUT"})

        with pytest.raises(BadCutFile, match="3DFACE") as caught:
            read_drawing(dxf_bytes(draw), name="surface.dxf")
        assert "on layer CUT" in (caught.value.place or "")


class TestLayers:
    def test_zones_are_told_by_the_beginning_of_the_name_in_any_case(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            rectangle(msp, 40, 10, 90, 30, layer="engrave_top")
            circle(msp, 20, 20, 9, layer="KeepOut bolts")
            circle(msp, 25, 20, 9, layer="KEEPOUT-2")
            circle(msp, 80, 20, 6, layer="HUB")
            lines(msp, [(50, 15), (60, 25), (70, 15)], layer="ENGRAVE")  # strokes of an old engraving

        drawing = read_drawing(dxf_bytes(draw), name="zones.dxf")
        assert drawing.area_mm2 == pytest.approx(PLATE_AREA)
        assert [zone.area for zone in drawing.engraving_zones] == [pytest.approx(1000)]
        assert [zone.area for zone in drawing.keepouts] == [pytest.approx(math.pi * 81)] * 2
        assert [zone.area for zone in drawing.hubs] == [pytest.approx(math.pi * 36)]

    def test_the_words_are_a_setting(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            rectangle(msp, 40, 10, 90, 30, layer="GRAVUR")

        layers = LayerNames(engrave=("GRAVUR",))
        assert len(read_drawing(dxf_bytes(draw), name="de.dxf", layers=layers).engraving_zones) == 1
        assert read_drawing(dxf_bytes(draw), name="de.dxf").area_mm2 == pytest.approx(PLATE_AREA - 1000)

    def test_zones_alone_are_no_part(self) -> None:
        with pytest.raises(NoOutline):
            read_drawing(dxf_bytes(lambda msp: circle(msp, 0, 0, 20, layer="HUB")), name="hub.dxf")

    def test_a_keep_out_with_a_gap_is_refused(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            lines(msp, [(40, 10), (60, 10), (60, 30), (40, 30), (40, 11)], layer="KEEPOUT")

        with pytest.raises(NoOutline) as caught:
            read_drawing(dxf_bytes(draw), name="gap.dxf")
        assert "KEEPOUT" in (caught.value.place or "")


class TestRefusals:
    def test_an_empty_drawing(self) -> None:
        with pytest.raises(NoOutline, match="no closed outline"):
            read_drawing(dxf_bytes(lambda _: None), name="empty.dxf")

    def test_an_open_outline_is_named_with_its_gap_and_its_ends(self) -> None:
        def draw(msp: Modelspace) -> None:
            circle(msp, 20, 20, 5)
            lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0.4)])

        with pytest.raises(NoOutline, match=r"open by 0\.400 mm between \(0\.000, 0\.\d00\) mm and") as caught:
            read_drawing(dxf_bytes(draw), name="gap.dxf")
        place = caught.value.place or ""
        assert place.startswith("LINE #")
        assert " to LINE #" in place

    def test_four_lines_that_nearly_meet_do_not_turn_holes_into_the_part(self) -> None:
        def draw(msp: Modelspace) -> None:
            circle(msp, 20, 20, 5)
            for start, end in (
                ((0.5, 0), (100, 0)),
                ((100, 0.5), (100, 40)),
                ((99.5, 40), (0, 40)),
                ((0, 39.5), (0, 0.5)),
            ):
                msp.add_line(start, end)

        with pytest.raises(NoOutline, match="open by"):
            read_drawing(dxf_bytes(draw), name="corners.dxf")

    def test_an_open_outline_round_closed_holes_is_refused_however_wide_its_gap(self) -> None:
        def draw(msp: Modelspace) -> None:
            circle(msp, 20, 20, 5)
            lines(msp, [(0, 40), (0, 0), (100, 0), (100, 40)])

        with pytest.raises(NoOutline, match=r"open by 100\.000 mm"):
            read_drawing(dxf_bytes(draw), name="side-missing.dxf")

    def test_an_outline_whose_gap_is_short_beside_its_length_is_refused(self) -> None:
        def draw(msp: Modelspace) -> None:
            rectangle(msp, 0, 0, 300, 300)
            lines(msp, [(50, 52), (50, 150), (150, 150), (150, 50), (52, 50)])  # a hole with a corner missing

        with pytest.raises(NoOutline, match=r"open by 2\.828 mm"):
            read_drawing(dxf_bytes(draw), name="corner.dxf")

    def test_a_line_that_climbs_is_refused(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            msp.add_line((0, 0, 0), (100, 0, 5))

        with pytest.raises(BadCutFile, match="flat") as caught:
            read_drawing(dxf_bytes(draw), name="climb.dxf")
        assert (caught.value.place or "").startswith("LINE #")

    def test_an_open_profile_beside_the_part_is_left_out(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            lines(msp, [(200, 0), (230, 0), (230, 30), (200, 30)], layer="PROFILE")
            lines(msp, [(50, 10), (55, 20), (60, 10)])  # a stroked letter on the part

        assert read_drawing(dxf_bytes(draw), name="profile.dxf").area_mm2 == pytest.approx(PLATE_AREA)

    def test_a_single_open_line(self) -> None:
        with pytest.raises(NoOutline, match=r"open by 10\.000 mm"):
            read_drawing(dxf_bytes(lambda msp: lines(msp, [(0, 0), (10, 0)])), name="line.dxf")

    def test_ends_within_the_joining_distance_meet(self) -> None:
        def draw(msp: Modelspace) -> None:
            lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0.04)])

        assert read_drawing(dxf_bytes(draw), name="small-gap.dxf").area_mm2 == pytest.approx(4000, rel=1e-3)

    def test_a_bow_tie_is_refused_with_the_crossing(self) -> None:
        def draw(msp: Modelspace) -> None:
            polygon(msp, [(0, 0), (10, 10), (10, 0), (0, 10)])

        with pytest.raises(SelfCrossing, match=r"\(5\.000, 5\.000\) mm") as caught:
            read_drawing(dxf_bytes(draw), name="bow.dxf")
        assert (caught.value.place or "").startswith("LWPOLYLINE #")

    def test_a_crossing_in_inches_is_told_in_millimetres(self) -> None:
        def draw(msp: Modelspace) -> None:
            polygon(msp, [(0, 0), (10, 10), (10, 0), (0, 10)])

        with pytest.raises(SelfCrossing, match=r"\(127\.000, 127\.000\) mm"):
            read_drawing(dxf_bytes(draw, insunits=1), name="bow.dxf")

    def test_two_outlines_that_cross(self) -> None:
        def draw(msp: Modelspace) -> None:
            rectangle(msp, 0, 0, 100, 40)
            circle(msp, 100, 20, 5)

        with pytest.raises(SelfCrossing, match="two outlines cross") as caught:
            read_drawing(dxf_bytes(draw), name="cross.dxf")
        assert "LWPOLYLINE" in (caught.value.place or "")
        assert "CIRCLE" in (caught.value.place or "")

    def test_an_outline_drawn_twice(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            rectangle(msp, 0, 0, 100, 40, layer="COPY")

        with pytest.raises(SelfCrossing, match="drawn twice"):
            read_drawing(dxf_bytes(draw), name="twice.dxf")

    def test_a_line_drawn_twice(self) -> None:
        def draw(msp: Modelspace) -> None:
            lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0)])
            msp.add_line((100, 0), (0, 0))

        with pytest.raises(SelfCrossing, match="drawn twice"):
            read_drawing(dxf_bytes(draw), name="twice.dxf")

    def test_a_fork(self) -> None:
        def draw(msp: Modelspace) -> None:
            lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0), (-20, -20)])

        with pytest.raises(SelfCrossing, match=r"3 lines meet at \(0\.000, 0\.000\) mm"):
            read_drawing(dxf_bytes(draw), name="fork.dxf")

    def test_an_outline_without_area(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            polygon(msp, [(50, 20), (60, 20)])

        with pytest.raises(NoOutline, match="no area"):
            read_drawing(dxf_bytes(draw), name="flat.dxf")

    @pytest.mark.parametrize("bad", ["nan", "inf", "-inf", "1e300"])
    def test_coordinates_that_are_no_numbers(self, bad: str) -> None:
        data = dxf_bytes(lambda msp: rectangle(msp, 0, 0, 12345.5, 40)).replace(b"12345.5", bad.encode())
        with pytest.raises(BadCutFile) as caught:
            read_drawing(data, name="nan.dxf")
        assert "LWPOLYLINE" in (caught.value.place or "")

    def test_a_line_without_an_end(self) -> None:
        data = dxf_bytes(lambda msp: msp.add_line((0, 0), (12345.5, 0)))
        start = data.index(b"11\n12345.5")
        cut = data[:start].rstrip(b" ") + data[data.index(b"\n", data.index(b"31\n", start) + 3) + 1 :]
        with pytest.raises(BadCutFile, match="end is missing"):
            read_drawing(cut, name="half.dxf")
