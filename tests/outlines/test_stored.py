"""A drawing kept as bytes comes back as it was."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import CutFileAltered
from service.outlines.drawing import Drawing, read_drawing
from service.outlines.stored import from_bytes, to_bytes
from tests.outlines.dxf_files import circle, dxf_bytes, rectangle


def drawing() -> Drawing:
    """A part with a hole, two pieces, zones of every kind, in inches."""
    data = dxf_bytes(
        lambda msp: [
            rectangle(msp, 0, 0, 10, 4),
            circle(msp, 2, 2, 0.5),
            rectangle(msp, 20, 0, 25, 4),
            rectangle(msp, 4, 1, 9, 3, layer="ENGRAVE"),
            circle(msp, 2, 2, 1, layer="KEEPOUT"),
            circle(msp, 8, 2, 1, layer="KEEPOUT"),
            circle(msp, 3, 2, 1, layer="HUB"),
        ],
        insunits=1,
    )
    return read_drawing(data, name="part.dxf")


KEPT = to_bytes(drawing())


def test_it_comes_back_as_it_was() -> None:
    again = from_bytes(KEPT)
    assert again == drawing()
    assert (again.units, again.mm_per_unit) == ("in", 25.4)
    assert to_bytes(again) == KEPT


@given(st.data())
def test_cut_or_foreign_bytes_are_refused(data: st.DataObject) -> None:
    cut = data.draw(st.integers(0, len(KEPT) - 1))
    for broken in (KEPT[:cut], KEPT + b"x", b"", data.draw(st.binary(max_size=200))):
        with pytest.raises(CutFileAltered):
            from_bytes(broken)


@given(st.integers(0, 12 + 3), st.integers(1, 255))
def test_a_changed_head_is_refused_or_stays_readable(at: int, change: int) -> None:
    altered = bytearray(KEPT)
    altered[at] ^= change
    with suppress(CutFileAltered):
        assert from_bytes(bytes(altered)).material == drawing().material
