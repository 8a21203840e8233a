"""Which segments touch: the joints that nobody declared, read off the outlines in assembly coordinates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from sqlalchemy import Connection

from service.outlines.contact import contacts
from service.outlines.stored import from_bytes
from service.store import cutfiles


def touching(connection: Connection, decks: Iterable[Mapping[str, int]]) -> Iterator[tuple[str, str]]:
    """Pairs of numbers whose outlines touch.

    Args:
        connection: one moment of the records.
        decks: for each deck of each assembly, the revision that each number is cut from.
    """
    several = [parts for parts in decks if len(parts) > 1]
    wanted = {revision_id for parts in several for revision_id in parts.values()}
    drawings = {id_: from_bytes(data) for id_, data in cutfiles.drawing_bytes(connection, wanted).items()}
    for parts in several:
        for contact in contacts({number: drawings[revision_id] for number, revision_id in parts.items()}):
            yield contact.a, contact.b
