"""How likely a key is to be hit instead of another, from where the keys lie.

The keys of a standard keyboard lie in four rows, each set off to the right against the one above it. A finger that
misses mostly lands on a key beside the one it meant: over half of all wrong keys are neighbours (J. T. Grudin 1983,
after K. Kukich, ACM Computing Surveys 24(4), 1992, from memory). The rest may be any key. Three layouts are mixed,
as nobody knows on which a mark was typed: QWERTY, QWERTZ and AZERTY (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from service.numbering.weights import SIGNS

__all__ = ["LAYOUTS", "key_places", "mistyped"]

LAYOUTS: Mapping[str, tuple[str, str, str, str]] = {
    "QWERTY": ("1234567890", "QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM"),
    "QWERTZ": ("1234567890", "QWERTZUIOP", "ASDFGHJKL", "YXCVBNM"),
    "AZERTY": ("1234567890", "AZERTYUIOP", "QSDFGHJKLM", "WXCVBN"),
}
"""The rows of keys from the digits down."""

_SET_OFF = (0.0, 0.5, 0.75, 1.25)
"""How far each row is set off to the right, in key widths."""

_NEIGHBOURS = 0.58
"""Share of wrong keys that lie beside the right one (Grudin 1983, from memory)."""
_REACH = 0.5
"""How fast a slip gets rarer with the way between two keys, in key widths."""


@cache
def key_places(layout: str) -> Mapping[str, tuple[float, float]]:
    """Where the middle of each key lies, in key widths to the right and rows down."""
    return {
        sign: (column + offset, float(row))
        for row, (signs, offset) in enumerate(zip(LAYOUTS[layout], _SET_OFF, strict=True))
        for column, sign in enumerate(signs)
    }


@cache
def mistyped(true: str) -> Mapping[str, float]:
    """For each other sign the share that it has in the wrong keys hit for ``true``; the shares add up to 1."""
    shares = dict.fromkeys((sign for sign in SIGNS if sign != true), (1 - _NEIGHBOURS) / (len(SIGNS) - 1))
    for layout in LAYOUTS:
        places = key_places(layout)
        near = {sign: math.exp(-(math.dist(places[true], places[sign]) ** 2) / (2 * _REACH**2)) for sign in shares}
        for sign, nearness in near.items():
            shares[sign] += _NEIGHBOURS / len(LAYOUTS) * nearness / sum(near.values())
    return shares
