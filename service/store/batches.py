"""Many rows of one table in one call, past SQLAlchemy's handling of each parameter: the quick way to write a kit."""

from __future__ import annotations

import functools
from collections.abc import Sequence

from sqlalchemy import Connection

from service.store.tables import Base


def insert_batch(
    connection: Connection, model: type[Base], columns: tuple[str, ...], rows: Sequence[tuple[object, ...]]
) -> None:
    """Insert rows whose values stand in the order of ``columns``; values as the driver takes them."""
    if rows:
        placeholder = "?" if connection.dialect.paramstyle == "qmark" else "%s"
        connection.exec_driver_sql(_statement(model.__tablename__, columns, placeholder), list(rows))


@functools.cache
def _statement(table: str, columns: tuple[str, ...], placeholder: str) -> str:
    names = ", ".join(f'"{name}"' for name in columns)
    values = ", ".join([placeholder] * len(columns))
    return f'INSERT INTO "{table}" ({names}) VALUES ({values})'  # noqa: S608  names of our own tables and columns
