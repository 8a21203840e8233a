"""Whether mounting holes agree: laws, hand-made sets, and SciPy as an independent judge."""

from __future__ import annotations

import math
from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.spatial.transform import Rotation

from service.outlines.hole_agreement import TOLERANCE_MM, Motion, closest, may_agree, motions, needed, whole_motions
from service.outlines.hole_pattern import HolePattern, pattern_of
from service.outlines.pattern_index import Kinds, agreeing
from tests.outlines.hole_sets import RECTANGLE, SCALENE, hole, moved, pattern

turns, shifts = st.floats(0.0, 360.0), st.complex_numbers(max_magnitude=800, allow_nan=False, allow_infinity=False)


def spread(count: int) -> st.SearchStrategy[list[complex]]:
    """Points that lie at least 12 mm apart, as holes do."""
    one = st.complex_numbers(max_magnitude=150, allow_nan=False, allow_infinity=False)
    return st.lists(one, min_size=count, max_size=count).filter(
        lambda points: all(abs(a - b) >= 12 for i, a in enumerate(points) for b in points[:i])
    )


def checked(motion: Motion, one: HolePattern, other: HolePattern) -> None:
    """A motion is what it says: rigid, one hole to one hole, none farther off than it claims."""
    assert abs(motion.turn) == pytest.approx(1.0)
    gaps = [abs(motion.moved(one.holes[a].at) - other.holes[b].at) for a, b in motion.pairs]
    assert max(gaps) == pytest.approx(motion.gap_mm, abs=1e-9)
    assert motion.gap_mm <= TOLERANCE_MM
    assert len({a for a, _ in motion.pairs}) == len({b for _, b in motion.pairs}) == len(motion.pairs)


@given(points=spread(4), turn=turns, shift=shifts, over=st.booleans())
@settings(max_examples=80, deadline=None)
def test_a_pattern_agrees_with_itself_however_it_is_moved_turned_and_turned_over(
    *, points: list[complex], turn: float, shift: complex, over: bool
) -> None:
    one, other = pattern(points), pattern(moved(points, turn_deg=turn, shift=shift, over=over))
    found = whole_motions(one, other)
    assert any(motion.over == over for motion in found)
    for motion in found:
        checked(motion, one, other)
    assert min(motion.gap_mm for motion in found if motion.over == over) < 1e-6


@given(points=spread(4), data=st.data(), turn=turns)
@settings(max_examples=60, deadline=None)
def test_holes_that_are_off_by_less_than_the_tolerance_agree(
    points: list[complex], data: st.DataObject, turn: float
) -> None:
    off = [
        data.draw(st.complex_numbers(max_magnitude=TOLERANCE_MM * 0.999, allow_nan=False, allow_infinity=False))
        for _ in points
    ]
    there = [point + by for point, by in zip(moved(points, turn_deg=turn), off, strict=True)]
    assert whole_motions(pattern(points), pattern(there))


def least_largest_gap(one: list[complex], other: list[complex]) -> float:
    """The least largest distance over all motions and all orders, by brute force.

    SciPy turns the points (scipy.spatial.transform.Rotation) and finds the best angle by a bounded search from many
    starts; for a turn, the best shift is the middle of the smallest circle round the differences.
    """
    best = math.inf
    for over in (False, True):
        for order in permutations(other):
            flat = np.array([[p.real, -p.imag if over else p.imag, 0.0] for p in one])
            marks = np.array([[q.real, q.imag, 0.0] for q in order])

            def worst(angle: float, flat: np.ndarray = flat, marks: np.ndarray = marks) -> float:
                turned = Rotation.from_euler("z", angle).apply(flat)
                return smallest_circle([complex(x, y) for x, y, _ in marks - turned])

            # The least-squares turn, by SciPy's solution of Wahba's problem, is near the best one.
            turn, rmsd = Rotation.align_vectors(upright(marks), upright(flat))
            if rmsd > 3.0:
                continue
            start = turn.as_euler("zyx")[0]
            for aside in (-0.2, -0.1, 0.0, 0.1, 0.2):
                bounds = (start + aside - 0.05, start + aside + 0.05)
                found = minimize_scalar(worst, bounds=bounds, method="bounded", options={"xatol": 1e-9})
                best = min(best, float(found.fun))
    return best


