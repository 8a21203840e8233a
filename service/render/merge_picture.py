"""Reading a photograph of a damaged plate: what decodes alone, else what all symbols that can be found say together.

Symbols are found by the decoder, also where they fail its checks, and by the plate's edges; from there the templates of
the shop say where the others stand. All is bounded: so many guesses of the plate's place, each judged by what is always
printed in its symbols, and only the best are read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from time import thread_time

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from service.marks.data_matrix_places import data_matrix_places
from service.marks.items import Block, Extent, Layout, PlacedSymbol
from service.marks.qr_places import qr_places
from service.marks.symbols import SymbolKind
from service.render.merge_geometry import Aligner, Floats, fitted, projected, sample_aslant
from service.render.merge_modules import LEAST_MARGIN, Copy, KeyCandidate, MergedReading, merge_copies, text_before_key
from service.render.merge_plates import plate_quadrilaterals
from service.render.read_back import Grey

_FORMATS = zxingcpp.BarcodeFormats(
    [zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.DataMatrix, zxingcpp.BarcodeFormat.Code128]
)
_KINDS: dict[str, SymbolKind] = {"QRCode": "qr", "DataMatrix": "data_matrix", "Code128": "code128"}

_SECONDS = 6.0
"""No further guess is begun after so much work, however busy the machine is with other things."""

_GUESSES, _NEAR_BEST = 3, 0.4
"""So many guesses are read, as long as they promise at least this share of what the best does."""

_LEAST_AGREEMENT = 0.35
"""Of a symbol's fixed modules, below which it is taken for not there."""

_FIRM_AGREEMENT = 0.5
"""Beyond which a symbol's own place says more than the plate's."""

_LOOSE_AGREEMENT = 0.7
"""Beyond which a symbol is believed without any plate round it."""

_REACHES = (2.0, 1.5, 1.0)
_KEY_SIZE = 14
"""Modules of a Data Matrix of a key of which no more than a pair are digits."""

_SHRUNK = 2400
_LEAST_ASPECT = 0.6
"""How far a plate's sides may be from their true ratio, seen aslant."""

_WIDE_MODULE = 4


@dataclass(frozen=True, slots=True)
class SeenSymbol:
    """A symbol in a picture.

    Attributes:
        kind: of symbol.
        corners: of its first, upper right, lower right and lower left module, as shares of width and height.
        text: what it says when it decoded alone.
        legible: share of its modules that were weighed with the others; None when they were not.
        agrees: share of those that are as the answer would have them.
    """

    kind: SymbolKind
    corners: tuple[tuple[float, float], ...]
    text: str | None = None
    legible: float | None = None
    agrees: float | None = None


@dataclass(frozen=True, slots=True)
class PictureReading:
    """What a picture says.

    Attributes:
        texts: what symbols said that decoded alone, each once.
        key: what the symbols gave together, when none decoded alone; None when that is not certain.
        margin: as in :class:`MergedReading`.
        candidates: likewise.
        template: whose plate it was taken for; empty when symbols were found without one.
        symbols: those found.
        width: of the picture as it was worked on, upright, in pixels.
        height: likewise.
    """

    texts: tuple[str, ...]
    key: str | None
    margin: float
    candidates: tuple[KeyCandidate, ...]
    template: str
    symbols: tuple[SeenSymbol, ...]
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class _Found:
    kind: SymbolKind
    corners: Floats
    text: str | None


@dataclass(frozen=True, slots=True)
class _Guess:
    """A layout, and what takes its millimetres to the picture."""

    layout: Layout
    matrix: Floats
    score: float = 0.0


