"""Revision letters: ``-`` for the initial release, then A, B, C … without I, O, Q, S, X and Z.

Source: ASME Y14.35 (from memory; the standard's text was not at hand). After Y come AA, AB … AY, BA …
"""

from __future__ import annotations

from service.errors import BadRevision

LETTERS = "ABCDEFGHJKLMNPRTUVWY"
INITIAL = "-"
_BASE = len(LETTERS)
_LONGEST = 3


def letter_of(ordinal: int) -> str:
    """The letter of the n-th release: 0 is ``-``, 1 is A, 20 is Y, 21 is AA, 420 is YY."""
    if ordinal < 0:
        raise ValueError(ordinal)
    text = ""
    while ordinal > 0:
        ordinal, place = divmod(ordinal - 1, _BASE)
        text = LETTERS[place] + text
    return text or INITIAL


def ordinal_of(letter: str) -> int:
    """The place of a revision letter in the sequence; raises BadRevision for what is no revision letter."""
    text = letter.strip().upper()
    if text == INITIAL:
        return 0
    if not text or len(text) > _LONGEST or any(symbol not in LETTERS for symbol in text):
        raise BadRevision(
            "a revision is '-' for the initial release or letters without I, O, Q, S, X and Z",
            field="revision",
            value=letter,
            todo="Give '-', A, B, C and so on, as on the drawing",
        )
    ordinal = 0
    for symbol in text:
        ordinal = ordinal * _BASE + LETTERS.index(symbol) + 1
    return ordinal
