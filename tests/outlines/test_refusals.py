"""Outlines that are refused, and how the message names what is wrong and where."""

from __future__ import annotations

import pytest
from ezdxf.layouts.layout import Modelspace

from service.errors import BadCutFile, NoOutline, SelfCrossing
from service.outlines.drawing import read_drawing
from tests.outlines.dxf_files import (
    PLATE_AREA_MM2,
    circle,
    dxf_bytes,
    lines,
    plate,
    polygon,
    rectangle,
)


def test_an_empty_drawing() -> None:
    with pytest.raises(NoOutline, match="no closed outline"):
        read_drawing(dxf_bytes(lambda _: None), name="empty.dxf")


def test_an_open_outline_is_named_with_its_gap_and_its_ends() -> None:
    def draw(msp: Modelspace) -> None:
        circle(msp, 20, 20, 5)
        lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0.4)])

    with pytest.raises(NoOutline, match=r"open by 0\.400 mm between \(0\.000, 0\.\d00\) mm and") as caught:
        read_drawing(dxf_bytes(draw), name="gap.dxf")
    place = caught.value.place or ""
    assert place.startswith("LINE #")
    assert " to LINE #" in place


def test_four_lines_that_nearly_meet_do_not_turn_holes_into_the_part() -> None:
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


def test_an_open_outline_round_closed_holes_is_refused_however_wide_its_gap() -> None:
    def draw(msp: Modelspace) -> None:
        circle(msp, 20, 20, 5)
        lines(msp, [(0, 40), (0, 0), (100, 0), (100, 40)])

    with pytest.raises(NoOutline, match=r"open by 100\.000 mm"):
        read_drawing(dxf_bytes(draw), name="side-missing.dxf")


def test_an_outline_whose_gap_is_short_beside_its_length_is_refused() -> None:
    def draw(msp: Modelspace) -> None:
        rectangle(msp, 0, 0, 300, 300)
        lines(msp, [(50, 52), (50, 150), (150, 150), (150, 50), (52, 50)])  # a hole with a corner missing

    with pytest.raises(NoOutline, match=r"open by 2\.828 mm"):
        read_drawing(dxf_bytes(draw), name="corner.dxf")


def test_a_line_that_climbs_is_refused() -> None:
    def draw(msp: Modelspace) -> None:
        plate(msp)
        msp.add_line((0, 0, 0), (100, 0, 5))

    with pytest.raises(BadCutFile, match="flat") as caught:
        read_drawing(dxf_bytes(draw), name="climb.dxf")
    assert (caught.value.place or "").startswith("LINE #")


def test_an_open_profile_beside_the_part_is_left_out() -> None:
    def draw(msp: Modelspace) -> None:
        plate(msp)
        lines(msp, [(200, 0), (230, 0), (230, 30), (200, 30)], layer="PROFILE")
        lines(msp, [(50, 10), (55, 20), (60, 10)])  # a stroked letter on the part

    assert read_drawing(dxf_bytes(draw), name="profile.dxf").area_mm2 == pytest.approx(PLATE_AREA_MM2)


def test_a_single_open_line() -> None:
    with pytest.raises(NoOutline, match=r"open by 10\.000 mm"):
        read_drawing(dxf_bytes(lambda msp: lines(msp, [(0, 0), (10, 0)])), name="line.dxf")


def test_ends_within_the_joining_distance_meet() -> None:
    def draw(msp: Modelspace) -> None:
        lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0.04)])

    assert read_drawing(dxf_bytes(draw), name="small-gap.dxf").area_mm2 == pytest.approx(4000, rel=1e-3)


def test_a_bow_tie_is_refused_with_the_crossing() -> None:
    def draw(msp: Modelspace) -> None:
        polygon(msp, [(0, 0), (10, 10), (10, 0), (0, 10)])

    with pytest.raises(SelfCrossing, match=r"\(5\.000, 5\.000\) mm") as caught:
        read_drawing(dxf_bytes(draw), name="bow.dxf")
    assert (caught.value.place or "").startswith("LWPOLYLINE #")


def test_a_crossing_in_inches_is_told_in_millimetres() -> None:
    def draw(msp: Modelspace) -> None:
        polygon(msp, [(0, 0), (10, 10), (10, 0), (0, 10)])

    with pytest.raises(SelfCrossing, match=r"\(127\.000, 127\.000\) mm"):
        read_drawing(dxf_bytes(draw, insunits=1), name="bow.dxf")


def test_two_outlines_that_cross() -> None:
    def draw(msp: Modelspace) -> None:
        rectangle(msp, 0, 0, 100, 40)
        circle(msp, 100, 20, 5)

    with pytest.raises(SelfCrossing, match="two outlines cross") as caught:
        read_drawing(dxf_bytes(draw), name="cross.dxf")
    assert "LWPOLYLINE" in (caught.value.place or "")
    assert "CIRCLE" in (caught.value.place or "")


def test_an_outline_drawn_twice() -> None:
    def draw(msp: Modelspace) -> None:
        plate(msp)
        rectangle(msp, 0, 0, 100, 40, layer="COPY")

    with pytest.raises(SelfCrossing, match="drawn twice"):
        read_drawing(dxf_bytes(draw), name="twice.dxf")


def test_a_line_drawn_twice() -> None:
    def draw(msp: Modelspace) -> None:
        lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0)])
        msp.add_line((100, 0), (0, 0))

    with pytest.raises(SelfCrossing, match="drawn twice"):
        read_drawing(dxf_bytes(draw), name="twice.dxf")


def test_a_fork() -> None:
    def draw(msp: Modelspace) -> None:
        lines(msp, [(0, 0), (100, 0), (100, 40), (0, 40), (0, 0), (-20, -20)])

    with pytest.raises(SelfCrossing, match=r"3 lines meet at \(0\.000, 0\.000\) mm"):
        read_drawing(dxf_bytes(draw), name="fork.dxf")


def test_an_outline_without_area() -> None:
    def draw(msp: Modelspace) -> None:
        plate(msp)
        polygon(msp, [(50, 20), (60, 20)])

    with pytest.raises(NoOutline, match="no area"):
        read_drawing(dxf_bytes(draw), name="flat.dxf")


@pytest.mark.parametrize("bad", ["nan", "inf", "-inf", "1e300"])
def test_coordinates_that_are_no_numbers(bad: str) -> None:
    data = dxf_bytes(lambda msp: rectangle(msp, 0, 0, 12345.5, 40)).replace(b"12345.5", bad.encode())
    with pytest.raises(BadCutFile) as caught:
        read_drawing(data, name="nan.dxf")
    assert "LWPOLYLINE" in (caught.value.place or "")


def test_a_line_without_an_end() -> None:
    data = dxf_bytes(lambda msp: msp.add_line((0, 0), (12345.5, 0)))
    start = data.index(b"11\n12345.5")
    cut = data[:start].rstrip(b" ") + data[data.index(b"\n", data.index(b"31\n", start) + 3) + 1 :]
    with pytest.raises(BadCutFile, match="end is missing"):
        read_drawing(cut, name="half.dxf")
