"""Legacy marks on record that hold a piece of what was read."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, func, or_, select

from service.store.tables import Alias, AliasWrong


def aliases_holding(connection: Connection, pieces: Collection[str], *, most: int) -> list[tuple[int, str]] | None:
    """Row id and folded text of the legacy marks that hold and that have any of these pieces in them.

    Args:
        connection: a transaction.
        pieces: folded as the marks are.
        most: where more have one, None is given.
    """
    if not pieces:
        return []
    # Both look for the bytes as they are, several times as fast as LIKE.
    inside = func.instr if connection.dialect.name == "sqlite" else func.strpos
    query = (
        select(Alias.id, Alias.folded)
        .outerjoin(AliasWrong, AliasWrong.alias_id == Alias.id)
        .where(or_(*(inside(Alias.folded, piece) > 0 for piece in pieces)), AliasWrong.alias_id.is_(None))
        .limit(most + 1)
    )
    rows = [(id_, folded) for id_, folded in connection.execute(query)]
    return rows if len(rows) <= most else None
