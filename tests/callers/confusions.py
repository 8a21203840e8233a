"""What is taken for what, in the judgement of whoever wrote the callers: worn plates, bad lines, keyboards.

These tables know nothing of the service's own: the search must do well by people who err in their own way. For each
sign the likely mistakes are named, the likeliest first; half as likely are those named behind, and all other signs
share what is left.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from tests.callers.said import Shares

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
PLACE = {sign: at for at, sign in enumerate(SIGNS)}
_NAMED = 0.85

BY_EYE: Mapping[str, str] = {
    "0": "OQD8C6", "1": "I7LT4", "2": "Z7", "3": "8B5E", "4": "A19", "5": "S63", "6": "G8C5", "7": "1TZ2", "8": "B306",
    "9": "4G0P", "A": "4RH", "B": "83RPE", "C": "GOE0", "D": "O0QB", "E": "FB3L", "F": "EPT", "G": "C60Q", "H": "NMKA",
    "I": "1LTJ", "J": "1IU", "K": "XHR", "L": "I1E", "M": "NWH", "N": "MHW", "O": "0QDC", "P": "FRD9", "Q": "O0GD",
    "R": "PAKB", "S": "5826", "T": "7IY1", "U": "VJO", "V": "UYW", "W": "MVN", "X": "KY", "Y": "VTX", "Z": "27",
}  # fmt: skip
BY_EAR: Mapping[str, str] = {
    "0": "OU4", "1": "95", "2": "QU", "3": "BCEP", "4": "50", "5": "9I4", "6": "XS", "7": "S1", "8": "AHK", "9": "51N",
    "A": "8KHJ", "B": "DPVEG3", "C": "ZEDTG", "D": "BTEPG", "E": "BPDTC", "F": "SX", "G": "JCDE", "H": "8AX",
    "I": "YR5", "J": "GKA", "K": "AJ", "L": "MNO", "M": "NF", "N": "M", "O": "0L", "P": "BTDE", "Q": "U2", "R": "IY",
    "S": "FX6", "T": "DPEBC", "U": "Q2W", "V": "BDEZ", "W": "UV", "X": "SF6", "Y": "IW", "Z": "CVS",
}  # fmt: skip
_ROWS = ("1234567890", "QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM")


def _by_keyboard() -> dict[str, str]:
    """The keys to the left and right, then those above and below."""
    beside: dict[str, str] = {}
    for row, keys in enumerate(_ROWS):
        for at, key in enumerate(keys):
            near = keys[max(0, at - 1) : at] + keys[at + 1 : at + 2]
            for other in (row - 1, row + 1):
                if 0 <= other < len(_ROWS):
                    near += _ROWS[other][at : at + 1]
            beside[key] = near
    return beside


BY_KEYBOARD: Mapping[str, str] = _by_keyboard()
MISTAKES = {"eye": BY_EYE, "ear": BY_EAR, "keyboard": BY_KEYBOARD}


@cache
def taken_for(came_by: str, wrong: float) -> Shares:
    """Row by true sign, column by sign as it is said: the share, with ``wrong`` of all signs taken for another one."""
    table = np.zeros((len(SIGNS), len(SIGNS)))
    for true, named in MISTAKES[came_by].items():
        row = np.full(len(SIGNS), (1 - _NAMED) / (len(SIGNS) - 1 - len(named)))
        weights = np.array([1.0 if at < 2 else 0.5 for at in range(len(named))])
        for sign, weight in zip(named, weights / weights.sum() * _NAMED, strict=True):
            row[PLACE[sign]] = weight
        row[PLACE[true]] = 0
        row *= wrong / row.sum()
        row[PLACE[true]] = 1 - wrong
        table[PLACE[true]] = row
    return table
