"""What of a drawing counts: blocks, layers, and what is left out."""

from __future__ import annotations

import math

import pytest
from ezdxf.layouts.layout import Modelspace
from shapely.geometry import Point

from service.errors import BadCutFile, NoOutline
from service.outlines.drawing import LayerNames, read_drawing
from tests.outlines.dxf_files import (
    PLATE_AREA_MM2,
    circle,
    dxf_bytes,
    empty_document,
    lines,
    plate,
    rectangle,
    written,
)


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
        assert read_drawing(written(document), name="notes.dxf").area_mm2 == pytest.approx(PLATE_AREA_MM2)

    @pytest.mark.parametrize("state", ["off", "freeze"])
    def test_layers_that_are_off_or_frozen(self, state: str) -> None:
        document = empty_document()
        getattr(document.layers.add("FIXTURE"), state)()
        plate(document.modelspace())
        rectangle(document.modelspace(), -50, -50, 200, 200, layer="Fixture")
        assert read_drawing(written(document), name="fixture.dxf").area_mm2 == pytest.approx(PLATE_AREA_MM2)

    def test_paper_space(self) -> None:
        document = empty_document()
        plate(document.modelspace())
        document.paperspace().add_circle((0, 0), 500)
        assert read_drawing(written(document), name="paper.dxf").area_mm2 == pytest.approx(PLATE_AREA_MM2)

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
        assert drawing.area_mm2 == pytest.approx(PLATE_AREA_MM2)
        assert [zone.area for zone in drawing.engraving_zones] == [pytest.approx(1000)]
        assert [zone.area for zone in drawing.keepouts] == [pytest.approx(math.pi * 81)] * 2
        assert [zone.area for zone in drawing.hubs] == [pytest.approx(math.pi * 36)]

    def test_the_words_are_a_setting(self) -> None:
        def draw(msp: Modelspace) -> None:
            plate(msp)
            rectangle(msp, 40, 10, 90, 30, layer="GRAVUR")

        layers = LayerNames(engrave=("GRAVUR",))
        assert len(read_drawing(dxf_bytes(draw), name="de.dxf", layers=layers).engraving_zones) == 1
        assert read_drawing(dxf_bytes(draw), name="de.dxf").area_mm2 == pytest.approx(PLATE_AREA_MM2 - 1000)

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
