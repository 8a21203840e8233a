"""The set of damages: the same everywhere, what it says it is, and growing with its severity."""

from __future__ import annotations

import hashlib
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks.survival import FAMILIES
from service.render.damage_shapes import blob, lines
from service.render.damage_window import Grey, Window, chance
from service.render.damages import DAMAGES, EVERY_MARK, LOST_SHARES, SCRATCHES, Damage, loss, scratches

PLATE_MM = (60.0, 22.0)

# SHA-256 over the whole set put to the chequered plate below, in order. It changes when a damage changes, and then
# every floor and every published figure has to be looked at again.
WHOLE_SET = "7c660d193a448cba45d341901574c6909ee5bc0fccf8947f608c199e877cf4bd"


def chequered(*, per_mm: float = 8.0, plate_mm: tuple[float, float] = PLATE_MM) -> Window:
    """A plate of half-millimetre squares."""
    rows, columns = round(plate_mm[1] * per_mm), round(plate_mm[0] * per_mm)
    y, x = np.mgrid[0:rows, 0:columns]
    dark = ((x // round(per_mm / 2)) + (y // round(per_mm / 2))) % 2
    return Window(np.where(dark, np.uint8(0), np.uint8(255)), 0, 0, plate_mm, per_mm, 0.5)


def plain(*, per_mm: float = 8.0, plate_mm: tuple[float, float] = PLATE_MM) -> Window:
    shape = round(plate_mm[1] * per_mm), round(plate_mm[0] * per_mm)
    return Window(np.full(shape, 128, np.uint8), 0, 0, plate_mm, per_mm, 0.5)


def part(window: Window, *, left: int, top: int, width: int, height: int) -> Window:
    grey = window.grey[top : top + height, left : left + width]
    return Window(grey, left, top, window.plate_mm, window.per_mm, window.module_mm)


def test_the_set_is_what_it_was() -> None:
    digest = hashlib.sha256()
    for damage in DAMAGES:
        digest.update(damage.on(chequered()).tobytes())
    assert digest.hexdigest() == WHOLE_SET


def test_the_stream_of_chance_is_that_of_pcg64() -> None:
    """NumPy promises the raw stream (NEP 19); the upper 53 bits are what its own ``Generator.random`` takes."""
    assert chance(7, 5, stream=3).tolist() == np.random.Generator(np.random.PCG64([7, 3])).random(5).tolist()


def test_each_damage_has_a_name_of_its_own_and_a_sentence() -> None:
    assert len({damage.name for damage in DAMAGES}) == len(DAMAGES)
    assert all(damage.sentence and damage.severity >= 1 for damage in DAMAGES)
    assert {damage.family for damage in DAMAGES} == set(FAMILIES)
    assert len(EVERY_MARK) == 2


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.name)
def test_a_damage_changes_a_plate_and_keeps_its_size(damage: Damage) -> None:
    window = chequered()
    before = window.grey.copy()
    damaged = damage.on(window)
    assert damaged.dtype == np.uint8
    assert damaged.shape == before.shape
    assert (window.grey == before).all(), "the plate itself is never written on"
    if damage.name != "print-plain":
        assert (damaged != before).any()


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000), share=st.sampled_from((*LOST_SHARES, 0.05, 0.9)))
def test_a_loss_covers_the_share_that_it_says_in_one_piece(seed: int, share: float) -> None:
    lost = blob(plain(), share=share, seed=seed)
    assert abs(lost.mean() - share) < 0.02
    assert pieces(lost) == 1


def pieces(mask: np.ndarray) -> int:
    """How many pieces a mask has, dots that touch at a side taken together; single dots cut off at an edge left out."""
    left = {(int(y), int(x)) for y, x in zip(*np.nonzero(mask), strict=True)}
    count = 0
    while left:
        open_, size = [left.pop()], 0
        while open_:
            y, x = open_.pop()
            size += 1
            for near in ((y + 1, x), (y - 1, x), (y, x + 1), (y, x - 1)):
                if near in left:
                    left.remove(near)
                    open_.append(near)
        count += size > mask.size / 2000
    return count


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_stronger_damage_of_one_seed_holds_the_weaker(seed: int) -> None:
    for milder, harder in pairwise(LOST_SHARES):
        assert (blob(plain(), share=harder, seed=seed) >= blob(plain(), share=milder, seed=seed)).all()
    for fewer, more in pairwise(SCRATCHES):
        assert (
            lines(plain(), count=more, width_mm=0.5, seed=seed) >= lines(plain(), count=fewer, width_mm=0.5, seed=seed)
        ).all()


