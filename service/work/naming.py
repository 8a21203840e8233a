"""Places as people write them, put into the form in which they are kept."""

from __future__ import annotations

import re

from service.numbering.number import Place
from service.numbering.tables import CodeTables

_HYPHEN_LOST = re.compile(r"(?P<assembly>[A-Z]+[0-9]+)(?P<place>[A-Z]+[0-9]+)")


def read_place(text: str, tables: CodeTables) -> Place:
    """A place in any letter case, with blanks around it, with its hyphen or without.

    Raises:
        BadCharacter, BadNumber, UnknownCode: the text is no place of this shop.
    """
    plain = text.strip().upper()
    lost = _HYPHEN_LOST.fullmatch(plain)
    return Place.parse(f"{lost['assembly']}-{lost['place']}" if lost else plain, tables)