def read_picture(grey: Grey, layouts: Sequence[Layout], *, matrix_size: int = _KEY_SIZE) -> PictureReading:
    """Read a photograph.

    Args:
        grey: from :func:`photograph`.
        layouts: the plates that it may show, at least their symbols.
        matrix_size: modules in a row of a Data Matrix that was found apart from any plate.
    """
    begun = thread_time()
    height, width = grey.shape
    found = _decoded(grey)
    texts = tuple(dict.fromkeys(one.text for one in found if one.text is not None))
    whole = PictureReading(texts, None, 0.0, (), "", tuple(_seen(one, width, height) for one in found), width, height)
    if texts:
        return whole
    scale = max(1.0, max(grey.shape) / _SHRUNK)
    image = Image.fromarray(grey)
    if scale > 1:
        image = image.resize((round(width / scale), round(height / scale)), Image.Resampling.BOX)
    picture = np.asarray(image, dtype=float)
    nearby = [replace(one, corners=one.corners / scale) for one in found]
    readings: list[PictureReading] = []
    for guess in _best_guesses(picture, image, nearby, layouts, begun):
        reading = _read_guess(picture, guess, whole)
        if reading is not None:
            readings.append(reading)
        if thread_time() - begun > _SECONDS:
            break
    loose = _read_loose(picture, nearby, layouts, whole, matrix_size)
    if loose is not None:
        readings.append(loose)
    return _agreed(readings, whole)


def _agreed(readings: Sequence[PictureReading], nothing: PictureReading) -> PictureReading:
    """The most certain reading; none is certain where two contradict each other."""
    if not readings:
        return nothing
    best = max(readings, key=lambda one: (one.margin, len(one.candidates), len(one.symbols)))
    certain = {one.key for one in readings if one.key is not None}
    if len(certain) <= 1:
        return best
    candidates = {candidate.key: candidate for one in readings for candidate in one.candidates}
    return replace(best, key=None, margin=0.0, candidates=tuple(candidates.values()))


def _decoded(grey: Grey) -> list[_Found]:
    """Symbols that the decoder sees, those that fail its checks too, valid ones first."""
    found: list[_Found] = []
    for code in zxingcpp.read_barcodes(grey, formats=_FORMATS, return_errors=True):
        kind = _KINDS.get(code.format.name)
        if kind is None:
            continue
        place = code.position
        corners = np.array(
            [(point.x, point.y) for point in (place.top_left, place.top_right, place.bottom_right, place.bottom_left)],
            dtype=float,
        )
        text = bytes(code.bytes).decode("latin-1") if code.valid else None
        found.append(_Found(kind, corners + 0.5, text))
    return sorted(found, key=lambda one: one.text is None)


def _seen(one: _Found, width: int, height: int) -> SeenSymbol:
    return SeenSymbol(one.kind, _shares(one.corners, width, height), one.text)


def _shares(corners: Floats, width: int, height: int) -> tuple[tuple[float, float], ...]:
    return tuple((round(float(x) / width, 4), round(float(y) / height, 4)) for x, y in corners)


def _fixed(symbol: PlacedSymbol) -> NDArray[np.int8] | None:
    """What is always printed in a symbol that can be merged."""
    if text_before_key(symbol.kind, symbol.text) is None:
        return None
    if symbol.kind == "qr":
        qr = qr_places(symbol.modules.width, "Q")
        return None if qr is None else qr.fixed
    matrix = data_matrix_places(symbol.modules.width)
    return None if matrix is None else matrix.fixed


def _corners_mm(symbol: PlacedSymbol) -> Floats:
    return _corners_of(symbol.extent)


def _corners_of(place: Extent) -> Floats:
    return np.array(
        [(place.left, place.top), (place.right, place.top), (place.right, place.bottom), (place.left, place.bottom)]
    )


def _best_guesses(
    picture: Floats, image: Image.Image, found: Sequence[_Found], layouts: Sequence[Layout], begun: float
) -> list[_Guess]:
    """Where which plate may lie, the likeliest first."""
    judged: list[_Guess] = []
    quadrilaterals = plate_quadrilaterals(np.asarray(image))
    for guess in (*_from_symbols(found, layouts), *_from_plates(quadrilaterals, layouts)):
        if thread_time() - begun > _SECONDS * 0.7:
            break
        judged.append(replace(guess, score=_promise(picture, guess)))
    judged.sort(key=lambda guess: -guess.score)
    kept: list[_Guess] = []
    for guess in judged:
        if guess.score <= _NEAR_BEST * judged[0].score or len(kept) == _GUESSES:
            break
        if all(not _same(guess, other) for other in kept):
            kept.append(guess)
    return kept