@pytest.mark.parametrize("seed", range(6))
def test_a_scratch_is_as_wide_as_it_says_and_runs_right_across(seed: int) -> None:
    """A line through a convex plate cuts off a chord: its area is its length times half a millimetre."""
    window = plain(per_mm=40.0)
    hit = lines(window, count=1, width_mm=0.5, seed=seed)
    y, x = np.nonzero(hit)
    length = np.hypot(x.max() - x.min(), y.max() - y.min()) / 40.0
    assert hit.sum() / 1600 == pytest.approx(0.5 * length, rel=0.12)
    edges = [hit[0].any(), hit[-1].any(), hit[:, 0].any(), hit[:, -1].any()]
    assert sum(edges) >= 2


SHAPES = [damage for damage in DAMAGES if damage.family in ("loss", "scratches", "stain", "print", "light")]


@pytest.mark.parametrize("damage", SHAPES, ids=lambda damage: damage.name)
def test_a_window_is_damaged_as_that_part_of_the_plate(damage: Damage) -> None:
    whole = chequered()
    window = part(whole, left=101, top=37, width=90, height=80)
    expected = damage.on(whole)[37:117, 101:191]
    # A dot at the very edge of a window does not know its neighbour outside.
    assert (damage.on(window)[1:, 1:] == expected[1:, 1:]).all()


def test_worn_is_pale_and_blotted_is_dark() -> None:
    assert loss(1.0, 0).on(plain()).min() > 200
    assert loss(1.0, 1).on(plain()).max() < 50
    assert scratches(12, 0).on(plain()).min() < 50
    assert scratches(12, 1).on(plain()).max() > 200
    assert scratches(12, 1, dark=True).on(plain()).min() < 50


def named(name: str) -> Damage:
    return next(damage for damage in DAMAGES if damage.name == name)


def edge(*, columns: int = 160, at: int = 80) -> Window:
    """Black on the left of a column, white from it on."""
    grey: Grey = np.full((64, columns), 255, np.uint8)
    grey[:, :at] = 0
    return Window(grey, 0, 0, (columns / 8, 8.0), 8.0, 0.5)


def test_a_blurred_edge_is_the_integral_of_the_gauss_curve() -> None:
    """Phi(1) = 0.8413: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1."""
    blurred = named("blur-0.5").on(edge()).astype(float)[32]
    deviation = 0.5 * 0.5 * 8
    # The middle of a dot lies half a dot beyond its edge.
    beyond = np.interp(80 + deviation - 0.5, np.arange(160), blurred) / 255
    assert beyond == pytest.approx(0.8413, abs=0.01)


@pytest.mark.parametrize(("name", "dots"), [("print-plain", 20), ("print-gain", 21), ("print-thin", 19)])
def test_dots_run_and_fall_short_by_one(name: str, dots: int) -> None:
    bar: Grey = np.full((64, 64), 255, np.uint8)
    bar[20:40, 10:30] = 0
    grey = named(name).on(Window(bar, 0, 0, (8.0, 8.0), 8.0, 0.5))
    assert ((grey == 0).sum(axis=0).max(), (grey == 0).sum(axis=1).max()) == (dots, dots)


def test_fading_leaves_the_contrast_that_it_says() -> None:
    faded = named("faded-20").on(edge()).astype(float)
    assert faded[:, 100:].mean() - faded[:, :60].mean() == pytest.approx(0.2 * 255, abs=1)
    veiled = named("veil-20").on(edge()).astype(float)
    assert veiled[:, 100:].mean() - veiled[:, :60].mean() == pytest.approx(0.2 * 255, abs=2)
    assert veiled.min() > 190


def test_dead_elements_leave_whole_columns_white() -> None:
    grey = named("print-dead-2.5-1").on(Window(np.zeros((176, 480), np.uint8), 0, 0, PLATE_MM, 8.0, 0.5))
    white = (grey == 255).all(axis=0)
    assert ((grey == 255).any(axis=0) == white).all()
    assert 20 <= white.sum() <= 24


def test_a_tilt_turns_by_the_angle_that_it_says() -> None:
    """The edge between black and white, followed from row to row, leans by the tangent of the angle."""
    tilted = named("tilt-right-6").on(Window(np.repeat(edge().grey, 3, axis=0), 0, 0, (20.0, 24.0), 8.0, 0.5))
    at = [int(np.argmax(row[40:120] >= 128)) for row in tilted[60:130]]
    lean = np.degrees(np.arctan(np.polyfit(range(len(at)), at, 1)[0]))
    assert abs(lean) == pytest.approx(6.0, abs=1.0)
