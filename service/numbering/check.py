"""The two check digits of a number: ISO/IEC 7064 MOD 97-10 over letters and digits.

Letters count as 10 (A) to 35 (Z), digits as themselves, hyphens not at all. The digits of all these values, written one
behind the other and followed by the check, leave 1 when divided by 97. Since letters keep to letter places and digits
to digit places, every single misread sign and every swap of two neighbours of one kind is caught.

A digit swapped with the letter of twice that digit (1 with B, 2 with M, 3 with X) across a lost hyphen is not caught:
``SW12M3`` and ``SW1M23`` have the same check. Hyphens in their places tell them apart.
"""

from __future__ import annotations

import re

from service.errors import BadCharacter, BadCheck

__all__ = ["check_digits", "is_valid"]

_ALLOWED = re.compile(r"[A-Z0-9-]*")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_DIGITS_OF = {ord("-"): None} | {ord(letter): str(value) for value, letter in enumerate(_LETTERS, 10)}
_CHECK_RANGE = range(2, 99)


def check_digits(text: str) -> str:
    """The check digits, ``02`` to ``98``, of what stands before them.

    Args:
        text: capital letters, digits and hyphens as the number is printed, so without leading zeros: the check is
            taken over the text as it stands, and a text that was received with leading zeros is rid of them first.

    Raises:
        BadCharacter: a character that no number holds.
        BadCheck: there is nothing to check.

    Source: ISO/IEC 7064, MOD 97-10 (pure system, two check digits).
    """
    return f"{98 - _as_integer(text) * 100 % 97:02d}"


def is_valid(text: str) -> bool:
    """Whether the last two digits of a text are the check digits of what stands before them.

    ``00``, ``01`` and ``99`` leave the same remainders as 97, 98 and 02 but are never given out, so they never fit.

    Raises:
        BadCharacter: a character that no number holds.
        BadCheck: there is nothing to check.
    """
    value = _as_integer(text)
    return value % 97 == 1 and text[-2:].isdecimal() and value % 100 in _CHECK_RANGE and value > 99


def _as_integer(text: str) -> int:
    fitting = _ALLOWED.match(text)
    end = fitting.end() if fitting else 0
    if end < len(text):
        raise BadCharacter(
            "a number is written in capital letters, digits and hyphens",
            field="number",
            value=text,
            todo="Correct the character",
            position=end,
        )
    digits = text.translate(_DIGITS_OF)
    if not digits:
        raise BadCheck("there is nothing to check", field="number", value=text, todo="Give the number")
    return int(digits)
