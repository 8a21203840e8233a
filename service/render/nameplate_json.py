"""A nameplate as data: the submodel Digital Nameplate (IDTA 02006-3-0) in an Asset Administration Shell (IDTA 01001).

Each piece is an asset; its link names it in the world, as the code on its plate does. What the standard wants and the
records do not hold stands there without a value, and an extension says what is missing: nothing is made up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.marks.content import MarkFacts


@dataclass(frozen=True, slots=True)
class ShopAddress:
    """Where the shop is, in the parts that the standard wants; empty where they are not on record."""

    street: str = ""
    zipcode: str = ""
    town: str = ""
    country: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """What the standard wants and the records do not hold: the element, and where it could be put on record."""

    element: str
    todo: str


def nameplate_json(plates: Sequence[MarkFacts], address: ShopAddress) -> tuple[bytes, tuple[Missing, ...]]:
    """An environment with a shell and a nameplate for each mark, and what is missing in it.

    The bytes are UTF-8 JSON; equal facts give equal bytes. Marks with one key are one asset.
    """
    # The library takes half a second to come up, and few calls need it.
    from service.render.nameplate_elements import environment_json  # noqa: PLC0415 - see above

    return environment_json(plates, address)
