"""Which segments touch: the joints that nobody declared, read off the outlines in assembly coordinates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

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
    drawings = cutfiles.drawing_bytes(connection, wanted)
    for parts in several:
        numbers = sorted(parts)
        for one, other in pairs_of(tuple(drawings[parts[number]] for number in numbers)):
            yield numbers[one], numbers[other]


@lru_cache(maxsize=512)
def pairs_of(drawings: tuple[bytes, ...]) -> tuple[tuple[int, int], ...]:
    """Which of the drawings of one deck touch, by their places in the order given.

    Released shapes never change, and a kit is looked at again when it is issued, corrected, or copied to the next
    machine.
    """
    parts = {f"{index:06}": from_bytes(data) for index, data in enumerate(drawings)}
    return tuple((int(contact.a), int(contact.b)) for contact in contacts(parts))
