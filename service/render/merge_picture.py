"""Reading a photograph of a damaged plate: what decodes alone, else what all symbols that can be found say together.

Symbols are found by the decoder, also where they fail its checks, and by the plate's edges; from there the templates of
the shop say where the others stand. All is bounded: so many guesses of the plate's place, each judged by what is always
printed in its symbols, and only the best are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from time import thread_time

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from service.marks.data_matrix_places import data_matrix_places
from service.marks.items import Layout
from service.marks.qr_places import qr_places
from service.marks.symbols import SymbolKind
from service.render.merge_geometry import Aligner, Floats, fitted, projected, sample_aslant
from service.render.merge_guesses import (
    LEAST_AGREEMENT,
    SECONDS,
    Found,
    Guess,
    best_guesses,
    corners_mm,
    fixed_modules,
    in_picture,
)
from service.render.merge_modules import LEAST_MARGIN, Copy, KeyCandidate, MergedReading, merge_copies, text_before_key
from service.render.read_back import Grey

_FORMATS = zxingcpp.BarcodeFormats(
    [zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.DataMatrix, zxingcpp.BarcodeFormat.Code128]
)
_KINDS: dict[str, SymbolKind] = {"QRCode": "qr", "DataMatrix": "data_matrix", "Code128": "code128"}

_FIRM_AGREEMENT = 0.5
"""Beyond which a symbol's own place says more than the plate's."""

_LOOSE_AGREEMENT = 0.7
"""Beyond which a symbol is believed without any plate round it."""

_REACHES = (2.0, 1.5, 1.0)
_KEY_SIZE = 14
"""Modules of a Data Matrix of a key of which no more than a pair are digits."""

_SHRUNK = 2400
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
    for guess in best_guesses(picture, image, nearby, layouts, begun):
        reading = _read_guess(picture, guess, whole)
        if reading is not None:
            readings.append(reading)
        if thread_time() - begun > SECONDS:
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


def _decoded(grey: Grey) -> list[Found]:
    """Symbols that the decoder sees, those that fail its checks too, valid ones first."""
    found: list[Found] = []
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
        found.append(Found(kind, corners + 0.5, text))
    return sorted(found, key=lambda one: one.text is None)


def _seen(one: Found, width: int, height: int) -> SeenSymbol:
    return SeenSymbol(one.kind, _shares(one.corners, width, height), one.text)


def _shares(corners: Floats, width: int, height: int) -> tuple[tuple[float, float], ...]:
    return tuple((round(float(x) / width, 4), round(float(y) / height, 4)) for x, y in corners)


def _read_guess(picture: Floats, guess: Guess, whole: PictureReading) -> PictureReading | None:
    """Align every symbol, mend the guess by those that fit well, and weigh all of them together."""
    placed = [
        (index, symbol, fixed)
        for index, symbol in enumerate(guess.layout.symbols())
        if (fixed := fixed_modules(symbol)) is not None
    ]
    matrix = guess.matrix
    aligned: dict[int, tuple[Floats, float]] = {}
    for reach in _REACHES:
        aligned = {}
        for index, symbol, fixed in placed:
            corners = projected(matrix, corners_mm(symbol))
            if in_picture(corners, picture.shape):
                aligned[index] = _aligned(picture, corners, fixed, reach=reach)
        firm = [
            (symbol, aligned[index][0])
            for index, symbol, _ in placed
            if index in aligned and aligned[index][1] >= _FIRM_AGREEMENT
        ]
        if not firm:
            break
        matrix = fitted(
            np.concatenate([corners_mm(symbol) for symbol, _ in firm]),
            np.concatenate([corners for _, corners in firm]),
        )
    copies, places = [], {}
    for index, symbol, fixed in placed:
        if index not in aligned or aligned[index][1] < LEAST_AGREEMENT:
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
    picture: Floats, found: Sequence[Found], layouts: Sequence[Layout], whole: PictureReading, matrix_size: int
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
        if not in_picture(one.corners, picture.shape):
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
