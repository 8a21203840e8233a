"""Engraving as DXF: a library of another make reads the strokes back in the units of the source."""

from __future__ import annotations

import io
import subprocess
import sys

import pytest
from ezdxf import filemanagement
from ezdxf.document import Drawing as DxfDocument
from ezdxf.entities.lwpolyline import LWPolyline
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadCutFile
from service.marks.engraving import Engraving
from service.outlines.units import LENGTH_UNITS, LengthUnit
from service.render.dxf import decimals, engraving_dxf
from tests.part_factory import make_engraving

UNITS = [unit for unit in LENGTH_UNITS if unit.symbol in ("mm", "in", "cm", "m", "ft", "us-ft", "mil", "um")]


def read(data: bytes) -> DxfDocument:
    return filemanagement.read(io.StringIO(data.decode("ascii")))


def polylines(document: DxfDocument) -> list[LWPolyline]:
    return [entity for entity in document.modelspace() if isinstance(entity, LWPolyline)]


def strokes_mm(document: DxfDocument, mm_per_unit: float) -> list[list[tuple[float, float]]]:
    return [[(x * mm_per_unit, y * mm_per_unit) for x, y in entity.get_points("xy")] for entity in polylines(document)]


def assert_same(found: list[list[tuple[float, float]]], engraving: Engraving, *, within_mm: float = 0.0002) -> None:
    assert len(found) == len(engraving.strokes)
    for stroke, planned in zip(found, engraving.strokes, strict=True):
        for point, other in zip(stroke, planned, strict=True):
            assert point == pytest.approx(other, abs=within_mm)


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.symbol)
def test_strokes_come_back_from_every_unit(unit: LengthUnit) -> None:
    engraving = make_engraving(angle_deg=37)
    document = read(engraving_dxf(engraving, mm_per_unit=unit.mm, insunits=unit.insunits))
    assert document.header["$INSUNITS"] == unit.insunits
    assert_same(strokes_mm(document, unit.mm), engraving)


def test_an_inch_file_gets_inches() -> None:
    engraving = make_engraving()
    inches = read(engraving_dxf(engraving, mm_per_unit=25.4, insunits=1))
    assert polylines(inches)[0][0][0] == pytest.approx(engraving.strokes[0][0][0] / 25.4, abs=1e-5)
    assert inches.header["$MEASUREMENT"] == 0
    assert read(engraving_dxf(engraving)).header["$MEASUREMENT"] == 1


def test_everything_is_on_one_layer_of_its_own() -> None:
    document = read(engraving_dxf(make_engraving()))
    assert {entity.dxf.layer for entity in document.modelspace()} == {"ENGRAVE_TEXT"}
    assert {entity.dxftype() for entity in document.modelspace()} == {"LWPOLYLINE"}
    assert "ENGRAVE_TEXT" in document.layers


def test_strokes_are_open_even_where_they_end_where_they_began() -> None:
    document = read(engraving_dxf(make_engraving(number="OOO4-FC1-A500-SW2-U3-42")))
    assert not any(entity.closed for entity in polylines(document))


@given(
    width_mm=st.floats(45, 400),
    height_mm=st.floats(9, 80),
    angle_deg=st.floats(-180, 180),
    unit=st.sampled_from(UNITS),
)
@settings(max_examples=25, deadline=None)
def test_no_auditor_finds_fault(width_mm: float, height_mm: float, angle_deg: float, unit: LengthUnit) -> None:
    engraving = make_engraving(width_mm=width_mm, height_mm=height_mm, angle_deg=angle_deg)
    document = read(engraving_dxf(engraving, mm_per_unit=unit.mm, insunits=unit.insunits))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert_same(strokes_mm(document, unit.mm), engraving)


def test_the_header_gives_the_extents() -> None:
    engraving = make_engraving()
    document = read(engraving_dxf(engraving))
    xs = [x for stroke in engraving.strokes for x, _ in stroke]
    ys = [y for stroke in engraving.strokes for _, y in stroke]
    assert document.header["$EXTMIN"] == pytest.approx((min(xs), min(ys), 0), abs=1e-4)
    assert document.header["$EXTMAX"] == pytest.approx((max(xs), max(ys), 0), abs=1e-4)


def test_handles_are_unique_and_below_the_counter() -> None:
    document = read(engraving_dxf(make_engraving()))
    handles = [int(entity.dxf.handle, 16) for entity in document.modelspace()]
    assert len(set(handles)) == len(handles)
    assert max(handles) < 0xFFFF


def test_the_bytes_depend_on_the_engraving_alone() -> None:
    program = (
        "import hashlib;from tests.part_factory import make_engraving;from service.render.dxf import engraving_dxf;"
        "print(hashlib.sha256(engraving_dxf(make_engraving())).hexdigest())"
    )
    digests = {
        subprocess.run([sys.executable, "-c", program], capture_output=True, check=True, text=True).stdout
        for _ in range(2)
    }
    assert len(digests) == 1
    assert engraving_dxf(make_engraving()) != engraving_dxf(make_engraving(width_mm=60))


def test_the_file_names_no_program_and_no_date() -> None:
    text = engraving_dxf(make_engraving()).decode("ascii").lower()
    assert "ezdxf" not in text
    assert "$tdcreate\n 40\n2451545.0\n" in text


@pytest.mark.parametrize("mm_per_unit", [0.0, -1.0, float("nan"), float("inf")])
def test_a_unit_without_a_length_is_refused(mm_per_unit: float) -> None:
    with pytest.raises(BadCutFile):
        engraving_dxf(make_engraving(), mm_per_unit=mm_per_unit)


@pytest.mark.parametrize(
    ("mm_per_unit", "digits"), [(1.0, 4), (25.4, 6), (1000.0, 7), (10.0, 5), (0.0254, 3), (1e-7, 1)]
)
def test_decimals_keep_a_tenth_of_a_micrometre(mm_per_unit: float, digits: int) -> None:
    assert decimals(mm_per_unit) == digits
    assert 10**-digits * mm_per_unit <= 1.0001e-4
