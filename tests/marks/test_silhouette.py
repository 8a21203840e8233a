"""The silhouette of a container: to scale where the register says how large, plain elsewhere."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from service.marks.silhouette import Container, silhouette


def make_container(**facts: Any) -> Container:
    return Container(**{"shape": "round", "width_mm": 65.3, "height_mm": 212.0, "neck_finish": "28-410", **facts})


def width_at(container: Container, y: float) -> float:
    cut = Polygon(silhouette(container)).intersection(Polygon([(-999, y), (999, y), (999, y + 0.01), (-999, y + 0.01)]))
    return float(cut.bounds[2] - cut.bounds[0])


def test_width_and_height_are_the_registers() -> None:
    left, bottom, right, top = Polygon(silhouette(make_container())).bounds
    assert (right - left, top - bottom) == pytest.approx((65.3, 212.0))


# The first number of a finish is the nominal outside diameter of its thread in mm: trade pages on neck finishes.
@pytest.mark.parametrize(
    ("finish", "diameter"), [("28-400", 28.0), ("28-410", 28.0), ("38-400", 38.0), ("28/410", 28.0)]
)
def test_the_neck_has_the_diameter_of_its_finish(finish: str, diameter: float) -> None:
    container = make_container(neck_finish=finish)
    assert container.neck_mm == diameter
    assert width_at(container, 211.0) == pytest.approx(diameter, abs=0.1)


def test_a_neck_that_is_not_on_record_is_narrower_than_the_body() -> None:
    assert 20 < make_container(neck_finish="").neck_mm < 40
    assert 20 < make_container(neck_finish="crown").neck_mm < 40


def test_an_angular_body_keeps_its_width_further_up_than_a_round_one() -> None:
    square = make_container(shape="square", width_mm=62.0, height_mm=190.0)
    round_ = make_container(width_mm=62.0, height_mm=190.0)
    assert width_at(square, 150.0) == pytest.approx(62.0)
    assert width_at(round_, 150.0) < 58.0


def test_a_waist_is_as_narrow_as_the_register_says() -> None:
    waisted = make_container(shape="round, waisted", height_mm=178.0, waist_mm=57.4)
    narrowest = min(width_at(waisted, y) for y in range(20, 110))
    assert narrowest == pytest.approx(57.4, abs=0.2)
    assert min(width_at(make_container(height_mm=178.0, waist_mm=57.4), y) for y in range(20, 110)) > 65.0


@given(
    shape=st.sampled_from(["round", "square", "round, waisted", ""]),
    width=st.floats(5, 500),
    height=st.floats(5, 600),
    waist=st.none() | st.floats(1, 500),
    finish=st.sampled_from(["", "28-410", "120-400", "38-400", "odd"]),
)
def test_any_container_gives_a_sound_outline(
    shape: str, width: float, height: float, waist: float | None, finish: str
) -> None:
    container = Container(shape=shape, width_mm=width, height_mm=height, waist_mm=waist, neck_finish=finish)
    outline = Polygon(silhouette(container))
    assert outline.buffer(0).area == pytest.approx(outline.area, rel=1e-6)
    assert outline.bounds == pytest.approx((-width / 2, 0.0, width / 2, height), abs=1e-6)
