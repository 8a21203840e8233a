"""Writes many rows past the verbs, into a SQLite file or a PostgreSQL server, as fast as either takes them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import psycopg
from sqlalchemy import Connection

from service.numbering.key import ALPHABET, Key
from service.store.tables.base import Base

Row = tuple[object, ...]
Put = Callable[[type[Base], Iterable[Row]], None]
"""Writes rows into a table, in the order of the columns that were named for it."""
Columns = Mapping[type[Base], tuple[str, ...]]

_FREE = len(ALPHABET) ** 7
# Coprime to the number of keys: every index meets another key, and neighbours are far apart as random ones are.
_STEP = 2_654_435_761


def key_of(index: int) -> str:
    """The key of a segment, counted from 0."""
    word, symbols = index * _STEP % _FREE, ""
    for _ in range(7):
        word, value = divmod(word, len(ALPHABET))
        symbols += ALPHABET[value]
    return str(Key.from_symbols(symbols)) if len(set(symbols)) > 1 else key_of(index + _FREE // 2)


def file_put(connection: sqlite3.Connection, columns: Columns) -> Put:
    """Into a SQLite file; begin and commit are the caller's."""

    def put(model: type[Base], rows: Iterable[Row]) -> None:
        names = ", ".join(f'"{name}"' for name in columns[model])
        values = ", ".join("?" for _ in columns[model])
        connection.executemany(f'INSERT INTO "{model.__tablename__}" ({names}) VALUES ({values})', rows)

    return put


def server_put(connection: Connection, columns: Columns) -> Put:
    """Into a PostgreSQL server, within the transaction of the connection."""
    driver: Any = connection.connection.driver_connection
    assert isinstance(driver, psycopg.Connection)

    def put(model: type[Base], rows: Iterable[Row]) -> None:
        names = ", ".join(f'"{name}"' for name in columns[model])
        with driver.cursor() as cursor, cursor.copy(f'COPY "{model.__tablename__}" ({names}) FROM STDIN') as copy:
            for row in rows:
                copy.write_row(row)

    return put
