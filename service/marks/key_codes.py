"""All the symbols that keys can make, as linear codes: each module is a fixed value plus a sum of some bits of the key.

Reed–Solomon check words are sums over the field of two elements of the data bits, so every module of a symbol is one as
well. Where the rest of the text is known, the 23⁷ keys are no more than 31.6 bits, spread over 144 modules of a small
Data Matrix or 350 of a QR Code: far more can be lost than the symbol's own error correction, which must reckon with any
text at all, makes good.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from service.marks.data_matrix_places import DATA, SIZES, data_matrix_places
from service.marks.qr_masks import MASKS, QrLevel
from service.marks.qr_places import FORMAT, QrPlaces, qr_places
from service.marks.reed_solomon import DATA_MATRIX_CODE, QR_CODE
from service.numbering.key import ALPHABET, LENGTH

Words = NDArray[np.uint64]
Bits = NDArray[np.bool_]
KeyValues = NDArray[np.int8]

_BASE = len(ALPHABET)
_WEIGHTS = np.arange(1, LENGTH + 1)
_DIGITS = frozenset("23456789")

# ASCII encodation of Data Matrix (ISO/IEC 16022, 5.2.3): a character is its code + 1, two digits are 130 + their value.
_CHARACTER, _TWO_DIGITS, _PAD = 1, 130, 129

#: The characters of QR Code's alphanumeric mode in the order of their values (ISO/IEC 18004, table 5).
_ALPHANUMERIC = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_ALPHANUMERIC_MODE, _MODE_BITS, _COUNT_BITS, _PAIR_BITS, _SINGLE_BITS = 0b0010, 4, 9, 11, 6
_QR_PADS = (0b11101100, 0b00010001)


@dataclass(frozen=True, slots=True)
class Field:
    """Bits of the unknown that together stand for one or two characters of the key.

    Attributes:
        shift: place of its lowest bit in the unknown.
        width: number of bits.
        first: index of its first character in the key.
        count: number of its characters.
        symbols: for each value of the bits the values of its characters (0 to 22), -1 where it stands for no such.
        of_symbols: the bits for each value of the characters, first character counting 23 times.
    """

    shift: int
    width: int
    first: int
    count: int
    symbols: KeyValues
    of_symbols: Words


@dataclass(frozen=True, slots=True)
class KeyCode:
    """Symbols of one size whose keys share a pattern of digits and letters, or a mask.

    Attributes:
        width: number of unknown bits, at most 64.
        rows: for each module the unknown bits that it sums.
        constant: what each module is when all unknown bits are 0.
        fields: how the unknown bits stand for characters.
        varies: which modules differ from key to key, in any code of this kind of symbol.
        digits: which characters are digits, the first one lowest, in every key of this code; None where that is free.
    """

    width: int
    rows: Words
    constant: Bits
    fields: tuple[Field, ...]
    varies: Bits
    digits: int | None = None

    def keys(self, unknown: Words) -> tuple[KeyValues, NDArray[np.intp]]:
        """The keys that these unknowns stand for, as values 0 to 22, and the index of each; what is none drops out."""
        values = np.empty((len(unknown), LENGTH), dtype=np.int8)
        for field in self.fields:
            bits = (unknown >> np.uint64(field.shift)) & np.uint64((1 << field.width) - 1)
            values[:, field.first : field.first + field.count] = field.symbols[bits.astype(np.intp)]
        whole: Bits = np.all(values >= 0, axis=1)
        whole[whole] = is_key(values[whole])
        return values[whole], np.flatnonzero(whole)

    def unknown(self, keys: KeyValues) -> tuple[Words, Bits]:
        """The unknown bits of each key, and whether the key is of this pattern at all."""
        made, fits = np.zeros(len(keys), dtype=np.uint64), np.ones(len(keys), dtype=bool)
        for field in self.fields:
            index = keys[:, field.first].astype(np.intp)
            if field.count == 2:
                index = index * _BASE + keys[:, field.first + 1]
            bits = field.of_symbols[index]
            fits &= bits != _NONE
            made |= np.where(bits != _NONE, bits, np.uint64(0)) << np.uint64(field.shift)
        return made, fits

    def modules(self, unknown: Words) -> Bits:
        """The symbols of these unknowns, a row a symbol."""
        ones = np.bitwise_count(unknown[:, None] & self.rows[None, :])
        made: Bits = ((ones & 1) == 1) ^ self.constant
        return made


_NONE = np.uint64(2**64 - 1)


def is_key(values: KeyValues) -> Bits:
    """Which rows of eight values 0 to 22 are keys: the check fits and not all symbols are the same."""
    checked = (values.astype(np.int64) @ _WEIGHTS) % _BASE == 0
    same: Bits = (values == values[:, :1]).all(axis=1)
    keys: Bits = checked & ~same
    return keys


def digits_of(values: KeyValues) -> NDArray[np.int64]:
    """Which characters of each key are digits, as :attr:`KeyCode.digits` says it."""
    return np.asarray((values < len(_DIGITS)).astype(np.int64) @ (1 << np.arange(LENGTH)))


def key_text(values: Sequence[int] | KeyValues) -> str:
    """The key of eight values."""
    return "".join(ALPHABET[int(value)] for value in values)


def key_values(keys: Sequence[str]) -> KeyValues:
    """The values of keys, a row a key."""
    made: KeyValues = np.array([[ALPHABET.index(symbol) for symbol in key] for key in keys], dtype=np.int8)
    return made.reshape(-1, LENGTH)


def data_matrix_size(key: str) -> int:
    """Modules in a row of the Data Matrix that holds a bare key."""
    words = len(_encodation(tuple(symbol in _DIGITS for symbol in key)))
    return min(size for size, (data, _, _) in SIZES.items() if data >= words)


@lru_cache(maxsize=8)
def data_matrix_codes(size: int) -> tuple[KeyCode, ...]:
    """The codes of Data Matrix symbols of this size with a bare key, one for each pattern of digits and letters."""
    return tuple(_data_matrix_codes(size))


def _data_matrix_codes(size: int) -> Iterator[KeyCode]:
    places = data_matrix_places(size)
    if places is None:
        return
    smaller = max((data for other, (data, _, _) in SIZES.items() if other < size), default=0)
    unit = np.zeros((8 * places.data, size * size), dtype=bool)
    for bit in range(8 * places.data):
        words = [0] * places.data
        words[bit // 8] = 128 >> bit % 8
        unit[bit, places.bits.ravel()] = _data_matrix_bits(words, places.check)
    fixed = np.where(places.fixed == DATA, 0, places.fixed).astype(bool).ravel()
    varies = (places.fixed == DATA).ravel()
    for pattern in product((False, True), repeat=LENGTH):
        groups = _encodation(pattern)
        if not smaller < len(groups) <= places.data:
            continue
        words = [_first_word(pattern, group) for group in groups]
        words += _pads(len(words), places.data)
        constant = np.unpackbits(np.array(words, dtype=np.uint8)).astype(bool)
        free: list[int] = []
        fields: list[Field] = []
        for index, group in enumerate(groups):
            values = _word_values(pattern, group)
            width = 4 if len(group) == 1 and pattern[group[0]] else 5 if len(group) == 1 else 8
            first_bit = 8 * index + 8 - width
            fields.append(_field(len(free), width, group[0], len(group), values))
            free += range(8 * index + 7, first_bit - 1, -1)
            constant[first_bit : 8 * index + 8] = False
        digits = sum(1 << at for at, is_digit in enumerate(pattern) if is_digit)
        yield replace(_linear(unit, constant, fixed, free, tuple(fields), varies), digits=digits)


def _data_matrix_bits(words: list[int], check: int) -> Bits:
    whole = [*words, *DATA_MATRIX_CODE.check_words(words, check)]
    return np.unpackbits(np.array(whole, dtype=np.uint8)).astype(bool)


def _encodation(is_digit: Sequence[bool]) -> list[tuple[int, ...]]:
    """Which characters share a codeword: digits are taken in pairs from the left."""
    groups: list[tuple[int, ...]] = []
    at = 0
    while at < len(is_digit):
        two = at + 1 < len(is_digit) and is_digit[at] and is_digit[at + 1]
        groups.append((at, at + 1) if two else (at,))
        at += len(groups[-1])
    return groups


def _word(group: str) -> int:
    return _TWO_DIGITS + int(group) if len(group) == 2 else ord(group) + _CHARACTER


def _texts(pattern: Sequence[bool], group: tuple[int, ...]) -> list[str]:
    symbols = [[symbol for symbol in ALPHABET if (symbol in _DIGITS) == pattern[at]] for at in group]
    return ["".join(text) for text in product(*symbols)]


def _word_values(pattern: Sequence[bool], group: tuple[int, ...]) -> dict[str, int]:
    return {text: _word(text) for text in _texts(pattern, group)}


def _first_word(pattern: Sequence[bool], group: tuple[int, ...]) -> int:
    return _word(_texts(pattern, group)[0])


def _pads(used: int, room: int) -> list[int]:
    """The first pad, then pads made random over 253 states by their place (ISO/IEC 16022, 5.2.3 and annex B)."""
    pads = [_PAD] if used < room else []
    for place in range(used + 2, room + 1):
        pad = _PAD + 149 * place % 253 + 1
        pads.append(pad if pad <= 254 else pad - 254)
    return pads


@lru_cache(maxsize=16)
def qr_codes(before: str, size: int, level: QrLevel) -> tuple[KeyCode, ...]:
    """The codes of QR Codes that hold ``before`` and a key in alphanumeric mode, one for each mask.

    Empty where no symbol of this size and level holds such a text.
    """
    places = qr_places(size, level)
    if places is None or any(char not in _ALPHANUMERIC for char in before):
        return ()
    data, fields, free = _qr_data(before, places.data)
    if data is None:
        return ()
    unit = np.zeros((8 * places.data, size * size), dtype=bool)
    for bit in free:
        single = np.zeros(8 * places.data, dtype=bool)
        single[bit] = True
        unit[bit, places.bits.ravel()] = _qr_bits(single, places)
    plain = np.zeros(size * size, dtype=bool)
    plain[places.bits.ravel()] = _qr_bits(data, places)
    fixed = (places.fixed == 1).ravel()
    made = [
        _linear(
            unit, None, plain ^ fixed ^ places.masks[mask].ravel() ^ places.formats[mask].ravel(), free, fields, None
        )
        for mask in MASKS
    ]
    varies = made[0].rows != 0
    return tuple(replace(code, varies=varies) for code in made)


def known_modules(kind_fixed: NDArray[np.int8]) -> Bits:
    """Which modules of a structure (``fixed``) no text changes."""
    known: Bits = ((kind_fixed != DATA) & (kind_fixed != FORMAT)).ravel()
    return known


def _qr_data(before: str, room: int) -> tuple[Bits | None, tuple[Field, ...], list[int]]:
    """The data bits with all unknown ones 0, the fields, and the index of each unknown bit, lowest first."""
    length = len(before) + LENGTH
    bits = _as_bits(_ALPHANUMERIC_MODE, _MODE_BITS) + _as_bits(length, _COUNT_BITS)
    text = before + "?" * LENGTH
    fields: list[Field] = []
    free: list[int] = []
    for at in range(0, length, 2):
        group = text[at : at + 2]
        width = _PAIR_BITS if len(group) == 2 else _SINGLE_BITS
        unknown = group.count("?")
        if not unknown:
            bits += _as_bits(_alphanumeric(group), width)
            continue
        known = group.rstrip("?")
        values = {
            "".join(symbols): _alphanumeric(known + "".join(symbols)) for symbols in product(ALPHABET, repeat=unknown)
        }
        fields.append(_field(len(free), width, max(0, at - len(before)), unknown, values))
        free += range(len(bits) + width - 1, len(bits) - 1, -1)
        bits += [False] * width
    if len(bits) > 8 * room:
        return None, (), []
    bits += [False] * min(4, 8 * room - len(bits))
    bits += [False] * (-len(bits) % 8)
    for index in range(room - len(bits) // 8):
        bits += _as_bits(_QR_PADS[index % 2], 8)
    return np.array(bits), tuple(fields), free


def _as_bits(value: int, width: int) -> list[bool]:
    return [digit == "1" for digit in f"{value:0{width}b}"]


def _alphanumeric(group: str) -> int:
    value = 0
    for char in group:
        value = value * len(_ALPHANUMERIC) + _ALPHANUMERIC.index(char)
    return value


def _qr_bits(data: Bits, places: QrPlaces) -> Bits:
    words = [int(word) for word in np.packbits(data)]
    checks: list[int] = []
    start = 0
    for length, check in places.blocks:
        checks += QR_CODE.check_words(words[start : start + length], check)
        start += length
    return np.unpackbits(np.array(words + checks, dtype=np.uint8)).astype(bool)


def _field(shift: int, width: int, first: int, count: int, values: dict[str, int]) -> Field:
    mask = (1 << width) - 1
    symbols = np.full((1 << width, count), -1, dtype=np.int8)
    of_symbols = np.full(_BASE**count, _NONE, dtype=np.uint64)
    for text, value in values.items():
        indices = [ALPHABET.index(symbol) for symbol in text]
        symbols[value & mask] = indices
        of_symbols[indices[0] if count == 1 else indices[0] * _BASE + indices[1]] = value & mask
    return Field(shift, width, first, count, symbols, of_symbols)


def _linear(
    unit: Bits, data: Bits | None, fixed: Bits, free: list[int], fields: tuple[Field, ...], varies: Bits | None
) -> KeyCode:
    """A code from what each data bit changes; ``free`` are the unknown data bits, lowest first."""
    rows = np.zeros(unit.shape[1], dtype=np.uint64)
    for place, bit in enumerate(free):
        rows |= unit[bit].astype(np.uint64) << np.uint64(place)
    constant = fixed.copy()
    if data is not None:
        constant ^= np.logical_xor.reduce(unit[data], axis=0)
    return KeyCode(len(free), rows, constant, fields, rows != 0 if varies is None else varies)
