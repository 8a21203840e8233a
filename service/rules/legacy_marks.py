"""Legacy marks: what counts as the same mark, however it is written.

Old numbers and hand-written names were never spelled one way. Letter case, blanks, dashes, punctuation and accents are
set aside when they are looked for; letters and digits count, of whatever alphabet. Common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata

_ACCENTS = range(0x0300, 0x0370)
"""Unicode block "Combining Diacritical Marks"."""
_IDENTIFIER = re.compile(r"\][A-Za-z][0-9A-Za-z]")
"""A symbology identifier that a scanner puts in front, ISO/IEC 15424."""


def folded(text: str) -> str:
    """A mark as it is compared and looked for: letters and digits alone; empty when it has none.

    Folding what is folded changes nothing. A full-width or raised letter is its plain one, a sharp s is two.
    """
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    kept = (letter for letter in plain if ord(letter) not in _ACCENTS and unicodedata.category(letter)[0] in "LNM")
    return unicodedata.normalize("NFKC", "".join(kept))


def foldings(text: str) -> tuple[str, ...]:
    """What a text that was typed or scanned may be on record as: as it stands, and without a scanner's prefix."""
    stripped = text.strip()
    prefix = _IDENTIFIER.match(stripped)
    found = [folded(stripped), folded(stripped[prefix.end() :])] if prefix else [folded(stripped)]
    return tuple(dict.fromkeys(one for one in found if one))
