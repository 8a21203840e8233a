"""The check value of a printed page: a copy of one page proves by itself that nothing on it was changed.

Every page says what it is a page of and which one it is; both are counted with the rest. What is counted is every
character that is printed above the page's last rule, in the order in which it is set, blanks and hyphens left out: line
ends and word spaces differ between programs that read a page, and a hyphen at the end of a line is not always given
back. The first eight hexadecimal digits of the SHA-256 (FIPS 180-4) of these characters in UTF-8 are the check value.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata

MARKER = "Page check"
"""What stands before the check value; everything from there on is not counted."""

PRINTED_RULE = (
    "the first 8 digits of the SHA-256, in hexadecimal, of all characters above this line in UTF-8, "
    "blanks and hyphens left out"
)
"""How the value is formed, as every page says it."""

_DIGITS = 8
_HYPHENS = frozenset("-\u00ad\u2010\u2011")
_LIGATURES = {code: unicodedata.normalize("NFKC", chr(code)) for code in range(0xFB00, 0xFB07)}
"""Latin ligatures; programs that read a page give back their letters."""
_VALUE = re.compile(rf"{MARKER}\s+([0-9a-f]{{4}})\s*([0-9a-f]{{4}})")


def counted(text: str) -> str:
    """The characters of a page that count: composed (Unicode NFC), ligatures as their letters, the rest left out."""
    letters = unicodedata.normalize("NFD", text.translate(_LIGATURES))
    return unicodedata.normalize(
        "NFC", "".join(char for char in letters if char.isprintable() and not char.isspace() and char not in _HYPHENS)
    )


def page_check(text: str) -> str:
    """The check value of a page that says ``text`` above its last rule, in two fours: ``3f1a 90c2``."""
    digest = hashlib.sha256(counted(text).encode()).hexdigest()
    return f"{digest[: _DIGITS // 2]} {digest[_DIGITS // 2 : _DIGITS]}"


def proves_itself(text: str) -> bool:
    """Whether the whole text of a page, its last line included, carries the check value of what stands above it.

    Args:
        text: what a reader of text or a person at a keyboard took off the page. The last value on it counts.
    """
    above, marker, below = text.rpartition(MARKER)
    said = _VALUE.match(marker + below)
    return said is not None and f"{said[1]} {said[2]}" == page_check(above)
