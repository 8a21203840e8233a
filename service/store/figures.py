"""How much is on record."""

from __future__ import annotations

from sqlalchemy import Connection, func, select

from service.store.tables import Kit, Mark, Numbered, Piece, Reorder, Revision, Segment

_COUNTED: tuple[tuple[str, str, type[Numbered]], ...] = (
    ("kits", "Kits ever issued.", Kit),
    ("segments", "Numbers ever issued.", Segment),
    ("pieces", "Pieces or counts of pieces on record.", Piece),
    ("marks", "Marks ever begun.", Mark),
    ("revisions", "Released revisions of cut files.", Revision),
    ("reorders", "Reorders ever made.", Reorder),
)


def counts(connection: Connection) -> tuple[tuple[str, str, int], ...]:
    """Name, meaning and count. Rows are never deleted, so the highest id is the count."""
    return tuple(
        (name, words, connection.scalar(select(func.coalesce(func.max(table.id), 0))) or 0)
        for name, words, table in _COUNTED
    )
