"""How likely a letter or digit is to be heard as another, from the sounds of its name.

Two names are as far apart as what it takes to turn the sounds of one into those of the other; two sounds are as far
apart as their features differ. Consonants differ in voice, place and manner (the features of G. A. Miller and P. E.
Nicely, Journal of the Acoustical Society of America 27(2), 1955, from memory: voicing and manner survive noise and
narrow bands better than place); vowels differ in height, backness and rounding. The further apart
two names are, the rarer they are mixed up; how much rarer is set so that of English letters said over a telephone 93 of
100 are heard right, as the listeners did of M. Fanty, R. Cole and K. Roginski, English Alphabet Recognition with
Telephone Speech, NIPS 4, 1991.

Mostly both ends speak one language. Where they do not, a letter is named in one and written down in another: what a
German calls ``I`` an English listener writes as ``E``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from itertools import product

from service.numbering.letter_names import NAMES
from service.numbering.weights import SIGNS

__all__ = ["SCALE", "heard_as", "name_distance", "sound_distance"]

# Voice (0 or 1), place from the lips back (0 to 1), manner.
_CONSONANTS = {
    "p": (0, 0.0, "stop"), "b": (1, 0.0, "stop"), "t": (0, 0.4, "stop"), "d": (1, 0.4, "stop"), "k": (0, 0.9, "stop"),
    "g": (1, 0.9, "stop"), "f": (0, 0.1, "hiss"), "v": (1, 0.1, "hiss"), "T": (0, 0.3, "hiss"), "s": (0, 0.4, "hiss"),
    "z": (1, 0.4, "hiss"), "S": (0, 0.6, "hiss"), "Z": (1, 0.6, "hiss"), "X": (0, 0.7, "hiss"), "J": (1, 0.7, "hiss"),
    "x": (0, 0.9, "hiss"), "h": (0, 1.0, "hiss"), "c": (0, 0.4, "burst"), "C": (0, 0.6, "burst"),
    "G": (1, 0.6, "burst"), "m": (1, 0.0, "nose"), "n": (1, 0.4, "nose"), "N": (1, 0.7, "nose"),
    "l": (1, 0.4, "side"), "r": (1, 0.5, "roll"), "j": (1, 0.7, "glide"), "w": (1, 0.0, "glide"),
}  # fmt: skip
# Height (0 open, 1 close), backness (0 front, 1 back), rounding.
_VOWELS = {
    "i": (1.0, 0.0, 0), "6": (1.0, 0.0, 1), "e": (0.7, 0.0, 0), "E": (0.4, 0.0, 0), "a": (0.0, 0.4, 0),
    "A": (0.0, 0.7, 0), "O": (0.4, 1.0, 1), "o": (0.7, 1.0, 1), "u": (1.0, 1.0, 1), "@": (0.5, 0.5, 0),
}  # fmt: skip

_VOICE, _PLACE, _MANNER = 0.5, 0.6, 0.8
_NEAR_MANNERS = {
    frozenset(pair): 0.4
    for pair in (("stop", "burst"), ("hiss", "burst"), ("side", "glide"), ("roll", "glide"), ("side", "roll"))
}
_HEIGHT, _BACK, _ROUND = 1.0, 0.7, 0.3
_VOWEL_FOR_CONSONANT = 1.6
_CONSONANT_MORE, _VOWEL_MORE, _GLIDE_MORE = 0.9, 1.2, 0.6

SCALE = 0.123
"""How far apart names are that are mixed up e times more rarely than the same name; see the head of this module."""

_ABSENT = 0.015
"""Share of signs that are written down wrongly whatever they sound like. Common practice, no source."""

KNOWN_PAIRS: Mapping[tuple[str, str], str] = {
    ("English", "5"): "9",
    ("English", "9"): "5",
    ("German", "2"): "3",
    ("German", "3"): "2",
    ("Polish", "5"): "9",
    ("Polish", "9"): "5",
}
"""Pairs of digits that are known to be mixed up more often than their sounds explain: the English ones are said FIFE
and NIN-er for that (ICAO Annex 10 volume II, from memory), German ``zwei`` is said ``zwo`` (from memory), Polish
``pięć`` is the end of ``dziewięć``."""
_KNOWN = 0.02

_ONE_LANGUAGE = 0.9
"""Share of calls in which both ends name the signs in one language. Common practice, no source."""


def sound_distance(one: str, other: str) -> float:
    """How far two sounds are apart; 0 for the same."""
    if one == other:
        return 0.0
    if one in _CONSONANTS and other in _CONSONANTS:
        (voice, place, manner), (other_voice, other_place, other_manner) = _CONSONANTS[one], _CONSONANTS[other]
        manners = 0.0 if manner == other_manner else _NEAR_MANNERS.get(frozenset((manner, other_manner)), 1.0)
        return _VOICE * abs(voice - other_voice) + _PLACE * abs(place - other_place) + _MANNER * manners
    if one in _VOWELS and other in _VOWELS:
        (height, back, rounded), (other_height, other_back, other_rounded) = _VOWELS[one], _VOWELS[other]
        return (
            _HEIGHT * abs(height - other_height)
            + _BACK * abs(back - other_back)
            + _ROUND * abs(rounded - other_rounded)
        )
    return _VOWEL_FOR_CONSONANT


@cache
def name_distance(one: str, other: str) -> float:
    """How far two names are apart: what it takes to turn the sounds of one into those of the other."""
    row = [0.0]
    for sound in other:
        row.append(row[-1] + _more(sound))
    for sound in one:
        before, row = row, [row[0] + _more(sound)]
        for at, right in enumerate(other):
            row.append(
                min(before[at] + sound_distance(sound, right), before[at + 1] + _more(sound), row[-1] + _more(right))
            )
    # The more sounds a name has, the more of them may be misheard before it is taken for another.
    return row[-1] / math.sqrt(max(len(one), len(other), 2) / 2)


def _more(sound: str) -> float:
    if sound in _VOWELS:
        return _VOWEL_MORE
    return _GLIDE_MORE if _CONSONANTS[sound][2] in ("glide", "roll", "side") else _CONSONANT_MORE


@cache
def heard_as(true: str) -> Mapping[str, float]:
    """For each sign the probability that it is written down when ``true`` was said; they add up to 1."""
    shares = dict.fromkeys(SIGNS, 0.0)
    others = len(NAMES) - 1
    for said, heard in product(NAMES, NAMES):
        weight = (_ONE_LANGUAGE if said == heard else (1 - _ONE_LANGUAGE) / others) / len(NAMES)
        for sign, share in between_languages(said, heard, true).items():
            shares[sign] += weight * share
    return shares


def between_languages(said: str, heard: str, true: str, signs: str = SIGNS) -> dict[str, float]:
    """As :func:`heard_as` where one end speaks the first language and the other the second."""
    # Now and then the wrong sign is written down for no reason of sound.
    shares = dict.fromkeys(signs, _ABSENT / len(signs))
    spoken = NAMES[said][true]
    for name in spoken:
        near = {
            sign: math.exp(-min(name_distance(name, known) for known in NAMES[heard][sign]) / SCALE) for sign in signs
        }
        if said == heard and (pair := KNOWN_PAIRS.get((said, true))) in near:
            near[pair] = max(near[pair], _KNOWN)
        for sign, nearness in near.items():
            shares[sign] += (1 - _ABSENT) * nearness / sum(near.values()) / len(spoken)
    return shares