def upright(points: np.ndarray) -> np.ndarray:
    """Points about their middle, and the upright, so that points in one line are turned in their plane alone."""
    return np.vstack([points - points.mean(axis=0), [[0.0, 0.0, 100.0]]])


def smallest_circle(points: list[complex]) -> float:
    """The radius of the smallest circle round points: that of two or of three of them that holds all others."""
    centres = [(a + b) / 2 for a in points for b in points]
    for a, b, c in permutations(points, 3):
        area = ((b - a).conjugate() * (c - a)).imag
        if abs(area) > 1e-12:
            u, v = b - a, c - a
            centres.append(a + 1j * (u * abs(v) ** 2 - v * abs(u) ** 2) / (2 * (u.conjugate() * v).imag))
    return min(max(abs(point - centre) for point in points) for centre in centres)


@given(points=spread(3), data=st.data(), turn=turns, over=st.booleans())
@settings(max_examples=40, deadline=None)
def test_whether_three_holes_agree_is_what_scipy_says(
    *, points: list[complex], data: st.DataObject, turn: float, over: bool
) -> None:
    off = [data.draw(st.complex_numbers(max_magnitude=1.4, allow_nan=False, allow_infinity=False)) for _ in points]
    there = [point + by for point, by in zip(moved(points, turn_deg=turn, over=over), off, strict=True)]
    least = least_largest_gap(points, there)
    # At the limit itself either answer is right.
    assume(abs(least - TOLERANCE_MM) > 2e-3)
    assert bool(whole_motions(pattern(points), pattern(there))) == (least < TOLERANCE_MM)


@given(points=spread(5), turn=turns, shift=shifts)
@settings(max_examples=40, deadline=None)
def test_the_best_motion_is_the_one_that_scipy_finds(points: list[complex], turn: float, shift: complex) -> None:
    """Least squares against scipy.spatial.transform.Rotation.align_vectors."""
    rng = np.random.default_rng(len(points))
    marks = [mark + complex(*rng.normal(0, 0.05, 2)) for mark in moved(points, turn_deg=turn, shift=shift)]
    found, moved_by, gaps = closest(points, marks, 10.0)
    here, there = (np.array([[p.real, p.imag, 0.0] for p in some]) for some in (points, marks))
    theirs, _ = Rotation.align_vectors(upright(there), upright(here))
    angle = theirs.as_euler("zyx")[0]
    assert abs(found - complex(math.cos(angle), math.sin(angle))) < 1e-6
    assert max(gaps) < 0.5
    assert moved_by == pytest.approx(complex(*there.mean(axis=0)[:2]) - found * complex(*here.mean(axis=0)[:2]))


def test_a_pattern_that_is_its_own_image_agrees_in_every_such_way() -> None:
    square = [0j, 60 + 0j, 60 + 60j, 60j]
    assert len(whole_motions(pattern(square), pattern(square))) == 8
    assert len(whole_motions(pattern(RECTANGLE), pattern(RECTANGLE))) == 4
    assert len(whole_motions(pattern(SCALENE), pattern(SCALENE))) == 1
    circle = [60 * complex(math.cos(a), math.sin(a)) for a in np.arange(6) * math.pi / 3]
    assert len(whole_motions(pattern(circle), pattern(circle))) == 12


def test_a_left_hand_pattern_lies_on_the_right_hand_one_only_turned_over() -> None:
    found = whole_motions(pattern(SCALENE), pattern(moved(SCALENE, over=True, turn_deg=33)))
    assert [motion.over for motion in found] == [True]


