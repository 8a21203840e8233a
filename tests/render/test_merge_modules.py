"""Merging damaged copies: what is left of all symbols together gives the key, and never another's."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from service.marks.data_matrix_places import data_matrix_places
from service.marks.items import Layout, PlacedSymbol
from service.numbering.key import Key
from service.render.merge_modules import LEAST_MARGIN, read_merged, text_before_key
from service.render.read_back import Grey
from tests.damaged_plates import damaged_plates, kinds, whole_plate
from tests.mark_factory import make_layout

KEYS = st.integers(0, 2**32).map(lambda seed: Key.random(Random(seed)).symbols)
SEEDS = st.integers(0, 2**32)
GREY = 128


def matrices(layout: Layout) -> list[PlacedSymbol]:
    return [symbol for symbol in layout.symbols() if symbol.kind == "data_matrix"]


def blanked(grey: Grey, symbol: PlacedSymbol, *, modules: NDArray[np.bool_] | None = None, level: int = GREY) -> Grey:
    """A plate on which these modules of a symbol, or all with their quiet zone, are of one grey."""
    made, dots = grey.copy(), symbol.module_dots
    if modules is None:
        made[
            symbol.top_dots - dots : symbol.top_dots + symbol.height_dots + dots,
            symbol.left_dots - dots : symbol.left_dots + symbol.width_dots + dots,
        ] = level
        return made
    mask = np.repeat(np.repeat(modules, dots, axis=0), dots, axis=1)
    window = made[
        symbol.top_dots : symbol.top_dots + symbol.height_dots, symbol.left_dots : symbol.left_dots + symbol.width_dots
    ]
    window[mask] = level
    return made


@pytest.mark.parametrize("dpi", [203, 300, 600])
@given(key=KEYS)
@settings(max_examples=6, deadline=None)
def test_a_sound_plate_gives_its_key_with_a_wide_margin(dpi: int, key: str) -> None:
    layout, grey = whole_plate(key, dpi=dpi)
    reading = read_merged(grey, layout)
    assert reading.key == key
    assert reading.margin >= 1.5 * LEAST_MARGIN
    assert all(symbol.legible > 0.8 and symbol.agrees == 1.0 for symbol in reading.symbols)


def test_what_the_layout_itself_says_is_not_looked_at() -> None:
    layout, _ = whole_plate("K7M4XRAW")
    _, other = whole_plate("P3HW9TCP")
    assert read_merged(other, layout).key == "P3HW9TCP"


@given(key=KEYS, upright=st.booleans())
@settings(max_examples=10, deadline=None)
def test_two_halves_of_two_copies_make_a_whole(*, key: str, upright: bool) -> None:
    """Left half of one Data Matrix and right half of another; every other symbol is gone."""
    layout, grey = whole_plate(key)
    for symbol in layout.symbols():
        if symbol not in matrices(layout)[:2]:
            grey = blanked(grey, symbol)
    one, other = matrices(layout)[:2]
    size = one.modules.width
    half = np.zeros((size, size), dtype=bool)
    half[:, : size // 2] = True
    half = half.T if upright else half
    halved = blanked(blanked(grey, one, modules=half), other, modules=~half)
    assert read_merged(halved, layout).key == key
    # One half alone is less than a key.
    assert read_merged(blanked(halved, other), layout).key is None


@given(key=KEYS, seed=SEEDS)
@settings(max_examples=10, deadline=None)
def test_whatever_its_own_check_words_make_good_is_read(key: str, seed: int) -> None:
    """As many whole codewords erased as a lone Data Matrix may lose, and nothing else on the plate."""
    layout, grey = whole_plate(key)
    only = matrices(layout)[0]
    for symbol in layout.symbols():
        if symbol is not only:
            grey = blanked(grey, symbol)
    places = data_matrix_places(only.modules.width)
    assert places is not None
    lost = np.zeros(only.modules.width**2, dtype=bool)
    words = Random(seed).sample(range(places.data + places.check), places.check // 2)
    lost[places.bits[words].ravel()] = True
    assert read_merged(blanked(grey, only, modules=lost.reshape(only.modules.width, -1)), layout).key == key


def test_a_black_and_a_white_blot_are_erasures_and_not_data() -> None:
    for level in (0, 255):
        layout, grey = whole_plate("R8CN5JF3")
        for symbol in matrices(layout):
            half = np.zeros((symbol.modules.height, symbol.modules.width), dtype=bool)
            half[:, symbol.modules.width // 2 :] = True
            grey = blanked(grey, symbol, modules=half, level=level)
        reading = read_merged(grey, layout)
        assert reading.key == "R8CN5JF3"


def test_no_key_is_picked_where_two_fit() -> None:
    """Two plates cut in pieces and put together: each key is borne by two whole symbols."""
    layout, grey = whole_plate("K7M4XRAW")
    other_layout, other = whole_plate("P3HW9TCP")
    mixed = grey.copy()
    for symbol in [*matrices(other_layout)[:2]]:
        rows = slice(symbol.top_dots, symbol.top_dots + symbol.height_dots)
        columns = slice(symbol.left_dots, symbol.left_dots + symbol.width_dots)
        mixed[rows, columns] = other[rows, columns]
    [link] = [symbol for symbol in layout.symbols() if symbol.kind == "qr"]
    reading = read_merged(blanked(mixed, link), layout)
    assert reading.key is None


def test_the_worst_plates_never_give_another_key() -> None:
    """A few rounds of every kind; ``python -m tests.pictures.merge`` counts many thousands."""
    read = 0
    for plate in damaged_plates(range(3 * len(kinds()))):
        reading = read_merged(plate.grey, plate.layout)
        assert reading.key is None or reading.key in plate.keys, (plate.kind, plate.seed)
        assert reading.key is None or reading.margin >= LEAST_MARGIN
        read += reading.key is not None
    assert read > 10


def test_nothing_left_is_nothing_read() -> None:
    layout, grey = whole_plate("K7M4XRAW")
    for empty in (np.zeros_like(grey), np.full_like(grey, 255), grey[:1, :1]):
        reading = read_merged(empty, layout)
        assert (reading.key, reading.margin, reading.candidates) == (None, 0.0, ())
        assert [symbol.legible for symbol in reading.symbols] == [0.0] * len(reading.symbols)


def test_a_plate_without_a_symbol_of_its_key_is_not_read() -> None:
    layout = make_layout("crate-label-a5")
    assert read_merged(np.zeros((layout.height_dots, layout.width_dots), np.uint8), layout).key is None


@pytest.mark.parametrize(
    ("kind", "text", "before"),
    [
        ("qr", "HTTPS://KIT.EXAMPLE/S/K7M4XRAW", "HTTPS://KIT.EXAMPLE/S/"),
        ("data_matrix", "K7M4XRAW", ""),
        ("data_matrix", "OSV4-K7M4XRAW", None),
        ("qr", "HTTPS://KIT.EXAMPLE/S/K7M4XRAX", None),
        ("code128", "K7M4XRAW", None),
        ("data_matrix", "K7M4", None),
    ],
)
def test_which_symbols_can_be_merged(kind: str, text: str, before: str | None) -> None:
    assert text_before_key(kind, text) == before  # type: ignore[arg-type]  # a row of a table is any text
