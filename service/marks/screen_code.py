"""A QR Code for a screen: an address as it stands, with small letters, held up to a telephone and then forgotten.

What goes on plastic has its own rules (``marks.symbols``): there the link is short and in capitals for the largest
modules. Here the address holds a secret in which letter case counts, and the screen has room.
"""

from __future__ import annotations

import segno

from service.errors import SymbolDoesNotFit
from service.marks.symbols import LONGEST_TEXT, Modules


def screen_code(text: str) -> Modules:
    """The modules of an address in a QR Code (ISO/IEC 18004, model 2) of level M, without its quiet zone.

    Raises:
        SymbolDoesNotFit: the address is empty, too long, or holds more than printable characters of ISO/IEC 646.
    """
    if not (0 < len(text) <= LONGEST_TEXT["qr"] and text.isascii() and text.isprintable()):
        raise SymbolDoesNotFit(
            "this is no address that a QR Code can show",
            field="text",
            value=text,
            todo=f"Give printable letters of ISO/IEC 646, at most {LONGEST_TEXT['qr']}",
        )
    symbol = segno.make_qr(text, error="M", mode="byte", boost_error=False)
    return Modules(tuple(tuple(bool(module) for module in row) for row in symbol.matrix))
