"""The check words of Reed–Solomon codes over the field of 256 elements.

Data Matrix uses the field of 0x12D and generator roots from α¹ (ISO/IEC 16022), QR Code the field of 0x11D and roots
from α⁰ (ISO/IEC 18004). Nothing is corrected here: a damaged symbol is judged by all its modules (``key_search``).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

ORDER = 255


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

    @lru_cache(maxsize=64)  # noqa: B019  # there are two codes, and both live as long as the program
    def _generator(self, count: int) -> tuple[int, ...]:
        """The product of (x - root) over ``count`` roots, the highest power first."""
        generator = [1]
        for index in range(count):
            root = self._power[(self._first_root + index) % ORDER]
            grown = [*generator, 0]
            for place, word in enumerate(generator):
                grown[place + 1] ^= self._times(word, root)
            generator = grown
        return tuple(generator)

    def _times(self, left: int, right: int) -> int:
        return self._power[self._log[left] + self._log[right]] if left and right else 0


DATA_MATRIX_CODE = ReedSolomon(0x12D, 1)
QR_CODE = ReedSolomon(0x11D, 0)
