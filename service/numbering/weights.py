"""How near one sign of a code is to another: the one table of weights, each with where it comes from.

A weight is in hundredths of a clear difference: 100 for two signs that neither look nor sound alike nor lie side by
side on a keyboard, 0 for a sign and itself. Where signs are near in several ways the nearest counts. Being alike does
not carry over from one pair to the next (C is near G, G is near 6, C is not near 6), so the table keeps no triangle
law and none is claimed.

The keyboard is QWERTY. On QWERTZ and AZERTY most of the same neighbours lie side by side too (they move A, M, Q, W, Y
and Z); a wedge scanner set to another layout changes signs in a known way, which the reader of marks undoes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise
from types import MappingProxyType

from service.numbering.alike import LOOK_ALIKE_LETTERS, SIGN_CLASSES, SOUND_ALIKE_LETTERS

__all__ = ["CLEAR", "DOUBLED", "ENDING", "NEARNESS", "SIGNS", "SWAPPED", "Nearness", "signs_near", "weight_between"]

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""What codes are made of."""

CLEAR = 100
"""One sign for a clearly different one, one sign more, one sign less."""

DOUBLED = 50
"""A sign said twice or once, ``A500`` and ``AA500``. Common practice, no source."""

ENDING = 20
"""The fourth letter of a plant code, where it looks like a digit: ``OSVO`` on line 4 and ``OSV`` on line 04. Common
practice, no source."""

SWAPPED = 60
"""Two neighbouring signs in the other order, one of the four kinds of slips that make up most misspellings
(F. J. Damerau, Communications of the ACM 7(3), 1964, from memory); the weight: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Nearness:
    """One way in which signs are near.

    Attributes:
        words: what they do, as in "which sound alike".
        weight: hundredths of a clear difference.
        groups: each names signs of which every two are near in this way.
        source: where the groups come from.
    """

    words: str
    weight: int
    groups: tuple[str, ...]
    source: str


_PRACTICE = "common practice, no source"
_ROWS = ("1234567890", "QWERTYUIOP", "ASDFGHJKL", "ZXCVBNM")


def _beside() -> tuple[str, ...]:
    return tuple("".join(pair) for row in _ROWS[1:] for pair in pairwise(row))


def _across() -> tuple[str, ...]:
    """Keys above one another, and neighbouring digits. Each row is set off to the right by less than one key."""
    slanted = [
        above[n] + sign
        for above, below in pairwise(_ROWS)
        for i, sign in enumerate(below)
        for n in (i, i + 1)
        if n < len(above)
    ]
    return tuple("".join(pair) for pair in pairwise(_ROWS[0])) + tuple(slanted)


NEARNESS: tuple[Nearness, ...] = (
    Nearness(
        "turn into each other on a turned piece", 15, ("69", "MW"), "the shapes themselves, turned by half a turn"
    ),
    Nearness("look alike", 15, SIGN_CLASSES, _PRACTICE),
    Nearness("look alike", 19, LOOK_ALIKE_LETTERS, _PRACTICE),
    Nearness("look alike", 19, ("17", "38"), _PRACTICE),
    Nearness("look alike when worn", 40, ("56", "68", "08"), _PRACTICE),
    Nearness(
        "sound alike",
        15,
        ("BD", "BP", "DT", "PT", "GT", "CZ", "VZ", "FS", "MN", "JK"),
        "pairs named as hardest by R. Cole and M. Fanty, Spoken Letter Recognition, DARPA Speech and Natural Language "
        "Workshop 1990, and, over the telephone, by M. Fanty, R. Cole and K. Roginski, English Alphabet Recognition "
        "with Telephone Speech, NIPS 4, 1991, whose human listeners heard 93 of 100 letters right",
    ),
    Nearness("sound alike", 19, SOUND_ALIKE_LETTERS, _PRACTICE),
    Nearness(
        "sound alike",
        40,
        ("BCDEGPTVZ",),
        "the E-set, M. Fanty and R. Cole, Speaker-independent English alphabet recognition: experiments with the "
        "E-set, ICSLP 1990",
    ),
    Nearness("sound alike", 19, ("59",), "ICAO Annex 10 volume II has them said FIFE and NIN-er, from memory"),
    Nearness("sound alike", 40, ("A8", "H8", "J8", "K8", "19", "2Q", "2U", "0O"), _PRACTICE),
    Nearness(
        "lie side by side on a keyboard",
        70,
        _beside(),
        "over half of wrong keys are neighbours, J. T. Grudin 1983 after K. Kukich, ACM Computing Surveys 24(4), 1992, "
        "from memory; the weight: common practice, no source",
    ),
    Nearness("lie side by side on a keyboard", 90, _across(), "as above, of another row; neighbouring digits"),
)
"""Every way in which signs are near; what stands in none is :data:`CLEAR`."""


def _tables() -> tuple[Mapping[str, int], Mapping[str, tuple[str, ...]]]:
    weights = {one + other: 0 if one == other else CLEAR for one in SIGNS for other in SIGNS}
    words: dict[str, tuple[str, ...]] = {}
    for nearness in NEARNESS:
        for group in nearness.groups:
            for one, other in combinations(group, 2):
                for pair in (one + other, other + one):
                    weights[pair] = min(weights[pair], nearness.weight)
                    words[pair] = tuple(dict.fromkeys((*words.get(pair, ()), nearness.words)))
    return MappingProxyType(weights), MappingProxyType(words)


_WEIGHTS, _WORDS = _tables()


def weight_between(one: str, other: str) -> int:
    """The weight of reading, hearing or keying one sign for another, in hundredths; ``CLEAR`` for unknown signs."""
    return _WEIGHTS.get(one + other, 0 if one == other else CLEAR)


def signs_near(one: str, other: str) -> str:
    """In which ways two signs are near, as words; empty where they are in none."""
    *first, last = _WORDS.get(one + other, ("",))
    return f"{', '.join(first)} and {last}" if first else last
