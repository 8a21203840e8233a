"""A kit in nine bytes that sort like the kit does, to keep thousands of them in one run of bytes."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["KEY_BYTES", "Halves", "key_of", "kit_of"]

Halves = tuple[str, str, str, str, str, str]
"""Plant, line, machine class, machine, design, nominal, as they are printed."""

KEY_BYTES = 9

_LETTERS = " ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_VALUE = {letter: value for value, letter in enumerate(_LETTERS)}
_LONGEST = (4, 2, 2, 2, 2, 6)
_RADIX = tuple((10 if nth % 2 else 27) ** longest for nth, longest in enumerate(_LONGEST))


def key_of(halves: Sequence[str]) -> bytes:
    """The bytes for a kit, from its halves; what stands behind them is left out."""
    key = 0
    for nth, (half, longest, radix) in enumerate(zip(halves, _LONGEST, _RADIX, strict=False)):
        if nth % 2:
            value = int(half)
        else:
            value = 0
            for letter in half.ljust(longest):
                value = value * 27 + _VALUE[letter]
        key = key * radix + value
    return key.to_bytes(KEY_BYTES, "big")


def kit_of(key: bytes) -> Halves:
    """The kit behind bytes."""
    left = int.from_bytes(key, "big")
    halves: list[str] = []
    for nth in range(5, -1, -1):
        left, value = divmod(left, _RADIX[nth])
        if nth % 2:
            halves.append(str(value))
        else:
            letters = ""
            while value:
                value, letter = divmod(value, 27)
                letters = _LETTERS[letter] + letters
            halves.append(letters.strip())
    plant, line, machine_class, machine, design, nominal = reversed(halves)
    return plant, line, machine_class, machine, design, nominal