def test_different_sets_with_the_same_distances_do_not_agree() -> None:
    """Distances alone do not make a pattern: some sets of four points have all six alike and are not congruent."""
    one, other = (pattern([30 * point for point in some]) for some in homometric_pair())
    assert one.distances == pytest.approx(other.distances)
    assert may_agree(one, other)
    assert not whole_motions(one, other)
    kinds = Kinds()
    assert [kinds.add(some) for some in (one, other, one)] == [0, 1, 0]


def homometric_pair() -> tuple[tuple[complex, ...], tuple[complex, ...]]:
    """Two sets of four grid points with the same six distances that are not congruent, by search."""
    grid = [complex(x, y) for x in range(4) for y in range(4)]
    seen: dict[tuple[float, ...], list[complex]] = {}
    for points in combinations(grid, 4):
        key = tuple(sorted(round(abs(a - b), 9) for a, b in combinations(points, 2)))
        first = seen.setdefault(key, list(points))
        if not whole_motions(pattern([30 * p for p in first]), pattern([30 * p for p in points])):
            return tuple(first), points
    raise AssertionError("no such pair on this grid")


def test_holes_for_other_bolts_do_not_agree() -> None:
    assert not motions(pattern(SCALENE, 9.0), pattern(SCALENE, 11.0))
    assert motions(pattern(SCALENE, 9.0), pattern(SCALENE, 9.4))


def test_slots_agree_with_slots_that_lie_alike() -> None:
    def slotted(along: float) -> HolePattern:
        return pattern_of([hole(0j, 9, 22, along), hole(80 + 0j, 9, 22, along), hole(30 + 50j)])

    assert whole_motions(slotted(0.0), slotted(3.0))
    assert not whole_motions(slotted(0.0), slotted(45.0))
    # Turned over, a slot that rises falls.
    over = pattern_of([hole(0j, 9, 22, -30.0), hole(80 + 0j, 9, 22, -30.0), hole(30 - 50j)])
    assert [motion.over for motion in whole_motions(slotted(30.0), over)] == [True]


def test_enough_holes_are_two_and_two_thirds() -> None:
    assert [needed(pattern(SCALENE), pattern(some)) for some in (SCALENE, RECTANGLE, [*RECTANGLE, 20j, 30j])] == [
        2,
        3,
        4,
    ]


@given(points=spread(5), turn=turns, shift=shifts, over=st.booleans(), gone=st.integers(0, 4))
@settings(max_examples=60, deadline=None)
def test_a_part_with_a_hole_less_or_one_elsewhere_still_bolts_on(
    *, points: list[complex], turn: float, shift: complex, over: bool, gone: int
) -> None:
    there = moved(points, turn_deg=turn, shift=shift, over=over)
    fewer = [point for index, point in enumerate(points) if index != gone]
    for one in (fewer, [*fewer, points[gone] + 200j]):
        found = motions(pattern(one), pattern(there))
        assert found
        assert len(found[0].pairs) >= 4
        for motion in found:
            checked(motion, pattern(one), pattern(there))


@given(some=st.lists(spread(3), min_size=2, max_size=8), data=st.data())
@settings(max_examples=30, deadline=None)
def test_the_index_finds_what_holding_each_against_each_finds(some: list[list[complex]], data: st.DataObject) -> None:
    more = [moved(points, turn_deg=data.draw(turns), over=data.draw(st.booleans())) for points in some[:2]]
    nudged = [[point + 0.3 for point in points[:1]] + points[1:] for points in some[:2]]
    kinds = [pattern(points) for points in (*some, *more, *nudged)]
    expected = {
        (a, b): len(ways[0].pairs) == len(kinds[a].holes) == len(kinds[b].holes)
        for a in range(len(kinds))
        for b in range(a + 1, len(kinds))
        if (ways := motions(kinds[a], kinds[b]))
    }
    found = {(a, b): whole for a, b, whole in agreeing(kinds) if a != b}
    assert found == expected
