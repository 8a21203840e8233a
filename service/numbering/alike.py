"""Which letters and codes are too alike to stand in one table.

A code lives for decades in engraving that wears and in telephone calls, so two codes of one table must differ in at
least one letter that neither looks nor sounds like the other. The classes below are common practice, no source: letters
that workshops mix up on scratched plastic, and letter names that English speakers mix up on a telephone, which carries
little above 3.4 kHz. A letter may stand in several classes; being alike does not carry over from one class to the next.
"""

from __future__ import annotations

from itertools import combinations

__all__ = ["LOOK_ALIKE_LETTERS", "SIGN_CLASSES", "SOUND_ALIKE_LETTERS", "alike", "letters_alike"]

SIGN_CLASSES = ("0ODQ", "1IL", "2Z", "5S", "6G", "8B", "7T")
"""Signs of which one is read for another; each class holds one digit and the letters that look like it."""

LOOK_ALIKE_LETTERS = (
    "DOQ",  # closed round bodies
    "CGOQ",  # round bodies, the gap worn shut
    "IJL",  # uprights
    "IT",  # an upright with a worn bar
    "EF",  # a foot that is worn off
    "PR",  # a leg that is worn off
    "BR",
    "UV",
    "VY",
    "VW",
    "MN",
    "MW",  # turned by half a turn
    "HN",
    "SZ",  # mirrored
)

SOUND_ALIKE_LETTERS = (
    "BDEPTV",  # told apart only by the start of the sound
    "CZ",
    "GJ",
    "FSX",
    "MN",
    "AJK",
    "AH",
    "IY",
    "QU",
)

_ALIKE = frozenset(
    frozenset(pair) for letters in (*LOOK_ALIKE_LETTERS, *SOUND_ALIKE_LETTERS) for pair in combinations(letters, 2)
)
_LIKE_A_DIGIT = frozenset(letter for signs in SIGN_CLASSES for letter in signs[1:])


def letters_alike(one: str, other: str) -> bool:
    """Whether two capital letters are the same, look alike or sound alike."""
    return one == other or frozenset((one, other)) in _ALIKE


def alike(code_a: str, code_b: str) -> bool:
    """Whether two codes of capital letters are too alike to stand in one table.

    Codes of one length are alike when no position holds two letters that are clearly different. Of two codes whose
    lengths differ by one, the longer is alike when it begins like the shorter and its last letter looks like a digit:
    plant ``OSVO`` on line 4 reads like plant ``OSV`` on line 04.
    """
    short, long = sorted((code_a, code_b), key=len)
    if not all(map(letters_alike, short, long)):
        return False
    rest = long[len(short) :]
    return not rest or (len(rest) == 1 and rest in _LIKE_A_DIGIT)
