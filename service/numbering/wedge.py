"""What a scanner typed, when it pressed the keys of an American keyboard and the host took them for another layout.

A scanner that acts as a keyboard sends key positions, not letters. Under a German layout Y and Z change places, the
hyphen arrives as a sharp s and the slash as a hyphen; under a French one A and Q, W and Z change places and the digits
arrive as the signs of the unshifted top row. The tables give the four rows of each layout from left to right, first
without, then with the shift key (DIN 2137-1 T1, and the French layout of common operating systems; from memory).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping

from service.numbering.cleaning import Traced

__all__ = ["LAYOUTS", "retyped"]

_NOTHING = "\0"  # a key that gives no sign in this layout

_AMERICAN = "".join(
    (
        *("`1234567890-=", "qwertyuiop[]\\", "asdfghjkl;'", "zxcvbnm,./"),
        *("~!@#$%^&*()_+", "QWERTYUIOP{}|", 'ASDFGHJKL:"', "ZXCVBNM<>?"),
    )
)
_GERMAN = "".join(
    (
        *("^1234567890ß´", "qwertzuiopü+#", "asdfghjklöä", "yxcvbnm,.-"),
        *('°!"§$%&/()=?`', "QWERTZUIOPÜ*'", "ASDFGHJKLÖÄ", "YXCVBNM;:_"),
    )
)
_FRENCH = "".join(
    (
        *("²&é\"'(-è_çà)=", "azertyuiop^$*", "qsdfghjklmù", "wxcvbn,;:!"),
        *(f"{_NOTHING}1234567890°+", "AZERTYUIOP¨£µ", "QSDFGHJKLM%", "WXCVBN?./§"),
    )
)

LAYOUTS: Mapping[str, Mapping[str, str]] = {
    "German": dict(zip(_GERMAN, _AMERICAN, strict=True)),
    "French": dict(zip(_FRENCH, _AMERICAN, strict=True)),
}
"""For each layout the sign that arrives and the sign that was sent."""

# An accent key prints nothing until the next key; with a letter the two arrive as one sign.
_ACCENT_KEYS = {"\u0300": "`", "\u0301": "´", "\u0302": "^", "\u0308": "¨"}


def retyped(traced: Traced) -> Iterator[Traced]:
    """The text as it was sent, for each layout that would have changed it."""
    for layout, sent in LAYOUTS.items():
        text: list[str] = []
        at: list[int] = []
        for character, position in zip(traced.text, traced.at, strict=True):
            for key in _keys(character, sent):
                text.append(sent.get(key, key))
                at.append(position)
        joined = "".join(text)
        if joined != traced.text:
            yield Traced(joined, tuple(at), traced.origin, layout)


def _keys(character: str, sent: Mapping[str, str]) -> str:
    """The signs of the keys that were pressed for one sign, in the order of pressing."""
    if character in sent:
        return character
    parts = unicodedata.normalize("NFD", character)
    if len(parts) == 2 and parts[1] in _ACCENT_KEYS:
        return _ACCENT_KEYS[parts[1]] + parts[0]
    return character
