"""Photographs of plates: found, put straight and read, with nothing known of where the plate lies."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from service.marks.data_matrix_places import data_matrix_places
from service.render.damage_window import Window
from service.render.damages import scratches
from service.render.merge_geometry import Aligner, fitted, projected, projection, sample_aslant
from service.render.merge_modules import LEAST_MARGIN
from service.render.merge_picture import read_picture
from service.render.merge_plates import plate_quadrilaterals
from service.render.merge_shop import plate_layouts
from tests.damaged_plates import PUBLIC_URL, whole_plate
from tests.mark_factory import make_template
from tests.photographs import photographed

KEY = "K7M4XRAW"
LAYOUTS = plate_layouts([make_template(name) for name in ("nameplate-60x22", "tied-tag-80x50")], PUBLIC_URL, KEY)


def scratched(key: str, *, count: int, seed: int) -> np.ndarray:
    layout, grey = whole_plate(key)
    window = Window(grey, 0, 0, (layout.width_mm, layout.height_mm), layout.per_mm, 0.375)
    return scratches(count, seed).on(window)


def test_a_sound_plate_decodes_as_usual() -> None:
    _, grey = whole_plate(KEY)
    reading = read_picture(photographed(grey, rng=Random(1), degrees=20), LAYOUTS)
    assert KEY in reading.texts
    assert reading.key is None
    assert all(symbol.text for symbol in reading.symbols)


@pytest.mark.parametrize(("degrees", "slant"), [(0, 0.0), (180, 0.03), (37, 0.04)])
def test_a_plate_of_which_no_symbol_decodes_is_read_however_it_lies(degrees: float, slant: float) -> None:
    plate = scratched(KEY, count=20, seed=2)
    reading = read_picture(photographed(plate, rng=Random(2), degrees=degrees, slant=slant, light=0.2), LAYOUTS)
    assert reading.texts == ()
    assert reading.key == KEY
    assert reading.margin >= LEAST_MARGIN
    assert reading.template == "nameplate-60x22"
    assert len(reading.symbols) >= 2
    for symbol in reading.symbols:
        assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in symbol.corners)


def test_the_found_symbols_lie_where_they_are() -> None:
    layout, _ = whole_plate(KEY)
    plate = scratched(KEY, count=20, seed=2)
    reading = read_picture(photographed(plate, rng=Random(2), pixels_a_dot=3.0, light=0.2), LAYOUTS)
    margin = 0.12 * plate.shape[1] * 3
    wanted = {
        (round(symbol.left_dots * 3 + margin), round(symbol.top_dots * 3 + margin)) for symbol in layout.symbols()
    }
    for symbol in reading.symbols:
        x, y = symbol.corners[0][0] * reading.width, symbol.corners[0][1] * reading.height
        assert min(max(abs(x - left), abs(y - top)) for left, top in wanted) < 12


@pytest.mark.parametrize("seed", range(2))
def test_what_is_no_plate_is_not_read(seed: int) -> None:
    chance = np.random.default_rng(seed)
    noise = chance.integers(0, 256, (300, 400), dtype=np.uint8)
    coarse = np.kron(chance.integers(0, 2, (60, 80), dtype=np.uint8) * np.uint8(255), np.ones((5, 5), np.uint8))
    for picture in (noise, coarse, np.full((300, 400), 40 * seed, np.uint8)):
        reading = read_picture(picture, LAYOUTS)
        assert (reading.texts, reading.key) == ((), None)


def test_another_shops_plate_is_not_taken_for_ours() -> None:
    """Read with a template whose symbols stand elsewhere it gives the same key or none."""
    others = plate_layouts([make_template("tied-tag-80x50")], PUBLIC_URL, KEY)
    reading = read_picture(photographed(scratched(KEY, count=20, seed=2), rng=Random(2)), others)
    assert reading.key in (None, KEY)


def test_a_projection_takes_the_unit_square_to_its_corners() -> None:
    corners = np.array([(10.0, 20.0), (110.0, 35.0), (100.0, 90.0), (5.0, 70.0)])
    square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    assert np.allclose(projected(projection(corners), square), corners)
    matrix = fitted(square * 50, corners)
    assert np.allclose(projected(matrix, square * 50), corners)
    # The middle of a square goes to where the diagonals of its image cross.
    crossing = projected(projection(corners), np.array([(0.5, 0.5)]))[0]
    for one, other in ((0, 2), (1, 3)):
        along, away = corners[other] - corners[one], crossing - corners[one]
        assert abs(along[0] * away[1] - along[1] * away[0]) < 1e-6


def test_an_aligner_finds_a_symbol_that_is_half_a_module_off() -> None:
    layout, grey = whole_plate(KEY)
    symbol = next(symbol for symbol in layout.symbols() if symbol.kind == "data_matrix")
    places = data_matrix_places(symbol.modules.width)
    assert places is not None
    picture = np.kron(grey, np.ones((4, 4))).astype(float)
    left, top, side = symbol.left_dots * 4, symbol.top_dots * 4, symbol.width_dots * 4
    true = np.array([(left, top), (left + side, top), (left + side, top + side), (left, top + side)], dtype=float)
    found, agreement = Aligner(places.fixed).aligned(picture, true + np.array((7.0, -5.0)))
    assert agreement > 0.95
    assert np.abs(found - true).max() < 4
    sample = sample_aslant(picture, found, places.fixed)
    assert ((sample.levels[1:-1, 1:-1] < 128) == np.array(symbol.modules.rows)).all()


def test_the_plate_is_among_the_quadrilaterals() -> None:
    _, grey = whole_plate(KEY)
    picture = photographed(grey, rng=Random(3), degrees=25)
    assert len(plate_quadrilaterals(picture)) <= 9
    # The far end of the plate bears a dark band, so only its other corners are asked for.
    areas = [
        abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(one, np.roll(one, -1, axis=0), strict=True))) / 2
        for one in plate_quadrilaterals(picture)
    ]
    assert any(0.7 * grey.size * 9 < area < 1.1 * grey.size * 9 for area in areas)
