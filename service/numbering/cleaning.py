"""From a text as it was given to capital letters and digits, each of which knows where it stood."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Self

from service.errors import BadCharacter
from service.numbering.outcome import Repair

__all__ = ["Cleaned", "Traced", "clean"]

# Letters of other alphabets that a keyboard or a text recogniser gives for the Latin ones they look like.
_DOUBLES = dict(zip("АВСЕНКМОРТХУІЅЈ" + "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABCEHKMOPTXYISJ" + "ABEZHIKMNOPTYX", strict=True))
_OTHER_DASHES = frozenset("\u00ad\u02d7\u2043\u2212\u30fc\uff70")  # dashes that Unicode files under another category
_FULL_WIDTH = range(0xFF01, 0xFF5F)  # full-width forms of ASCII
_TO_ASCII = 0xFEE0


@dataclass(frozen=True, slots=True)
class Traced:
    """A text each character of which knows where it stood in what was given.

    Attributes:
        text: the text.
        at: for each character of ``text`` its position in ``origin``.
        origin: the text as it was given.
        retyped: the name of the keyboard layout that was undone, if any.
    """

    text: str
    at: tuple[int, ...]
    origin: str
    retyped: str | None = None

    @classmethod
    def of(cls, text: str) -> Self:
        """A text as it was given."""
        return cls(text, tuple(range(len(text))), text)

    def part(self, start: int, stop: int | None = None) -> Traced:
        """A piece of the text."""
        return self.changed(self.text[start:stop], self.at[start:stop])

    def changed(self, text: str, at: tuple[int, ...]) -> Traced:
        """Another text from the same origin."""
        return Traced(text, at, self.origin, self.retyped)

    def stripped(self) -> Traced:
        """The text without blanks and control characters at its ends."""
        start, stop = 0, len(self.text)
        while start < stop and _is_blank(self.text[start]):
            start += 1
        while stop > start and _is_blank(self.text[stop - 1]):
            stop -= 1
        return self.part(start, stop)


@dataclass(frozen=True, slots=True)
class Cleaned:
    """Capital letters and digits only.

    Attributes:
        chars: the letters and digits.
        at: for each its position in the text as given.
        breaks: before which of them (never the first) a hyphen, dash or blank stood.
        repairs: signs of other alphabets or of another keyboard layout that were replaced.
        origin: the text as it was given.
    """

    chars: str
    at: tuple[int, ...]
    breaks: frozenset[int]
    repairs: tuple[Repair, ...]
    origin: str

    def read_at(self, index: int) -> str:
        """The sign as it was given."""
        return self.origin[self.at[index]]


def clean(traced: Traced) -> Cleaned:
    """Capital letters and digits of a text; dashes and blanks of any kind only part them.

    Raises:
        BadCharacter: a character that no number or key holds, by its position in the text as given.
    """
    chars: list[str] = []
    at: list[int] = []
    breaks: set[int] = set()
    repairs: list[Repair] = []
    for character, position in zip(traced.text, traced.at, strict=True):
        plain, given = _plain(character), traced.origin[position]
        if plain in _DOUBLES:
            plain = _DOUBLES[plain]
            repairs.append(Repair(position, given, plain))
        elif traced.retyped and plain not in {"", " "} and plain != _plain(given):
            repairs.append(Repair(position, given, plain))
        if plain in {"-", " "}:
            breaks.add(len(chars))
        elif len(plain) == 1 and plain.isascii() and plain.isalnum():
            chars.append(plain)
            at.append(position)
        elif plain:
            raise BadCharacter(
                f"no number or key holds the character '{given}'",
                field="mark",
                value=traced.origin,
                todo="Read the character again, or leave it out",
                position=position,
            )
    return Cleaned("".join(chars), tuple(at), frozenset(breaks - {0, len(chars)}), tuple(repairs), traced.origin)


@lru_cache(maxsize=1024)
def _is_blank(character: str) -> bool:
    return character.isspace() or unicodedata.category(character) in {"Cc", "Cf"}


@lru_cache(maxsize=1024)
def _plain(character: str) -> str:
    """A character as a capital, ``-`` for any dash, a blank for any white space, nothing for what has no width."""
    if ord(character) in _FULL_WIDTH:
        character = chr(ord(character) - _TO_ASCII)
    category = unicodedata.category(character)
    if category == "Pd" or character in _OTHER_DASHES:
        return "-"
    if character.isspace():
        return " "
    if category in {"Cc", "Cf"}:
        return ""
    # ``upper`` alone would turn a sharp s into two letters and a long s into a plain one.
    if character.isascii() or character.upper() in _DOUBLES:
        return character.upper()
    return character