def _same(one: _Guess, other: _Guess) -> bool:
    """Whether two guesses put the same plate on nearly the same place."""
    if one.layout.template != other.layout.template:
        return False
    size = np.array([[0, 0], [one.layout.width_mm, 0], [one.layout.width_mm, one.layout.height_mm]])
    apart = np.abs(projected(one.matrix, size) - projected(other.matrix, size)).max()
    return bool(apart < 0.03 * np.abs(np.ptp(projected(one.matrix, size), axis=0)).max())


def _from_symbols(found: Sequence[_Found], layouts: Sequence[Layout]) -> Iterator[_Guess]:
    for one in found:
        for layout in layouts:
            for symbol in layout.symbols():
                if symbol.kind == one.kind and symbol.kind != "code128":
                    yield _Guess(layout, fitted(_corners_mm(symbol), one.corners))


def _from_plates(quadrilaterals: Sequence[Floats], layouts: Sequence[Layout]) -> Iterator[_Guess]:
    for corners in quadrilaterals:
        sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
        aspect = (sides[0] + sides[2]) / max(sides[1] + sides[3], 1e-9)
        for layout in layouts:
            for plate in _light_parts(layout):
                width, height = plate[2] - plate[0]
                for turn in range(4):
                    seen = aspect if turn % 2 == 0 else 1 / max(aspect, 1e-9)
                    if _LEAST_ASPECT < seen * height / width < 1 / _LEAST_ASPECT:
                        yield _Guess(layout, fitted(plate, np.roll(corners, turn, axis=0)))


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


def _promise(picture: Floats, guess: _Guess) -> float:
    """How well what is always printed fits where the guess would have it, over all symbols."""
    total = 0.0
    for symbol in guess.layout.symbols():
        fixed = _fixed(symbol)
        if fixed is None:
            continue
        corners = projected(guess.matrix, _corners_mm(symbol))
        if not _inside(corners, picture.shape):
            continue
        aligner = Aligner(fixed)
        across, along = (corners[1] - corners[0]) / fixed.shape[1], (corners[3] - corners[0]) / fixed.shape[0]
        shifts = np.arange(-2.0, 2.01, 0.5)
        moved = np.array([corners + a * across + b * along for a in shifts for b in shifts])
        total += max(0.0, float(aligner.agreement(picture, moved).max()) - _LEAST_AGREEMENT)
    return total


def _inside(corners: Floats, shape: tuple[int, ...]) -> bool:
    """Whether a symbol lies in the picture, at least mostly, and is neither a speck nor beyond all bounds."""
    if not np.isfinite(corners).all() or np.abs(corners).max() > 1e5:
        return False
    middle = corners.mean(axis=0)
    sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    return bool(0 <= middle[0] <= shape[1] and 0 <= middle[1] <= shape[0] and sides.min() >= 12)


