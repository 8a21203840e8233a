"""The link for a caller's telephone as a code on the desk's screen."""

from __future__ import annotations

from service.marks.screen_code import screen_code
from service.render.screen_code_svg import screen_code_svg


def link_code(link: str) -> str:
    """The address as a QR Code in SVG, decoded again before it is shown.

    Raises:
        SymbolDoesNotFit: the address is too long, or holds what no address holds.
        ReadBackFailed: the symbol does not say the address.
    """
    return screen_code_svg(screen_code(link), link, title="QR Code of the link")
