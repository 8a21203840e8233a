"""The DXF of a part: what a reader finds in it, and that it is the same to the byte every time."""

from __future__ import annotations

import subprocess
import sys
from hashlib import sha256
from io import StringIO

import ezdxf
import pytest
from ezdxf.audit import Auditor
from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import read
from shapely import Polygon

from service.demo.drawing import dxf_bytes
from service.demo.filler_stars import SMALL_ZONE, small_star
from service.demo.layout import FillerCapper
from service.demo.part import Disc, Part
from service.demo.plates import bearing_plate, bottle_plate, cap_chute_cheek, screw_blank
from service.demo.shapes import rectangle
from service.outlines.drawing import read_drawing
from tests.demo.flattened import material

STAR = small_star(FillerCapper.of_line_4().infeed, 65.8).segment(1)


def document_of(data: bytes) -> Document:
    return read(StringIO(data.decode("ascii")))


def entities(data: bytes) -> dict[tuple[str, str], int]:
    counted: dict[tuple[str, str], int] = {}
    for entity in document_of(data).modelspace():
        key = (entity.dxf.layer, entity.dxftype())
        counted[key] = counted.get(key, 0) + 1
    return counted


def test_a_star_segment_is_an_outline_with_bulges_round_holes_a_hub_and_keepouts() -> None:
    data = dxf_bytes(STAR)
    assert entities(data) == {
        ("CUT", "LWPOLYLINE"): 1,
        ("CUT", "CIRCLE"): 4,
        ("HUB", "CIRCLE"): 1,
        ("KEEPOUT", "CIRCLE"): 4,
    }
    (outline,) = document_of(data).modelspace().query("LWPOLYLINE")
    assert outline.closed  # type: ignore[attr-defined] # the query says that it is a polyline
    radii = {round(abs(bulge), 6) for *_, bulge in outline.get_points("xyb")}  # type: ignore[attr-defined] # the same
    assert len(radii - {0.0}) > 5


def test_the_file_says_its_units_and_passes_the_audit_of_an_independent_library() -> None:
    for unit, code in (("mm", 4), ("in", 1)):
        document = document_of(dxf_bytes(STAR, unit="in" if unit == "in" else "mm"))
        # DXF reference, header variable $INSUNITS: 1 inches, 4 millimetres.
        assert document.header["$INSUNITS"] == code
        assert document.dxfversion == "AC1024"
        auditor: Auditor = document.audit()
        assert not auditor.errors
        assert not auditor.fixes


@pytest.mark.parametrize(
    "part",
    [STAR, bearing_plate(150, 140, 47), bottle_plate(108), screw_blank(520, 90)],
    ids=["star", "bearing", "plate", "screw"],
)
def test_millimetres_inches_polylines_and_single_lines_and_arcs_all_mean_the_same_part(part: Part) -> None:
    expected = material(part, steps=400)
    for drawn in (dxf_bytes(part), dxf_bytes(part, unit="in"), dxf_bytes(part, entities="lines and arcs")):
        found = read_drawing(drawn, name="part.dxf").material
        assert found.symmetric_difference(expected).area < 2e-4 * expected.area


def test_single_lines_and_arcs_are_what_it_says() -> None:
    counted = entities(dxf_bytes(STAR, entities="lines and arcs"))
    assert ("CUT", "LWPOLYLINE") not in counted
    assert counted["CUT", "ARC"] > 20
    assert counted["CUT", "LINE"] > 10


def test_inch_and_millimetre_drawings_differ_by_25_4() -> None:
    # 1 inch is 25.4 mm exactly.
    part = Part(rectangle((0, 0), 254, 127))
    widths = []
    for unit in ("mm", "in"):
        document = document_of(dxf_bytes(part, unit="in" if unit == "in" else "mm"))
        (outline,) = document.modelspace().query("LWPOLYLINE")
        xs = [x for x, _ in outline.get_points("xy")]  # type: ignore[attr-defined] # a polyline
        widths.append(max(xs) - min(xs))
    assert widths == pytest.approx([254, 10])


def test_the_cap_chute_is_one_closed_spline_without_a_kink() -> None:
    part = cap_chute_cheek(430, 150, 64)
    data = dxf_bytes(part)
    assert entities(data) == {("CUT", "SPLINE"): 1, ("CUT", "CIRCLE"): 4}
    found = read_drawing(data, name="chute.dxf")
    (cheek,) = found.material.geoms
    assert len(cheek.interiors) == 4
    assert found.bounds_mm == pytest.approx((-32, -182, 462, 32), abs=4)
    spline = document_of(data).modelspace().query("SPLINE")[0]
    tool = spline.construction_tool()
    first, last = tool.derivatives([0.0, tool.max_t], 1)
    assert first[0].isclose(last[0])
    assert first[1].normalize().isclose(last[1].normalize(), abs_tol=1e-6)
    outline = Polygon([(point.x, point.y) for point in tool.flattening(0.05)])
    assert outline.is_valid
    assert outline.buffer(-28).area > 0


def test_engraving_zones_and_keepouts_are_on_their_own_layers() -> None:
    part = Part(
        rectangle((0, 0), 200, 100),
        hubs=(Disc((0, 0), 20),),
        engraving=(rectangle((50, 20), 60, 20, 10),),
        keepouts=(Disc((-60, 0), 15),),
    )
    found = read_drawing(dxf_bytes(part), name="part.dxf")
    assert found.area_mm2 == pytest.approx(200 * 100)
    assert [round(zone.area) for zone in found.engraving_zones] == [1200]
    assert [round(zone.area, -1) for zone in found.keepouts] == [710]
    assert [round(hub.area, -1) for hub in found.hubs] == [1260]


def test_the_same_part_gives_the_same_bytes_also_in_another_process() -> None:
    data = dxf_bytes(STAR)
    assert dxf_bytes(STAR) == data
    program = (
        "from hashlib import sha256\n"
        "from service.demo.drawing import dxf_bytes\n"
        "from service.demo.filler_stars import small_star\n"
        "from service.demo.layout import FillerCapper\n"
        "part = small_star(FillerCapper.of_line_4().infeed, 65.8).segment(1)\n"
        "print(sha256(dxf_bytes(part)).hexdigest())"
    )
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == sha256(data).hexdigest()


def test_writing_leaves_the_librarys_switch_as_it_was() -> None:
    dxf_bytes(STAR)
    assert ezdxf.options.write_fixed_meta_data_for_testing is False  # type: ignore[attr-defined] # exported without saying so


def test_the_zone_of_a_small_star_fits_between_hub_and_pockets() -> None:
    assert SMALL_ZONE.radius_mm - SMALL_ZONE.height_mm / 2 > 62
