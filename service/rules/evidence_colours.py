"""The colour of the plastic as a caller names it: how likely each word is for a part of a stock colour.

A sheet is clean, dark with dirt, or pale with wear; each looks like a colour of its own, and people choose the word
whose colour is nearest to what they see. How near is taken from CIEDE2000.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from service.rules.colour_difference import ciede2000, lab_of
from service.rules.colours import OTHER_WORDS, STOCK_COLOURS, Rgb
from service.rules.evidence_names import words_of
from service.rules.evidence_table import VALUES, wrong

_MORE_WORDS: dict[str, Rgb] = {
    "beige": (222, 205, 170),
    "cream": (245, 235, 205),
    "ivory": (245, 240, 220),
    "turquoise": (32, 160, 160),
    "lime": (150, 200, 40),
    "olive": (110, 115, 50),
    "dark green": (0, 75, 45),
    "light green": (110, 185, 120),
    "dark blue": (20, 40, 100),
    "light blue": (110, 165, 215),
    "dark grey": (85, 88, 92),
    "light grey": (195, 198, 200),
    "dark red": (125, 20, 28),
    "amber": (245, 165, 30),
    "tan": (180, 140, 100),
}
"""Words that callers use besides those of the stock colours, and the colours that they mean; practice, no source."""

_SAME = {"navy": "dark blue", "maroon": "dark red", "silver": "light grey", "teal": "turquoise", "mint": "light green"}
_RARE = 0.15
"""How much seldomer such a word is chosen than one of the usual twelve that is as near."""
_DIRT: Rgb = (60, 54, 46)
_CHALK: Rgb = (228, 225, 218)
_SHARE = 0.35  # how much of the dirt or the wear is seen, and how much of the plastic

WORDS: Mapping[str, Rgb] = MappingProxyType(
    {**{word: colour.rgb for word, colour in STOCK_COLOURS.items()}, **_MORE_WORDS}
)
"""Every word for a colour that is understood, with the sRGB that it means."""


def colour_said(text: str) -> str | None:
    """The word for a colour in what a caller said, the longest where several fit; None where there is none."""
    words = words_of(text)
    for count in (2, 1):
        for at in range(len(words) - count + 1):
            said = " ".join(words[at : at + count])
            said = {**OTHER_WORDS, **_SAME}.get(said, said)
            if said in WORDS:
                return said
    return None


def likelihood(said: str, recorded: str) -> float:
    """How likely it is that a part of a stock colour is called so; a colour that has no entry is known by its word."""
    if recorded not in STOCK_COLOURS:
        named = said == colour_said(recorded) or said == recorded
        return (1 - wrong("stock_colour")) * (1.0 if named else 0.02) + wrong("stock_colour") / len(WORDS)
    return _calls(recorded)[said]


@cache
def _calls(recorded: str) -> Mapping[str, float]:
    """The share of callers that use each word; they add up to 1."""
    rgb = STOCK_COLOURS[recorded].rgb
    dirty, faded = VALUES["stock_colour.dirty"], VALUES["stock_colour.faded"]
    looks = ((1 - dirty - faded, rgb), (dirty, _mixed(rgb, _DIRT)), (faded, _mixed(rgb, _CHALK)))
    shares = dict.fromkeys(WORDS, wrong("stock_colour") / len(WORDS))
    for share, look in looks:
        chosen = {
            word: (_RARE if word in _MORE_WORDS else 1.0) * math.exp(-((_apart(look, meant) / _spread()) ** 2) / 2)
            for word, meant in WORDS.items()
        }
        total = sum(chosen.values())
        for word, weight in chosen.items():
            shares[word] += (1 - wrong("stock_colour")) * share * weight / total
    return MappingProxyType(shares)


def _spread() -> float:
    return VALUES["stock_colour.spread"]


def _apart(one: Rgb, other: Rgb) -> float:
    return ciede2000(lab_of(one), lab_of(other))


def _mixed(rgb: Rgb, over: Rgb) -> Rgb:
    red, green, blue = (round((1 - _SHARE) * below + _SHARE * above) for below, above in zip(rgb, over, strict=True))
    return red, green, blue
