"""The key of a piece or a segment: seven symbols and a check symbol.

The 23 symbols leave out what is mixed up with a digit or another letter. The check works in the field of 23 elements:
the values of the eight symbols, weighted 1 to 8 from the left, add up to a multiple of 23. All weights, and all
differences of two weights, are invertible there, so every single wrong symbol and every swap of two is caught.
A key grants nothing; it only names.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from random import Random

from service.errors import BadCharacter, BadKey

__all__ = ["ALPHABET", "LENGTH", "Key", "random_keys", "weighted_sum"]

ALPHABET = "23456789ACEFHJKMNPRTWXY"
"""The symbols in the order of their values 0 to 22."""

LENGTH = 8
_VALUE = {symbol: value for value, symbol in enumerate(ALPHABET)}
_MODULUS = len(ALPHABET)
_INVERSE_OF_CHECK_WEIGHT = pow(LENGTH, -1, _MODULUS)


_FREE_SYMBOLS = _MODULUS ** (LENGTH - 1)
"""How many texts of seven symbols there are."""

_WORD_BITS = 32
"""A word of these holds all of them; what lies above is thrown away, so that each text comes out equally often."""


def weighted_sum(symbols: str) -> int:
    """The sum of symbol values weighted 1, 2, 3 … from the left, modulo 23.

    Raises:
        KeyError: a symbol outside :data:`ALPHABET`.
    """
    return sum(weight * _VALUE[symbol] for weight, symbol in enumerate(symbols, 1)) % _MODULUS


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """Eight symbols whose weighted sum fits, kept without a hyphen.

    Raises:
        BadCharacter: a symbol outside the alphabet.
        BadKey: not eight symbols, all one symbol, or a check symbol that does not fit.
    """

    symbols: str

    def __post_init__(self) -> None:
        for position, symbol in enumerate(self.symbols):
            if symbol not in _VALUE:
                raise _bad_symbol(self.symbols, position)
        _require(self.symbols, as_given=self.symbols)

    @classmethod
    def parse(cls, text: str) -> Key:
        """The key in a text; small letters, blanks and hyphens do not matter.

        Raises:
            BadCharacter: a character that no key holds, with its position in ``text``.
            BadKey: not eight symbols, all one symbol, or a check symbol that does not fit.
        """
        symbols = []
        for position, character in enumerate(text):
            if character == "-" or character.isspace():
                continue
            symbol = character.upper()
            if symbol not in _VALUE:
                raise _bad_symbol(text, position)
            symbols.append(symbol)
        compact = "".join(symbols)
        _require(compact, as_given=text)
        return cls(compact)

    @classmethod
    def from_symbols(cls, seven: str) -> Key:
        """The key that begins with these seven symbols; the check symbol is added.

        Raises:
            BadCharacter: a symbol outside the alphabet.
            BadKey: not seven symbols, or seven that would give a key of one symbol only.
        """
        for position, symbol in enumerate(seven):
            if symbol not in _VALUE:
                raise _bad_symbol(seven, position)
        if len(seven) != LENGTH - 1:
            raise BadKey(
                f"a key begins with {LENGTH - 1} free symbols, not {len(seven)}",
                field="key",
                value=seven,
                todo=f"Give {LENGTH - 1} symbols",
            )
        return cls(seven + ALPHABET[-weighted_sum(seven) * _INVERSE_OF_CHECK_WEIGHT % _MODULUS])

    @classmethod
    def random(cls, rng: Random) -> Key:
        """A random key that is not all one symbol.

        Args:
            rng: the source of chance; ``secrets.SystemRandom()`` in the service, a seeded one in a demonstration.
        """
        while True:
            seven = "".join(rng.choices(ALPHABET, k=LENGTH - 1))
            if len(set(seven)) > 1:
                return cls.from_symbols(seven)

    @property
    def printed(self) -> str:
        """The key in two fours, as it is printed and engraved: ``K7M4-XRAW``."""
        return f"{self.symbols[:4]}-{self.symbols[4:]}"

    def __str__(self) -> str:
        return self.symbols


def random_keys(count: int, rng: Random) -> list[str]:
    """The symbols of that many different random keys, out of few draws from the source of chance.

    As :meth:`Key.random` makes them, in the order in which they were drawn.

    Args:
        count: how many.
        rng: as for :meth:`Key.random`.
    """
    found: dict[str, None] = {}
    while len(found) < count:
        # About four words in five are taken.
        words = (count - len(found)) * 4 // 3 + 4
        drawn = rng.getrandbits(_WORD_BITS * words)
        for word in struct.unpack(f"<{words}I", drawn.to_bytes(4 * words, "little")):
            if word < _FREE_SYMBOLS and len(found) < count:
                key = _key_of(word)
                if key is not None:
                    found[key] = None
    return list(found)


def _key_of(word: int) -> str | None:
    """The key whose seven free symbols are the digits of a number, lowest first; None for seven like symbols."""
    symbols, total = "", 0
    for weight in range(1, LENGTH):
        word, value = divmod(word, _MODULUS)
        symbols += ALPHABET[value]
        total += weight * value
    if symbols == symbols[0] * (LENGTH - 1):
        return None
    return symbols + ALPHABET[-total * _INVERSE_OF_CHECK_WEIGHT % _MODULUS]


def _bad_symbol(text: str, position: int) -> BadCharacter:
    return BadCharacter(
        f"a key is made of the symbols {ALPHABET}",
        field="key",
        value=text,
        todo="Read the symbol again",
        position=position,
    )


def _require(symbols: str, *, as_given: str) -> None:
    if len(symbols) != LENGTH:
        what, todo = f"a key has {LENGTH} symbols, not {len(symbols)}", "Read the key again, symbol by symbol"
    elif len(set(symbols)) == 1:
        what, todo = "no key is made of one symbol only", "Read the key again, symbol by symbol"
    elif weighted_sum(symbols):
        what, todo = "a symbol is wrong, or two are swapped: the check does not fit", "Read the key again"
    else:
        return
    raise BadKey(what, field="key", value=as_given, todo=todo)
