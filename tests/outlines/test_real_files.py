"""Drawings of another program, where Debian's package ``openscad`` is installed; its examples are under CC0.

``OPENSCAD_EXAMPLES`` names another folder that holds them.
"""

from __future__ import annotations

import os
from pathlib import Path

import ezdxf.filemanagement
import pytest
import shapely
from ezdxf.entities.insert import Insert

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


@pytest.mark.parametrize("name", ["example008.dxf", "example013.dxf"])
def test_an_outline_of_lines_has_the_area_that_other_libraries_find(name: str) -> None:
    # Source: the lines as ezdxf reads them, made into areas by Shapely's build_area, which fills even-odd on its own.
    drawing = read_drawing(example(name), name=name, units="mm")
    shown = ezdxf.filemanagement.readfile(EXAMPLES / name).modelspace()
    parted = [
        part for entity in shown for part in (entity.virtual_entities() if isinstance(entity, Insert) else (entity,))
    ]
    ends = [[part.dxf.start.vec2.round(3), part.dxf.end.vec2.round(3)] for part in parted if part.dxftype() == "LINE"]
    built = shapely.build_area(shapely.MultiLineString(ends))
    assert drawing.area_mm2 == pytest.approx(built.area, rel=1e-5)
    assert drawing.material.symmetric_difference(built).area == pytest.approx(0, abs=0.1)
    assert from_bytes(to_bytes(drawing)) == drawing


@pytest.mark.parametrize("name", ["example007.dxf", "example009.dxf"])
def test_several_views_over_each_other_are_refused_and_named(name: str) -> None:
    with pytest.raises((NoOutline, SelfCrossing), match="mm") as caught:
        read_drawing(example(name), name=name, units="mm")
    assert "on layer" in (caught.value.place or "")
