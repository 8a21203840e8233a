"""Checks as a person computes them with a pencil: the two check digits of a number, and the weighted sum of a key.

Source: ISO/IEC 7064, MOD 97-10; the key's check is the shop's own (see ``service.numbering.key``).
"""

from __future__ import annotations

from dataclasses import dataclass

from service.numbering.check import check_digits
from service.numbering.key import ALPHABET, Key

_STEP_DIGITS = 6
"""Digits that are brought down at once: with a rest of two digits before them eight, which any pocket calculator
takes."""

LETTER_VALUES = tuple((letter, str(value)) for value, letter in enumerate("ABCDEFGHIJKLMNOPQRSTUVWXYZ", 10))
"""What letters count as in a number."""

KEY_VALUES = tuple((symbol, str(value)) for value, symbol in enumerate(ALPHABET))
"""What symbols count as in a key."""


@dataclass(frozen=True, slots=True)
class Division:
    """One step of a long division by 97: ``dividend`` leaves ``rest``."""

    dividend: str
    rest: int


@dataclass(frozen=True, slots=True)
class WorkedNumber:
    """The check of a number, step by step.

    Attributes:
        number: the number whole.
        signs: each sign before the check with the digits that it counts as.
        digits: these digits one behind the other, and two zeros for the check that is sought.
        steps: the long division of ``digits`` by 97.
        check: 98 less the last rest, in two digits.
        proof: the long division with the check in place of the zeros; it leaves 1.
    """

    number: str
    signs: tuple[tuple[str, str], ...]
    digits: str
    steps: tuple[Division, ...]
    check: str
    proof: tuple[Division, ...]


@dataclass(frozen=True, slots=True)
class WorkedKey:
    """The check of a key: symbol, value, weight and product of each place, and the sum of the products."""

    key: str
    rows: tuple[tuple[str, int, int, int], ...]
    total: int

    @property
    def multiple(self) -> int:
        """How often 23 goes into the sum."""
        return self.total // len(ALPHABET)


def worked_number(number: str) -> WorkedNumber:
    """The check of an issued number; BadCheck or BadCharacter where there is none to compute."""
    body, _, _ = number.rpartition("-")
    values = dict(LETTER_VALUES)
    signs = tuple((sign, values.get(sign, sign)) for sign in body if sign != "-")
    spelled = "".join(value for _, value in signs)
    check = check_digits(body)
    steps = _long_division(f"{spelled}00")
    return WorkedNumber(number, signs, f"{spelled}00", steps, check, _long_division(f"{spelled}{check}"))


def worked_key(key: str) -> WorkedKey:
    """The check of a key; BadKey where it is none."""
    symbols = Key.parse(key)
    values = {symbol: int(value) for symbol, value in KEY_VALUES}
    rows = tuple(
        (symbol, values[symbol], weight, values[symbol] * weight) for weight, symbol in enumerate(str(symbols), 1)
    )
    return WorkedKey(symbols.printed, rows, sum(row[3] for row in rows))


def _long_division(digits: str) -> tuple[Division, ...]:
    """The steps with six more digits each; leading zeros stay, so that the digits can be followed."""
    steps: list[Division] = []
    rest = ""
    for start in range(0, len(digits), _STEP_DIGITS):
        dividend = rest + digits[start : start + _STEP_DIGITS]
        steps.append(Division(dividend, int(dividend) % 97))
        rest = str(steps[-1].rest)
    return tuple(steps)
