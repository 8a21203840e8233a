"""Seeded plates that were treated worse than any symbol is made to bear, down to noise that never was a plate."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from random import Random

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from service.marks.items import Layout, PlacedSymbol
from service.marks.key_codes import data_matrix_size
from service.marks.symbols import encode
from service.numbering.key import Key
from service.render.damage_window import Window
from service.render.damages import loss, scratches
from service.render.png import picture
from tests.mark_factory import make_layout

Grey = NDArray[np.uint8]
PUBLIC_URL = "https://kit.example"


@dataclass(frozen=True, kw_only=True)
class DamagedPlate:
    """A picture to be read with a layout, and the keys that it may truly be read as."""

    kind: str
    seed: int
    grey: Grey
    layout: Layout
    keys: frozenset[str]


def whole_plate(key: str, *, template: str = "nameplate-60x22", dpi: int = 203) -> tuple[Layout, Grey]:
    """A plate as it was printed, one pixel a dot: everything but its symbols is drawn once."""
    layout, ground = _ground(template, dpi, data_matrix_size(key))
    items = tuple(_of_key(item, key) if isinstance(item, PlacedSymbol) else item for item in layout.items)
    grey = ground.copy()
    for symbol in items:
        if isinstance(symbol, PlacedSymbol):
            light = np.repeat(np.repeat(~np.array(symbol.modules.rows), symbol.row_dots, 0), symbol.module_dots, 1)
            grey[
                symbol.top_dots : symbol.top_dots + symbol.height_dots,
                symbol.left_dots : symbol.left_dots + symbol.width_dots,
            ] = light * np.uint8(255)
    return replace(layout, items=items), grey


def _of_key(symbol: PlacedSymbol, key: str) -> PlacedSymbol:
    text = symbol.text.replace(_KEYS[14], key).replace(_KEYS[12], key)
    return replace(symbol, text=text, modules=encode(symbol.kind, text))


@lru_cache(maxsize=16)
def _ground(template: str, dpi: int, size: int) -> tuple[Layout, Grey]:
    """The plate of a key whose Data Matrix is of this size."""
    layout = make_layout(template, key=_KEYS[size], dpi=dpi, public_url=PUBLIC_URL)
    return layout, np.asarray(picture(layout).convert("L"))


_KEYS = {14: "K7M4XRAW", 12: "A234567W"}


def damaged_plates(seeds: range, *, template: str = "nameplate-60x22") -> Iterator[DamagedPlate]:
    """One plate a seed; the kinds of damage take turns."""
    kinds = list(_KINDS.items())
    for seed in seeds:
        name, damage = kinds[seed % len(kinds)]
        rng = Random(f"{template} {seed}")
        key, other = Key.random(rng).symbols, Key.random(rng).symbols
        layout, grey = whole_plate(key, template=template)
        spoiled = damage(grey, layout, rng, other)
        keys = {key, other} if name in _OF_TWO else set() if name in _OF_NONE else {key}
        yield DamagedPlate(kind=name, seed=seed, grey=spoiled, layout=layout, keys=frozenset(keys))


Spoiling = Callable[[Grey, Layout, Random, str], Grey]


def _window(grey: Grey, layout: Layout) -> Window:
    module_mm = min(symbol.module_mm for symbol in layout.symbols())
    return Window(grey, 0, 0, (layout.width_mm, layout.height_mm), layout.per_mm, module_mm)


def _blots(grey: Grey, layout: Layout, rng: Random, _other: str) -> Grey:
    """Several blots and worn places."""
    for _ in range(rng.randint(1, 4)):
        grey = loss(rng.uniform(0.1, 0.8), rng.randrange(10**6)).on(_window(grey, layout))
    return grey


def _scratched(grey: Grey, layout: Layout, rng: Random, _other: str) -> Grey:
    return scratches(rng.randint(6, 60), rng.randrange(10**6)).on(_window(grey, layout))


def _both(grey: Grey, layout: Layout, rng: Random, other: str) -> Grey:
    scratched = scratches(rng.randint(3, 20), rng.randrange(10**6)).on(_window(grey, layout))
    return _blots(scratched, layout, rng, other)


def _specks(grey: Grey, _layout: Layout, rng: Random, _other: str) -> Grey:
    """Dots turned over, up to half of them."""
    chance = np.random.default_rng(rng.randrange(2**32))
    return np.where(chance.random(grey.shape) < rng.uniform(0.05, 0.5), 255 - grey, grey)


def _flecks(grey: Grey, layout: Layout, rng: Random, _other: str) -> Grey:
    """Flecks of a module or three, dark and pale."""
    spoiled, chance = grey.copy(), np.random.default_rng(rng.randrange(2**32))
    for _ in range(rng.randint(30, 500)):
        size = int(chance.integers(2, 10))
        top, left = int(chance.integers(0, grey.shape[0])), int(chance.integers(0, grey.shape[1]))
        spoiled[top : top + size, left : left + size] = chance.integers(0, 2) * 255
    return spoiled


def _smeared(grey: Grey, layout: Layout, rng: Random, other: str) -> Grey:
    image = Image.fromarray(_flecks(grey, layout, rng, other)).filter(ImageFilter.GaussianBlur(rng.uniform(0.5, 4)))
    return np.asarray(image)


def _noise(grey: Grey, _layout: Layout, rng: Random, _other: str) -> Grey:
    chance = np.random.default_rng(rng.randrange(2**32))
    return chance.integers(0, 256, grey.shape, dtype=np.uint8)


def _module_noise(grey: Grey, layout: Layout, rng: Random, _other: str) -> Grey:
    """Symbols of random modules inside their true finders: nothing but the check words speaks against them."""
    spoiled, chance = grey.copy(), np.random.default_rng(rng.randrange(2**32))
    for symbol in layout.symbols():
        dots, (rows, columns) = symbol.module_dots, (symbol.modules.height, symbol.modules.width)
        inner = np.repeat(chance.integers(0, 2, (rows - 2, columns - 2)), symbol.row_dots, axis=0)
        spoiled[
            symbol.top_dots + symbol.row_dots : symbol.top_dots + (rows - 1) * symbol.row_dots,
            symbol.left_dots + dots : symbol.left_dots + (columns - 1) * dots,
        ] = np.repeat(inner, dots, axis=1) * np.uint8(255)
    return spoiled


def _flat(grey: Grey, _layout: Layout, rng: Random, _other: str) -> Grey:
    return np.full_like(grey, rng.randrange(256))


def _two_keys(grey: Grey, layout: Layout, rng: Random, other: str) -> Grey:
    """Symbols of two plates on one, and damage over both."""
    layout_b, grey_b = whole_plate(other)
    spoiled = grey.copy()
    for symbol in layout_b.symbols():
        if rng.random() < 0.5:
            rows = slice(symbol.top_dots, symbol.top_dots + symbol.height_dots)
            columns = slice(symbol.left_dots, symbol.left_dots + symbol.width_dots)
            spoiled[rows, columns] = grey_b[rows, columns]
    return _both(spoiled, layout_b, rng, other)


def _aside(grey: Grey, _layout: Layout, rng: Random, _other: str) -> Grey:
    """The plate lies a little beside where it should."""
    return np.roll(grey, (rng.randint(-12, 12), rng.randint(-12, 12)), axis=(0, 1))


def _turned(grey: Grey, _layout: Layout, rng: Random, _other: str) -> Grey:
    """Upside down, mirrored or in the negative."""
    return rng.choice((grey[::-1, ::-1], grey[:, ::-1], grey[::-1], 255 - grey))


_KINDS: dict[str, Spoiling] = {
    "blots": _blots,
    "scratches": _scratched,
    "blots and scratches": _both,
    "specks": _specks,
    "flecks": _flecks,
    "flecks, blurred": _smeared,
    "blots again": _blots,
    "two keys": _two_keys,
    "beside its place": _aside,
    "turned": _turned,
    "random modules": _module_noise,
    "noise": _noise,
    "flat": _flat,
}
_OF_TWO, _OF_NONE = {"two keys"}, {"random modules", "noise", "flat"}


@lru_cache(maxsize=1)
def kinds() -> tuple[str, ...]:
    """The kinds of damage, in the order in which seeds take them."""
    return tuple(_KINDS)
