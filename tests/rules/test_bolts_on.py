"""The order of pairs that bolt on in each other's place, and what is said of them."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.rules.bolts_on import Part, alike, danger, deck_steps, interchangeable, ranked, reasons

PLAIN = Part(
    number="OSV4-FC1-A500-SW1-U1-41",
    place="SW1-U1",
    kit="OSV4-FC1-A500",
    machine="OSV4-FC1",
    machine_class="FC",
    container="A500",
    body_mm=65.8,
    height_mm=212.0,
    deck="upper",
    hand=None,
    stock_colour="green",
    thickness_mm=25.0,
    cut_file="osv4-fc1-a500-sw1-u1.dxf",
    revision="-",
    shape=1,
    twin=1,
    area_mm2=30_000.0,
    reach_mm=140.0,
    spin_mm=90.0,
)


def part(**changes: object) -> Part:
    """A part like the plain one, of another shape unless said."""
    return replace(PLAIN, **{"number": "N", "shape": 2, "twin": 2, "place": "SW1-U2", **changes})  # type: ignore[arg-type]  # fields by name


parts = st.builds(
    part,
    kit=st.sampled_from(["K1", "K2", "K3"]),
    machine=st.sampled_from(["OSV4-FC1", "OSV4-FC2", "OSV4-LB1"]),
    machine_class=st.sampled_from(["FC", "LB"]),
    place=st.sampled_from(["SW1-U1", "SW1-U2"]),
    container=st.sampled_from(["A500", "A330"]),
    stock_colour=st.sampled_from(["green", "blue"]),
    thickness_mm=st.sampled_from([20.0, 25.0]),
    shape=st.integers(1, 9),
    area_mm2=st.floats(5_000, 60_000),
    reach_mm=st.floats(80, 200),
    spin_mm=st.floats(50, 120),
)


@given(some=st.lists(parts, min_size=2, max_size=14), most=st.integers(1, 8), split=st.integers(0, 13))
@settings(max_examples=150, deadline=None)
def test_the_first_pairs_are_those_that_trying_all_gives(some: list[Part], most: int, split: int) -> None:
    # Parts of one shape have one pattern and one set of figures.
    by_shape = {(one.shape, one.machine_class): one for one in some}
    some = [
        replace(one, area_mm2=by_shape[one.shape, one.machine_class].area_mm2)
        if one.shape <= split
        else replace(one, shape=100 + index)
        for index, one in enumerate(some)
    ]
    groups = [[index for index, one in enumerate(some) if (one.shape <= 4) == low] for low in (True, False)]
    found = ranked(some, groups, [(0, 0, True), (1, 1, True), (0, 1, False)], most=most)
    every = [
        (danger(some[a], some[b], every_hole=(some[a].shape <= 4) == (some[b].shape <= 4)), -a, -b)
        for a, b in combinations(range(len(some)), 2)
        if some[a].machine_class == some[b].machine_class and not interchangeable(some[a], some[b])
    ]
    assert found.total == len(every)
    assert list(found.pairs) == [(-a, -b) for _, a, b in sorted(every, reverse=True)[:most]]


@given(one=parts, other=parts)
def test_a_pair_is_as_dangerous_either_way_and_never_more_than_its_areas_are_alike(one: Part, other: Part) -> None:
    assert danger(one, other) == pytest.approx(danger(other, one))
    ratio = min(one.area_mm2, other.area_mm2) / max(one.area_mm2, other.area_mm2)
    assert 0 <= danger(one, other) <= alike(one, other) <= ratio + 1e-12


def test_what_is_easier_to_mistake_comes_first() -> None:
    order = [
        danger(PLAIN, part()),
        danger(PLAIN, part(kit="OSV4-FC1-A330", place="SW1-U1", container="A330", stock_colour="green")),
        danger(PLAIN, part(kit="OSV4-FC1-A330", container="A330")),
        danger(PLAIN, part(kit="OSV5-FC1-A330", machine="OSV5-FC1", container="A330")),
    ]
    assert order[1] > order[0] > order[2] > order[3]
    assert danger(PLAIN, part()) > danger(PLAIN, part(stock_colour="blue")) > 0
    assert danger(PLAIN, part()) > danger(PLAIN, part(thickness_mm=20.0))
    assert danger(PLAIN, part()) > danger(PLAIN, part(), every_hole=False)


def test_one_shape_at_one_thickness_is_no_mistake() -> None:
    assert interchangeable(PLAIN, part(shape=1))
    assert not interchangeable(PLAIN, part(shape=1, thickness_mm=20.0))
    assert not interchangeable(PLAIN, part())


def test_what_would_be_wrong_is_said_with_its_figures() -> None:
    other = part(container="A330", body_mm=62.4, height_mm=178.0, thickness_mm=20.0, kit="OSV4-FC1-A330")
    assert reasons(PLAIN, other, farthest_mm=3.14, turned_over=True) == (
        "it has to be turned over, and its mark then lies underneath",
        "made for a body of 62.4 mm, 3.4 mm less than 65.8 mm",
        "made for a container 34 mm lower",
        "20 mm thick, where 25 mm belong",
        "where they differ most their edges lie 3.1 mm apart",
        "both are green",
    )
    twin = part(twin=1, hand="RIGHT")
    assert reasons(replace(PLAIN, hand="LEFT"), twin, farthest_mm=0.0, turned_over=True)[:2] == (
        "the mirror twin: it fits turned over, with its mark and its countersinks on the wrong face",
        "RIGHT, where LEFT belongs",
    )


def test_the_deck_is_drilled_too_and_other_kits_are_named() -> None:
    steps = deck_steps(PLAIN, part(), move=True, hole="hole of 9.0 mm", at=(1.0, -2.0), kits=2)
    assert steps[0] == "Move the hole of 9.0 mm in osv4-fc1-a500-sw1-u1.dxf to x 1.0, y -2.0, and release it."
    assert "Drill the deck of OSV4-FC1" in steps[1]
    assert "Set a stud on OSV4-FC1 at SW1-U2" in steps[2]
    assert "the 2 other kits" in steps[3]
    same_place = deck_steps(
        PLAIN, part(place="SW1-U1", kit="K2", container="A330"), move=False, hole="hole of 9.0 mm", at=(0, 0), kits=1
    )
    assert "no fixed stud" in same_place[1]
    assert "loose pin" in same_place[1]