def _read_guess(picture: Floats, guess: _Guess, whole: PictureReading) -> PictureReading | None:
    """Align every symbol, mend the guess by those that fit well, and weigh all of them together."""
    placed = [
        (index, symbol, fixed)
        for index, symbol in enumerate(guess.layout.symbols())
        if (fixed := _fixed(symbol)) is not None
    ]
    matrix = guess.matrix
    aligned: dict[int, tuple[Floats, float]] = {}
    for reach in _REACHES:
        aligned = {}
        for index, symbol, fixed in placed:
            corners = projected(matrix, _corners_mm(symbol))
            if _inside(corners, picture.shape):
                aligned[index] = _aligned(picture, corners, fixed, reach=reach)
        firm = [
            (symbol, aligned[index][0])
            for index, symbol, _ in placed
            if index in aligned and aligned[index][1] >= _FIRM_AGREEMENT
        ]
        if not firm:
            break
        matrix = fitted(
            np.concatenate([_corners_mm(symbol) for symbol, _ in firm]),
            np.concatenate([corners for _, corners in firm]),
        )
    copies, places = [], {}
    for index, symbol, fixed in placed:
        if index not in aligned or aligned[index][1] < _LEAST_AGREEMENT:
            continue
        corners = aligned[index][0]
        before = text_before_key(symbol.kind, symbol.text)
        assert before is not None
        places[index] = corners
        copies.append(Copy(index, symbol.kind, symbol.modules.width, before, sample_aslant(picture, corners, fixed)))
    if not copies:
        return None
    return _with(merge_copies(copies), copies, places, guess.layout.template, picture, whole)


def _read_loose(
    picture: Floats, found: Sequence[_Found], layouts: Sequence[Layout], whole: PictureReading, matrix_size: int
) -> PictureReading | None:
    """Symbols that were found but failed, weighed together without any template."""
    befores = {
        before
        for layout in layouts
        for symbol in layout.symbols()
        if symbol.kind == "qr" and (before := text_before_key("qr", symbol.text)) is not None
    }
    sizes = {symbol.modules.width for layout in layouts for symbol in layout.symbols() if symbol.kind == "qr"}
    matrix = data_matrix_places(matrix_size)
    assert matrix is not None
    copies, places = [], {}
    for index, one in enumerate(found):
        if not _inside(one.corners, picture.shape):
            continue
        choices = [(matrix_size, "", matrix.fixed)] if one.kind == "data_matrix" else []
        if one.kind == "qr":
            choices = [
                (size, before, places_of.fixed)
                for size in sizes
                for before in befores
                if (places_of := qr_places(size, "Q")) is not None
            ]
        for size, before, fixed in choices:
            corners, score = _aligned(picture, one.corners, fixed, reach=1.5)
            if score >= _LOOSE_AGREEMENT:
                places[index] = corners
                copies.append(Copy(index, one.kind, size, before, sample_aslant(picture, corners, fixed)))
    return _with(merge_copies(copies), copies, places, "", picture, whole) if copies else None


def _aligned(picture: Floats, corners: Floats, fixed: NDArray[np.int8], *, reach: float) -> tuple[Floats, float]:
    """The symbol's corners put right; only its surroundings are looked at, their grain evened out."""
    module = float(np.linalg.norm(corners[1] - corners[0])) / fixed.shape[1]
    margin = (reach + 4) * module
    left, top = (max(0, int(low - margin)) for low in corners.min(axis=0))
    right, bottom = (int(high + margin) + 2 for high in corners.max(axis=0))
    window = picture[top:bottom, left:right]
    if min(window.shape) < 2:
        return corners, 0.0
    if module >= _WIDE_MODULE:
        image = Image.fromarray(window.astype(np.uint8)).filter(ImageFilter.BoxBlur(module / 6))
        window = np.asarray(image, dtype=float)
    moved, score = Aligner(fixed).aligned(window, corners - np.array((left, top)), reach=reach)
    return moved + np.array((left, top)), score


def _with(
    reading: MergedReading,
    copies: Sequence[Copy],
    places: dict[int, Floats],
    template: str,
    picture: Floats,
    whole: PictureReading,
) -> PictureReading:
    height, width = picture.shape
    kinds = {copy.index: copy.kind for copy in copies}
    return replace(
        whole,
        key=reading.key if reading.margin >= LEAST_MARGIN else None,
        margin=reading.margin,
        candidates=reading.candidates,
        template=template,
        symbols=tuple(
            SeenSymbol(kinds[used.index], _shares(places[used.index], width, height), None, used.legible, used.agrees)
            for used in reading.symbols
        ),
    )
