"""Reed–Solomon codes over the field of 256 elements: check words, and correction of errors and erasures.

Data Matrix uses the field of 0x12D and generator roots from α¹ (ISO/IEC 16022), QR Code the field of 0x11D and roots
from α⁰ (ISO/IEC 18004). An erasure is a wrong word whose place is known: it costs one check word, an error costs two.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

ORDER = 255


@dataclass(frozen=True, slots=True)
class Corrected:
    """A word of the code near what was read.

    Attributes:
        words: data words and check words, as they should be.
        changed: how many differ from what was read at places that were not erased.
        spare: check words that were not used up; each is another proof in 256.
    """

    words: tuple[int, ...]
    changed: int
    spare: int


class ReedSolomon:
    """The code of one symbology.

    Args:
        polynomial: that makes the field.
        first_root: exponent of the generator's first root.
    """

    def __init__(self, polynomial: int, first_root: int) -> None:
        self._first_root = first_root
        self._power = [0] * (2 * ORDER)
        self._log = [0] * (ORDER + 1)
        value = 1
        for exponent in range(ORDER):
            self._power[exponent] = self._power[exponent + ORDER] = value
            self._log[value] = exponent
            value <<= 1
            if value > ORDER:
                value ^= polynomial

    def check_words(self, data: Sequence[int], count: int) -> tuple[int, ...]:
        """The ``count`` check words of ``data``: the remainder after division by the generator."""
        generator = self._generator(count)
        rest = [0] * count
        for word in data:
            factor = word ^ rest[0]
            rest = [*rest[1:], 0]
            if factor:
                for index in range(count):
                    rest[index] ^= self._times(generator[index + 1], factor)
        return tuple(rest)

    def correct(self, words: Sequence[int], check_count: int, erased: Collection[int] = ()) -> Corrected | None:
        """The nearest word of the code; None when none is near enough.

        Args:
            words: as read, data first.
            check_count: how many of them are check words.
            erased: indices of words that are not to be trusted.
        """
        if len(erased) > check_count:
            return None
        size = len(words)
        read = [0 if index in erased else word for index, word in enumerate(words)]
        syndromes = self._syndromes(read, check_count)
        erasures = [self._power[(size - 1 - index) % ORDER] for index in erased]
        locator = [1]
        for root in erasures:
            locator = self._product(locator, [1, root])
        locator = self._add_errors(syndromes, locator, len(erasures))
        places = [
            index
            for index in range(size)
            if self._value(locator, self._power[(ORDER - (size - 1 - index)) % ORDER]) == 0
        ]
        if len(places) != len(locator) - 1:
            return None
        fixed = self._with_magnitudes(read, syndromes, locator, places)
        if fixed is None or any(self._syndromes(fixed, check_count)):
            return None
        changed = sum(1 for index in range(size) if index not in erased and fixed[index] != words[index])
        spare = check_count - len(erased) - 2 * changed
        return Corrected(tuple(fixed), changed, spare) if spare >= 0 else None

    @lru_cache(maxsize=64)  # noqa: B019  # there are two codes, and both live as long as the program
    def _generator(self, count: int) -> tuple[int, ...]:
        generator = [1]
        for index in range(count):
            generator = self._product(generator, [1, self._power[(self._first_root + index) % ORDER]])
        return tuple(generator)

    def _times(self, left: int, right: int) -> int:
        return self._power[self._log[left] + self._log[right]] if left and right else 0

    def _divided(self, left: int, right: int) -> int:
        return self._power[self._log[left] - self._log[right] + ORDER] if left else 0

    def _product(self, left: Sequence[int], right: Sequence[int]) -> list[int]:
        made = [0] * (len(left) + len(right) - 1)
        for i, one in enumerate(left):
            for j, other in enumerate(right):
                made[i + j] ^= self._times(one, other)
        return made

    def _value(self, polynomial: Sequence[int], at: int) -> int:
        """A polynomial, lowest power first, at a point."""
        value = 0
        for coefficient in reversed(polynomial):
            value = self._times(value, at) ^ coefficient
        return value

    def _syndromes(self, words: Sequence[int], count: int) -> list[int]:
        return [self._value(words[::-1], self._power[(self._first_root + index) % ORDER]) for index in range(count)]

    def _add_errors(self, syndromes: Sequence[int], locator: list[int], erased: int) -> list[int]:
        """Berlekamp–Massey, begun with the locator of the erasures; polynomials with the lowest power first."""
        before, length = list(locator), erased
        for step in range(erased, len(syndromes)):
            before = [0, *before]
            difference = 0
            for index, coefficient in enumerate(locator):
                if index <= step:
                    difference ^= self._times(coefficient, syndromes[step - index])
            if not difference:
                continue
            width = max(len(locator), len(before))
            wider = locator + [0] * (width - len(locator))
            grown = [
                word ^ self._times(difference, before[index]) if index < len(before) else word
                for index, word in enumerate(wider)
            ]
            if 2 * length <= step + erased:
                length = step + 1 + erased - length
                before = [self._divided(word, difference) for word in locator]
            locator = grown
        while len(locator) > 1 and not locator[-1]:
            locator.pop()
        return locator

    def _with_magnitudes(
        self, read: list[int], syndromes: Sequence[int], locator: Sequence[int], places: Sequence[int]
    ) -> list[int] | None:
        """Forney: what is to be added at each place."""
        evaluator = self._product(syndromes, locator)[: len(syndromes)]
        slope = [word if index % 2 else 0 for index, word in enumerate(locator)][1:]
        fixed, size = list(read), len(read)
        for index in places:
            exponent = size - 1 - index
            inverse = self._power[(ORDER - exponent) % ORDER]
            below = self._value(slope, inverse)
            if not below:
                return None
            amount = self._divided(self._value(evaluator, inverse), below)
            shift = self._power[(exponent * (1 - self._first_root)) % ORDER]
            fixed[index] ^= self._times(amount, shift)
        return fixed


DATA_MATRIX_CODE = ReedSolomon(0x12D, 1)
QR_CODE = ReedSolomon(0x11D, 0)
