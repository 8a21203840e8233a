"""A mark as it was spoken and written down in words, turned into signs: ``oscar sierra victor four`` is ``OSV4``.

Spelling words, names of letters and digits, whole numbers up to 999 (``forty-two``, ``zweiundvierzig``,
``czterdzieści dwa``), repeats (``double five``), words for a hyphen, and for what could not be read, are understood in
English, German and Polish. What is no such word stays as it is, so that ``A500 SW two`` is understood too. ``-teen``
and ``-ty`` are told apart badly on a telephone: both are given, the one that was heard first.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from service.numbering.alignment import RUN, UNKNOWN
from service.numbering.spoken_words import GAPS, HUNDREDS, LETTERS, ONES, PARTING, TENS, TIMES, UNKNOWN_SIGNS

__all__ = ["Dictation", "dictated"]

_TEEN_FOR_TY = math.log(12)
"""What it costs that ``fifty`` was heard for ``fifteen``, or the other way round. Common practice, no source."""

_MOST = 4
_WORD = re.compile(r"[^\W_]+|[?*…]|\.{2,}|[-‐-―]|[^\s]")
_TWO_WORDS = (("double", "u"), ("double", "you"), ("question", "mark"), ("x", "ray"), ("doppel", "v"))
_AND = frozenset(("and", "und", "i"))
_TEENS = {f"{tens // 10}0": f"1{tens // 10}" for tens in range(30, 100, 10)}


@dataclass(frozen=True, slots=True)
class Dictation:
    """One way to take what was said.

    Attributes:
        text: in signs, with ``?`` and ``*`` for what could not be read and a hyphen where one was said.
        cost: that it was heard so although something else was said; 0 for what was heard.
        assumed: what was assumed, one clause each.
    """

    text: str
    cost: float
    assumed: tuple[str, ...]


def dictated(text: str) -> tuple[Dictation, ...]:
    """What a text says when its words are taken as words for signs, as it was heard first, at most four ways.

    A text without such words comes back as it is, alone.
    """
    words = list(_words(text))
    # Two letters are a code (``EE``) as well as a word.
    if not any(len(word) > 2 and _spoken(word) for word in words):
        return (Dictation(text, 0.0, ()),)
    pieces = list(_pieces(words))
    ways = []
    for chosen in product(*((piece, *_others(piece)) for piece in pieces)):
        changed = [(piece, other) for piece, other in zip(pieces, chosen, strict=True) if piece != other]
        assumed = tuple(f"{other} heard as {piece}" for piece, other in changed)
        ways.append(Dictation(_joined(chosen), len(changed) * _TEEN_FOR_TY, assumed))
    return tuple(sorted(ways, key=lambda way: way.cost)[:_MOST])


def _words(text: str) -> Iterator[str]:
    """The words as they are looked up, small letters without accents; two that belong together as one."""
    found = [_plain(word) for word in _WORD.findall(text)]
    n = 0
    while n < len(found):
        pair = tuple(found[n : n + 2])
        if pair in _TWO_WORDS:
            yield "".join(pair) if pair in (("question", "mark"), ("x", "ray")) else "doubleu"
            n += 2
        elif found[n] == "x" and found[n + 1 : n + 3] == ["-", "ray"]:
            yield "xray"
            n += 3
        else:
            yield found[n]
            n += 1


def _plain(word: str) -> str:
    folded = unicodedata.normalize("NFKD", word.casefold()).replace("ł", "l")
    return "".join(letter for letter in folded if not unicodedata.combining(letter))


def _spoken(word: str) -> bool:
    tables = (LETTERS, ONES, TENS, HUNDREDS, TIMES, PARTING, GAPS, UNKNOWN_SIGNS)
    return any(word in table for table in tables) or _german(word) is not None


def _german(word: str) -> int | None:
    """The number that a German word for one of two or three digits says: ``zweiundvierzig``, ``funfhundert``."""
    before, hundert, behind = word.partition("hundert")
    if hundert:
        ones = ONES.get(before, 1 if not before else None)
        rest = _german(behind) if behind else 0
        return None if ones is None or ones > 9 or rest is None else 100 * ones + rest
    if word in ONES:
        return ONES[word]
    if word in TENS:
        return TENS[word]
    one, und, tens = word.partition("und")
    return ONES[one] + TENS[tens] if und and one in ONES and ONES[one] < 10 and tens in TENS else None


def _pieces(words: list[str]) -> Iterator[str]:
    """The signs of each word, or of the words that make one number."""
    n, times = 0, 1
    while n < len(words):
        word = words[n]
        if word in TIMES:
            times, n = TIMES[word], n + 1
            continue
        number = _number(words, n)
        if number is not None:
            value, n = number
            piece = str(value)
        else:
            piece, n = _sign(word), n + 1
        # Only a single sign is repeated: "double five" is 55, "double fifty" is heard as it stands.
        yield piece * times if len(piece) == 1 else piece
        times = 1


def _sign(word: str) -> str:
    if word in LETTERS:
        return LETTERS[word]
    if word in GAPS or word in ("*", "…") or word.startswith(".."):
        return RUN
    if word in UNKNOWN_SIGNS or word == "?":
        return UNKNOWN
    if word in PARTING or re.fullmatch(r"[-‐-―]", word):
        return "-"
    return word.upper() if word.isalnum() else ""


def _number(words: list[str], n: int) -> tuple[int, int] | None:
    """The number that begins at a word, and the word behind it."""
    german = _german(words[n])
    if german is not None and words[n] not in ONES and words[n] not in TENS:
        return german, n + 1
    hundreds, n = _hundreds(words, n)
    rest = _below_hundred(words, n + 1 if hundreds and words[n : n + 1] and words[n] in _AND else n)
    if rest is not None:
        return hundreds + rest[0], rest[1]
    return (hundreds, n) if hundreds else None


def _hundreds(words: list[str], n: int) -> tuple[int, int]:
    following = words[n + 1] if n + 1 < len(words) else ""
    if 0 < ONES.get(words[n], 0) < 10 and following in ("hundred", "hundert"):
        return 100 * ONES[words[n]], n + 2
    if words[n] in HUNDREDS:
        return 100 * HUNDREDS[words[n]], n + 1
    return 0, n


def _below_hundred(words: list[str], n: int) -> tuple[int, int] | None:
    if n >= len(words):
        return None
    if words[n] in TENS:
        at = n + 1
        # A hyphen is written in forty-two; one that is said parts groups.
        if at + 1 < len(words) and words[at] == "-":
            at += 1
        if at < len(words) and 0 < ONES.get(words[at], 0) < 10:
            return TENS[words[n]] + ONES[words[at]], at + 1
        return TENS[words[n]], n + 1
    return (ONES[words[n]], n + 1) if words[n] in ONES else None


def _others(piece: str) -> list[str]:
    """What a number may have been that was heard as this one: 15 for 50."""
    return [other for ty, teen in _TEENS.items() for one, other in ((ty, teen), (teen, ty)) if piece == one]


def _joined(pieces: tuple[str, ...]) -> str:
    return re.sub(r"-{2,}", "-", "".join(pieces)).strip("-")
