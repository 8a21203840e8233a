"""Two parts over each other: both outlines, ringed holes, where one covers alone, the odd holes."""

from __future__ import annotations

import pytest

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import whole_motions
from service.outlines.hole_pattern import hole_pattern
from service.outlines.odd_hole import added_holes
from service.render.overlay_svg import overlay_svg
from tests.outlines.hole_sets import RECTANGLE, SCALENE, hole, plate


def drawn(first: Drawing, second: Drawing, *, with_odd: bool = False) -> str:
    holes = hole_pattern(first), hole_pattern(second)
    odd = added_holes((first, second), holes) if with_odd else (None, None)
    return overlay_svg(
        first,
        second,
        names=("first & one", "second"),
        holes=holes,
        motion=whole_motions(holes[1], holes[0])[0],
        odd=[(index, one) for index, one in enumerate(odd) if one is not None],
    )


def test_both_are_named_and_every_hole_is_ringed() -> None:
    first, second = (plate([hole(point) for point in RECTANGLE], bounds=(-40, -40, right, 90)) for right in (140, 160))
    picture = drawn(first, second)
    assert "first &amp; one" in picture
    assert ">second<" in picture
    assert "4 mounting holes agree" in picture
    # Four rings, and one in the key.
    assert picture.count("<circle") == 5
    assert ">one of them alone<" in picture


def test_one_shape_leaves_nothing_to_one_alone() -> None:
    same = plate([hole(point) for point in SCALENE])
    assert "one of them alone: nowhere" in drawn(same, same)


@pytest.mark.parametrize("slot", [False, True])
def test_odd_holes_are_named_and_crossed(*, slot: bool) -> None:
    holes = [hole(point, 9.0, 25.0 if slot else None) for point in RECTANGLE]
    picture = drawn(plate(holes), plate(holes), with_odd=True)
    assert "added hole for first &amp; one (crossed)" in picture
    assert "added hole for second (crossed)" in picture
