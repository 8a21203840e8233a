"""What is left of a number, as a person gives it: what can be read, and where something is missing.

``??V4-FC1-A5??-SW``, ``A5 something SW``, ``…W2-U3-42``. A sign that cannot be read is ``?``, a run of them, of any
length and possibly none, ``*`` or ``…`` or a word such as ``something``. Letters may be small; hyphens, dashes and
blanks part groups where they are given and may all be left out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from service.errors import BadNumber
from service.numbering.cleaning import Traced, clean

__all__ = ["LONGEST_FRAGMENT", "Fragment", "parse_fragment"]

LONGEST_FRAGMENT = 48
"""Signs of the longest fragment; the longest number has 33 with its hyphens."""

UNKNOWN, RUN, HYPHEN = "?", "*", "-"

_WORDS = "SOMETHING ANYTHING UNKNOWN UNREADABLE ILLEGIBLE"
_SPECIAL = re.compile(
    rf"""
    (?P<run>     [*\u2026] | \.{{2,}} | (?<![^\W_]) (?: {"|".join(_WORDS.split())} ) (?![^\W_]) ) |
    (?P<hyphen>  (?<![^\W_]) (?: dash | hyphen | minus ) (?![^\W_]) ) |
    (?P<unknown> [?_] )
    """,
    re.VERBOSE | re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Fragment:
    """What is left of a number.

    Attributes:
        text: as it was given.
        signs: capital letters and digits, ``?`` for one sign that nobody could read, ``*`` for any run of them, ``-``
            where groups were parted. A ``*`` at an end says that the mark is broken off there; that it may be is
            reckoned with in any case.
        at: for each of ``signs`` its position in ``text``.
    """

    text: str
    signs: str
    at: tuple[int, ...]

    @property
    def read(self) -> str:
        """The signs without the hyphens."""
        return self.signs.replace(HYPHEN, "")

    @property
    def has_hyphens(self) -> bool:
        """Whether groups were parted anywhere; where they never were, a missing hyphen says nothing."""
        return HYPHEN in self.signs

    @property
    def unknown(self) -> int:
        """How many single signs could not be read."""
        return self.signs.count(UNKNOWN)

    @property
    def known(self) -> int:
        """How many signs could be read."""
        return sum(sign.isalnum() for sign in self.signs)

    def __str__(self) -> str:
        return self.signs


def parse_fragment(text: str) -> Fragment:
    """What is left of a number, from a text as a person gives it.

    Raises:
        BadCharacter: a character that no number holds and that marks no gap, by its position in ``text``.
        BadNumber: an empty text, one in which no sign can be read, or one longer than :data:`LONGEST_FRAGMENT` signs.
    """
    found: list[tuple[str, int]] = []
    origin = Traced.of(text)
    at = 0
    for special in _SPECIAL.finditer(text):
        _take(found, origin, at, special.start())
        found.append(({"run": RUN, "hyphen": HYPHEN, "unknown": UNKNOWN}[str(special.lastgroup)], special.start()))
        at = special.end()
    _take(found, origin, at, len(text))
    tidy = _tidied(_without_spelling(found))
    fragment = Fragment(text, "".join(sign for sign, _ in tidy), tuple(position for _, position in tidy))
    if not fragment.known:
        empty = not text or text.isspace()
        raise BadNumber(
            "the mark is empty" if empty else "no sign of the mark can be read",
            field="mark",
            value=text,
            todo="Give at least one letter or digit of it, or leave the mark out and answer questions instead",
        )
    if len(fragment.signs) > LONGEST_FRAGMENT:
        raise BadNumber(
            f"what is left of a number has at most {LONGEST_FRAGMENT} signs, not {len(fragment.signs)}",
            field="mark",
            value=text,
            todo="Give one mark alone",
            place=f"character {fragment.at[LONGEST_FRAGMENT] + 1}",
        )
    return fragment


def _take(found: list[tuple[str, int]], origin: Traced, start: int, stop: int) -> None:
    """Add what stands between two special signs: letters, digits, and what parts them."""
    part = origin.part(start, stop)
    cleaned = clean(part)
    seen = dict(zip(cleaned.at, cleaned.chars, strict=True))
    for offset in part.at:
        if offset in seen:
            found.append((seen[offset], offset))
        elif not origin.text[offset].isspace():
            found.append((HYPHEN, offset))
        else:
            found.append((" ", offset))


def _without_spelling(found: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """Leave blanks out of what is spelt sign by sign (``O S V 4``), where they part nothing."""
    pieces = "".join(sign for sign, _ in found).replace(HYPHEN, " ").replace(RUN, " ").split()
    spelt = len(pieces) > 2 and all(len(piece) == 1 for piece in pieces)
    return [(sign, at) for sign, at in found if not (spelt and sign == " ")]


def _tidied(found: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """One hyphen where dashes and blanks meet, none where a blank only sets a run of unknown signs apart."""
    tidy: list[tuple[str, int]] = []
    blank = False
    for sign, at in found:
        if sign == " ":
            blank = True
            continue
        before = tidy[-1][0] if tidy else RUN
        if blank and RUN not in (sign, before) and HYPHEN not in (sign, before):
            tidy.append((HYPHEN, at))
        blank = False
        if not (sign == before and sign in (HYPHEN, RUN) and tidy):
            tidy.append((sign, at))
    return tidy
