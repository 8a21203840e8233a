"""Finished engraving files are read back before they are handed out."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import ReadBackFailed
from service.marks.engraving import plan_engraving
from service.render.dxf import engraving_dxf
from service.render.engraving_read_back import prove_dxf, prove_svg
from service.render.engraving_svg import engraving_svg
from tests.part_factory import KEY, NUMBER, make_drawing, make_engraving, make_placed
from tests.plain_room import Room


@given(width_mm=st.floats(40, 300), height_mm=st.floats(9, 60), angle_deg=st.floats(-180, 180))
@settings(max_examples=25, deadline=None)
def test_finished_files_say_what_was_planned(width_mm: float, height_mm: float, angle_deg: float) -> None:
    engraving = make_engraving(width_mm=width_mm, height_mm=height_mm, angle_deg=angle_deg)
    prove_dxf(engraving_dxf(engraving), engraving, name="part.dxf")
    prove_dxf(engraving_dxf(engraving, mm_per_unit=25.4, insunits=1), engraving, name="part.dxf")
    prove_svg(engraving_svg(make_placed(engraving)), engraving, name="part.svg")


def test_a_file_in_the_wrong_units_is_refused() -> None:
    engraving = make_engraving()
    with pytest.raises(ReadBackFailed):
        prove_dxf(engraving_dxf(engraving, mm_per_unit=25.4, insunits=4), engraving, name="part.dxf")


def test_a_file_of_another_segment_is_refused() -> None:
    engraving, other = make_engraving(), make_engraving(number="OSV4-FC1-A500-SW2-U4-39")
    with pytest.raises(ReadBackFailed, match=r"'OSV4-FC1-A500 / SW2-U4-39'") as caught:
        prove_dxf(engraving_dxf(other), engraving, name="part.dxf")
    assert caught.value.field == "part.dxf"
    with pytest.raises(ReadBackFailed):
        prove_svg(engraving_svg(make_placed(other)), engraving, name="part.svg")


def test_the_right_text_in_another_place_is_refused() -> None:
    drawing = make_drawing()
    engraving = plan_engraving(number=NUMBER, key=KEY, room=Room(drawing).rectangle)
    text = engraving_dxf(engraving).decode()
    moved = text.replace(" 20\n", " 20\n1", 40)
    with pytest.raises(ReadBackFailed):
        prove_dxf(moved.encode(), engraving, name="part.dxf")
    elsewhere = make_engraving(width_mm=engraving.width_mm + 0.01, height_mm=engraving.height_mm + 0.01)
    assert elsewhere.lines == engraving.lines
    assert elsewhere.cap_height_mm == engraving.cap_height_mm
    with pytest.raises(ReadBackFailed, match="where it was planned"):
        prove_dxf(engraving_dxf(elsewhere), engraving, name="part.dxf")


def test_a_mirrored_picture_is_refused() -> None:
    engraving = make_engraving()
    svg = engraving_svg(make_placed(engraving))
    path = svg.split('<path id="ENGRAVE_TEXT" d="')[1].split('"')[0]
    mirrored = re.sub(r"([M ])(-?[0-9.]+),", lambda found: f"{found[1]}{200 - float(found[2])},", path)
    assert mirrored != path
    with pytest.raises(ReadBackFailed):
        prove_svg(svg.replace(path, mirrored), engraving, name="part.svg")


def test_a_picture_without_strokes_is_refused() -> None:
    with pytest.raises(ReadBackFailed):
        prove_svg("<svg/>", make_engraving(), name="part.svg")
