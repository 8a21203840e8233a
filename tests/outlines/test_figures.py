"""What a person with a tape finds on a part: length, breadth, pockets, holes."""

from __future__ import annotations

import math
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from service.demo.shop import demo_shop
from service.outlines.drawing import Drawing, read_drawing
from service.outlines.figures import OutlineFigures, outline_figures


def drawing(*parts: Polygon) -> Drawing:
    return Drawing(MultiPolygon(parts), (), (), (), "mm", 1.0)


def wheel(
    count: int, *, land_mm: float = 150.0, pocket_mm: float = 33.0, missing: frozenset[int] = frozenset()
) -> Polygon:
    """A disc with round pockets on its rim, in steps of a full turn over ``count``, some of them not cut."""
    made: BaseGeometry = Point(0, 0).buffer(land_mm, quad_segs=90)
    for index in range(count):
        if index not in missing:
            turn = 2 * math.pi * index / count
            made = made.difference(
                Point(land_mm * math.cos(turn), land_mm * math.sin(turn)).buffer(pocket_mm, quad_segs=45)
            )
    assert isinstance(made, Polygon)
    return made


@cache
def demo_figures() -> dict[tuple[str, str], OutlineFigures]:
    """The figures of every revision of the demonstration."""
    return {
        (file.name, file.revision): outline_figures(read_drawing(file.data, name=file.name))
        for file in demo_shop().cut_files
    }


# Pockets of a wheel over its segments, as the demonstration builds its machines: starwheels of 8, 12 and 16 pockets
# in halves and quarters.
@pytest.mark.parametrize(
    ("stem", "pockets"),
    [
        ("osv4-fc1-a500-sw1", 4),
        ("osv4-fc1-a500-sw2", 3),
        ("osv4-fc1-a500-sw3", 4),
        ("osv4-fc1-a500-sw4", 4),
        ("osv4-fc1-a330-sw1", 4),
        ("osv4-fc1-a330-sw2", 3),
        ("osv4-fc1-a330-sw4", 4),
        ("osv2-fl1-c500-sw1", 4),
        ("osv2-fl1-c500-sw2", 4),
        ("mrg1-lb1-a12-sw1", 4),
        ("mrg1-lb1-a12-sw2", 4),
    ],
)
def test_every_segment_of_a_demo_star_shows_its_pockets(stem: str, pockets: int) -> None:
    """Round pockets and square ones, with their dovetails at both ends."""
    found = {key: figures.pockets for key, figures in demo_figures().items() if key[0].startswith(stem)}
    assert found
    assert set(found.values()) == {pockets}, found


def test_guides_rails_screws_plates_and_chutes_have_none() -> None:
    others = {key: figures for key, figures in demo_figures().items() if "-sw" not in key[0]}
    assert len(others) > 30
    assert {key: figures.pockets for key, figures in others.items() if figures.pockets} == {}


def test_a_wider_pocket_shows_in_its_radius() -> None:
    """The second release of the half of star wheel 4 opens its pockets by 0.8 mm."""
    before, after = (demo_figures()["osv4-fc1-a500-sw4-u2.dxf", letter] for letter in ("-", "A"))
    assert before.pocket_radius_mm is not None
    assert after.pocket_radius_mm is not None
    assert after.pocket_radius_mm - before.pocket_radius_mm == pytest.approx(0.4, abs=0.01)


@pytest.mark.parametrize("count", range(6, 13))
def test_a_whole_wheel(count: int) -> None:
    figures = outline_figures(drawing(wheel(count)))
    assert figures.pockets == count
    assert figures.pocket_radius_mm == pytest.approx(33.0, abs=0.05)


def test_two_pockets_and_one() -> None:
    assert outline_figures(drawing(wheel(12, missing=frozenset(range(2, 12))))).pockets == 2
    lone = outline_figures(drawing(wheel(12, missing=frozenset(range(1, 12)))))
    assert lone.pockets == 1
    assert lone.pocket_radius_mm == pytest.approx(33.0, abs=0.05)


def test_half_pockets_at_the_ends_do_not_count() -> None:
    """A half that is split through two pockets: of twelve, five are whole on each side."""
    half = wheel(12).intersection(box(-200, 0, 200, 200))
    assert isinstance(half, Polygon)
    assert outline_figures(drawing(half)).pockets == 5


def test_length_and_breadth_of_a_rectangle() -> None:
    """400 by 300 has a diagonal of 500; square to it lie twice the height of the triangle, 2 x 240."""
    figures = outline_figures(drawing(box(0, 0, 400, 300)))
    assert figures.length_mm == pytest.approx(500)
    assert figures.breadth_mm == pytest.approx(480)
    assert (figures.pockets, figures.pocket_radius_mm, figures.holes) == (0, None, 0)


def test_holes_are_counted() -> None:
    plate: BaseGeometry = box(0, 0, 400, 300)
    for x in (50, 350):
        plate = plate.difference(Point(x, 150).buffer(5))
    assert isinstance(plate, Polygon)
    assert outline_figures(drawing(plate)).holes == 2


def test_pockets_of_two_pieces_in_one_drawing_are_counted_together() -> None:
    other = affinity.translate(wheel(8), 1000, 0)
    assert outline_figures(drawing(wheel(12), other)).pockets == 20


@settings(max_examples=40, deadline=None)
@given(
    turn=st.floats(0, 360),
    dx=st.floats(-5000, 5000),
    dy=st.floats(-5000, 5000),
    mirrored=st.booleans(),
    stem=st.sampled_from(("osv4-fc1-a500-sw2-u1", "osv2-fl1-c500-sw1-u1", "osv4-fc1-a500-or1-l1")),
)
def test_a_part_may_lie_as_it_likes(*, turn: float, dx: float, dy: float, mirrored: bool, stem: str) -> None:
    """Turned, moved or turned over, the figures stay."""
    plain = demo_parts()[stem]
    laid = affinity.translate(affinity.rotate(plain, turn, origin=(0, 0)), dx, dy)
    if mirrored:
        laid = affinity.scale(laid, xfact=-1, origin=(0, 0))
    before, after = outline_figures(drawing(plain)), outline_figures(drawing(laid))
    assert after.length_mm == pytest.approx(before.length_mm, abs=0.01)
    assert after.breadth_mm == pytest.approx(before.breadth_mm, abs=0.05)
    assert (after.pockets, after.holes) == (before.pockets, before.holes)


@cache
def demo_parts() -> dict[str, Polygon]:
    return {
        file.name.removesuffix(".dxf"): read_drawing(file.data, name=file.name).material.geoms[0]
        for file in demo_shop().cut_files
        if file.revision == "-"
    }
