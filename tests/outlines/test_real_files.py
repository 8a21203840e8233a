"""Drawings of another program, where Debian's package ``openscad`` is installed; its examples are under CC0."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from service.errors import NoOutline, SelfCrossing
from service.outlines.drawing import read_drawing
from service.outlines.stored import from_bytes, to_bytes

EXAMPLES = Path(os.environ.get("OPENSCAD_EXAMPLES", "/usr/share/openscad/examples")) / "Old"


def example(name: str) -> bytes:
    """The bytes of an example."""
    path = EXAMPLES / name
    if not path.exists():
        pytest.skip(f"{path} is not installed")
    return path.read_bytes()


@pytest.mark.parametrize(
    ("name", "area_mm2", "pieces", "holes"), [("example008.dxf", 5400, 4, 2), ("example013.dxf", 2000, 1, 0)]
)
def test_an_outline_of_lines_reads(name: str, area_mm2: float, pieces: int, holes: int) -> None:
    drawing = read_drawing(example(name), name=name, units="mm")
    assert drawing.area_mm2 == pytest.approx(area_mm2)
    assert len(drawing.material.geoms) == pieces
    assert drawing.hole_count == holes
    assert from_bytes(to_bytes(drawing)) == drawing


@pytest.mark.parametrize("name", ["example007.dxf", "example009.dxf"])
def test_several_views_over_each_other_are_refused_and_named(name: str) -> None:
    with pytest.raises((NoOutline, SelfCrossing), match="mm") as caught:
        read_drawing(example(name), name=name, units="mm")
    assert "on layer" in (caught.value.place or "")
