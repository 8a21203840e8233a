"""Where a plate may lie in a picture: guessed from symbols that were found and from its edges, and judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from time import thread_time

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from service.marks.data_matrix_places import data_matrix_places
from service.marks.items import Block, Extent, Layout, PlacedSymbol
from service.marks.qr_places import qr_places
from service.marks.symbols import SymbolKind
from service.render.merge_geometry import Aligner, Floats, fitted, projected
from service.render.merge_modules import text_before_key
from service.render.merge_plates import plate_quadrilaterals

SECONDS = 6.0
"""No further guess is begun after so much work, however busy the machine is with other things."""

LEAST_AGREEMENT = 0.35
"""Of a symbol's fixed modules, below which it is taken for not there."""

_GUESSES, _NEAR_BEST = 3, 0.4
"""So many guesses are read, as long as they promise at least this share of what the best does."""

_LEAST_ASPECT = 0.6
"""How far a plate's sides may be from their true ratio, seen aslant."""


@dataclass(frozen=True, slots=True)
class Found:
    """A symbol that the decoder found: its kind, its corners in pixels, and its text when it decoded."""

    kind: SymbolKind
    corners: Floats
    text: str | None


@dataclass(frozen=True, slots=True)
class Guess:
    """A layout, and what takes its millimetres to the picture."""

    layout: Layout
    matrix: Floats
    score: float = 0.0


def fixed_modules(symbol: PlacedSymbol) -> NDArray[np.int8] | None:
    """What is always printed in a symbol that can be merged."""
    if text_before_key(symbol.kind, symbol.text) is None:
        return None
    if symbol.kind == "qr":
        qr = qr_places(symbol.modules.width, "Q")
        return None if qr is None else qr.fixed
    matrix = data_matrix_places(symbol.modules.width)
    return None if matrix is None else matrix.fixed


def corners_mm(symbol: PlacedSymbol) -> Floats:
    """Corners of a symbol on its plate, from its first module clockwise."""
    return _corners_of(symbol.extent)


def _corners_of(place: Extent) -> Floats:
    return np.array(
        [(place.left, place.top), (place.right, place.top), (place.right, place.bottom), (place.left, place.bottom)]
    )


def best_guesses(
    picture: Floats, image: Image.Image, found: Sequence[Found], layouts: Sequence[Layout], begun: float
) -> list[Guess]:
    """Where which plate may lie, the likeliest first."""
    judged: list[Guess] = []
    quadrilaterals = plate_quadrilaterals(np.asarray(image))
    for guess in (*_from_symbols(found, layouts), *_from_plates(quadrilaterals, layouts)):
        if thread_time() - begun > SECONDS * 0.7:
            break
        judged.append(replace(guess, score=_promise(picture, guess)))
    judged.sort(key=lambda guess: -guess.score)
    kept: list[Guess] = []
    for guess in judged:
        if guess.score <= _NEAR_BEST * judged[0].score or len(kept) == _GUESSES:
            break
        if all(not _same(guess, other) for other in kept):
            kept.append(guess)
    return kept


def _same(one: Guess, other: Guess) -> bool:
    """Whether two guesses put the same plate on nearly the same place."""
    if one.layout.template != other.layout.template:
        return False
    size = np.array([[0, 0], [one.layout.width_mm, 0], [one.layout.width_mm, one.layout.height_mm]])
    apart = np.abs(projected(one.matrix, size) - projected(other.matrix, size)).max()
    return bool(apart < 0.03 * np.abs(np.ptp(projected(one.matrix, size), axis=0)).max())


def _from_symbols(found: Sequence[Found], layouts: Sequence[Layout]) -> Iterator[Guess]:
    for one in found:
        for layout in layouts:
            for symbol in layout.symbols():
                if symbol.kind == one.kind and symbol.kind != "code128":
                    yield Guess(layout, fitted(corners_mm(symbol), one.corners))


def _from_plates(quadrilaterals: Sequence[Floats], layouts: Sequence[Layout]) -> Iterator[Guess]:
    for corners in quadrilaterals:
        sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
        aspect = (sides[0] + sides[2]) / max(sides[1] + sides[3], 1e-9)
        for layout in layouts:
            for plate in _light_parts(layout):
                width, height = plate[2] - plate[0]
                for turn in range(4):
                    seen = aspect if turn % 2 == 0 else 1 / max(aspect, 1e-9)
                    if _LEAST_ASPECT < seen * height / width < 1 / _LEAST_ASPECT:
                        yield Guess(layout, fitted(plate, np.roll(corners, turn, axis=0)))


def _light_parts(layout: Layout) -> Iterator[Floats]:
    """Corners of the plate, and of what is left of it beside its colour band, which may be as dark as the table."""
    whole = Extent(0, 0, layout.width_mm, layout.height_mm)
    parts = [whole]
    for item in layout.items:
        if isinstance(item, Block) and item.role == "band":
            band = item.extent
            parts += [
                replace(whole, left=band.right),
                replace(whole, right=band.left),
                replace(whole, top=band.bottom),
                replace(whole, bottom=band.top),
            ]
    for part in parts:
        if part.right - part.left > layout.width_mm / 2 and part.bottom - part.top > layout.height_mm / 2:
            yield _corners_of(part)


def _promise(picture: Floats, guess: Guess) -> float:
    """How well what is always printed fits where the guess would have it, over all symbols."""
    total = 0.0
    for symbol in guess.layout.symbols():
        fixed = fixed_modules(symbol)
        if fixed is None:
            continue
        corners = projected(guess.matrix, corners_mm(symbol))
        if not in_picture(corners, picture.shape):
            continue
        aligner = Aligner(fixed)
        across, along = (corners[1] - corners[0]) / fixed.shape[1], (corners[3] - corners[0]) / fixed.shape[0]
        shifts = np.arange(-2.0, 2.01, 0.5)
        moved = np.array([corners + a * across + b * along for a in shifts for b in shifts])
        total += max(0.0, float(aligner.agreement(picture, moved).max()) - LEAST_AGREEMENT)
    return total


def in_picture(corners: Floats, shape: tuple[int, ...]) -> bool:
    """Whether a symbol lies in the picture, at least mostly, and is neither a speck nor beyond all bounds."""
    if not np.isfinite(corners).all() or np.abs(corners).max() > 1e5:
        return False
    middle = corners.mean(axis=0)
    sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return bool(0 <= middle[0] <= shape[1] and 0 <= middle[1] <= shape[0] and sides.min() >= 12)
