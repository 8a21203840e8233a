"""Rows out of lines of JSON into the tables that they came from, in whichever kind of database."""

from __future__ import annotations

import base64
import binascii
import itertools
import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

import psycopg
from psycopg import sql as psql
from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError, IntegrityError

from schemas.archive import ColumnKind
from service.errors import BadArchive
from service.store.dump import TableShape
from service.store.sqlite import is_trouble

_BATCH = 2_000
# Bytes travel as text, in base64.
_WRITTEN: Mapping[ColumnKind, frozenset[type]] = {
    "integer": frozenset({int, type(None)}),
    "number": frozenset({float, type(None)}),
    "text": frozenset({str, type(None)}),
    "boolean": frozenset({bool, type(None)}),
    "bytes": frozenset({str, type(None)}),
}
# The server's own words for its constraints, with which they are made again after the rows are in.
_REFERENCES = """
SELECT conrelid::regclass::text, quote_ident(conname), pg_get_constraintdef(oid)
FROM pg_constraint WHERE contype = 'f' AND connamespace = current_schema()::regnamespace ORDER BY 1, 2
"""
# Negative: in KiB, not in pages.
_CACHE_KIB = -64 * 1024
_CHAIN = "event_follows_the_last"


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


_UNREADABLE = (ValueError, KeyError, TypeError, RecursionError)
_decode = json.JSONDecoder(parse_constant=_no_number).decode


def load(connection: Connection, shape: TableShape, written: Iterable[bytes], *, place: str) -> int:
    """Insert the rows that lines of JSON hold, in their order; how many.

    Args:
        connection: inside ``Database.write``.
        shape: the table.
        written: one line a row.
        place: what an error names as the place, with the line.

    Raises:
        BadArchive: a line that is no row of this table, or that the database refuses; the place is named.
    """
    put = _copy if connection.dialect.name == "postgresql" else _insert
    try:
        return put(connection, shape, batches(shape, written, place))
    except (sqlite3.Error, psycopg.Error) as error:
        if isinstance(error, psycopg.OperationalError):
            raise
        raise refused(str(error), place) from error
    except DatabaseError as error:
        if is_trouble(error):
            raise
        raise refused(str(error.orig), place) from error
    except (OverflowError, UnicodeEncodeError) as error:
        raise refused(str(error), place) from error


def refused(reason: str, place: str) -> BadArchive:
    """The error for rows that the database does not take."""
    return BadArchive(
        f"the database does not take these rows ({next(iter(reason.strip().splitlines()), 'no reason given')})",
        field="archive",
        value=place,
        todo="Restore from another archive; nothing of this one was kept",
        place=place,
    )


def batches(shape: TableShape, written: Iterable[bytes], place: str) -> Iterator[list[tuple[Any, ...]]]:
    """The rows that lines of JSON hold, as a driver takes them: values in the order of ``TableShape.names``.

    Raises:
        BadArchive: a line is no row of this table; the place is named.
    """
    done = 0
    lines_ = iter(written)
    while block := list(itertools.islice(lines_, _BATCH)):
        yield _checked(shape, _read(shape, block, place, done), place, done)
        done += len(block)


def _read(shape: TableShape, block: Sequence[bytes], place: str, before: int) -> list[tuple[Any, ...]]:
    try:
        # In one go, as one list; what cannot be right is looked at line by line to name it.
        rows = _decode(f"[{b','.join(block).decode()}]")
        if set(map(len, rows)) != {len(shape.columns)} or len(rows) != len(block):
            raise ValueError("other rows than lines")
        return [tuple([row[name] for name in shape.names]) for row in rows]
    except _UNREADABLE as error:
        raise _no_row(shape, place, before + _first_unreadable(shape, block)) from error


def _first_unreadable(shape: TableShape, block: Sequence[bytes]) -> int:
    for at, line in enumerate(block, 1):
        try:
            row = _decode(line.decode())
            if not isinstance(row, dict) or row.keys() != shape.columns.keys():
                return at
        except _UNREADABLE:
            return at
    return len(block)


def _checked(shape: TableShape, batch: list[tuple[Any, ...]], place: str, before: int) -> list[tuple[Any, ...]]:
    """The rows with their bytes as bytes; one database would take text in a column of numbers."""
    values = list(zip(*batch, strict=True))
    for index, kind in enumerate(shape.columns.values()):
        if not set(map(type, values[index])) <= _WRITTEN[kind]:
            wrong = next(at for at, value in enumerate(values[index], 1) if type(value) not in _WRITTEN[kind])
            raise _no_row(shape, place, before + wrong)
        if kind == "bytes":
            values[index] = tuple(_bytes(shape, place, before + at, value) for at, value in enumerate(values[index], 1))
    return list(zip(*values, strict=True)) if "bytes" in shape.columns.values() else batch


def _bytes(shape: TableShape, place: str, line: int, value: str | None) -> bytes | None:
    try:
        return None if value is None else base64.b64decode(value, validate=True)
    except (binascii.Error, ValueError) as error:
        raise _no_row(shape, place, line) from error


def _no_row(shape: TableShape, place: str, line: int) -> BadArchive:
    return BadArchive(
        f"this line is no row of the table '{shape.name}'",
        field="archive",
        value=place,
        todo="Restore from another archive; nothing of this one was kept",
        place=f"{place} line {line}",
    )


def _insert(connection: Connection, shape: TableShape, batches: Iterable[list[tuple[Any, ...]]]) -> int:
    names = ", ".join(f'"{name}"' for name in shape.names)
    values = ", ".join("?" for _ in shape.names)
    statement = f'INSERT INTO "{shape.name}" ({names}) VALUES ({values})'  # noqa: S608  names that the database gave
    count = 0
    for batch in batches:
        connection.exec_driver_sql(statement, batch)
        count += len(batch)
    return count


def _copy(connection: Connection, shape: TableShape, batches: Iterable[list[tuple[Any, ...]]]) -> int:
    """One COPY a table: rows may refer to later rows of the same table."""
    driver = connection.connection.driver_connection
    assert isinstance(driver, psycopg.Connection)
    into = psql.SQL("COPY {} ({}) FROM STDIN").format(
        psql.Identifier(shape.name), psql.SQL(", ").join(map(psql.Identifier, shape.names))
    )
    count = 0
    with driver.cursor() as cursor, cursor.copy(into) as copy:
        write: Callable[[Sequence[Any]], None] = copy.write_row
        for batch in batches:
            for row in batch:
                write(row)
            count += len(batch)
    return count


@contextmanager
def references_later(connection: Connection) -> Iterator[None]:
    """Let rows refer to rows that come later; at the end every reference is looked at, all of a table at once.

    Raises:
        BadArchive: a row refers to nothing; the tables are named.
    """
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        before = connection.exec_driver_sql("PRAGMA cache_size").scalar()
        # Keys are random: with the usual two megabytes every row would wait for pages of the index of keys.
        connection.exec_driver_sql(f"PRAGMA cache_size = {_CACHE_KIB}")
        try:
            yield
        finally:
            connection.exec_driver_sql(f"PRAGMA cache_size = {before}")
        found = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if found is not None:
            raise refused(f"row {found[1]} of '{found[0]}' refers to a row of '{found[2]}' that is not there", found[0])
        return
    constraints = connection.exec_driver_sql(_REFERENCES).all()
    for table_name, name, _definition in constraints:
        connection.exec_driver_sql(f"ALTER TABLE {table_name} DROP CONSTRAINT {name}")
    yield
    for table_name, name, definition in constraints:
        try:
            connection.exec_driver_sql(f"ALTER TABLE {table_name} ADD CONSTRAINT {name} {definition}")
        except IntegrityError as error:
            raise refused(str(error.orig), table_name) from error


@contextmanager
def chain_as_it_was(connection: Connection) -> Iterator[None]:
    """Let rows into the ledger that do not follow the last one: a spoilt ledger comes back as spoilt as it was.

    Whoever uses it looks through the ledger afterwards; the tables of before the chain have nothing to let go.
    """
    if connection.dialect.name == "sqlite":
        found = connection.exec_driver_sql(
            "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND name = ?", (_CHAIN,)
        )
        made = found.scalar()
        off, on = f"DROP TRIGGER {_CHAIN}", made
    else:
        made = connection.exec_driver_sql("SELECT 1 FROM pg_trigger WHERE tgname = %s", (_CHAIN,)).scalar()
        off, on = (f"ALTER TABLE event {verb} TRIGGER {_CHAIN}" for verb in ("DISABLE", "ENABLE"))
    if made is None:
        yield
        return
    connection.exec_driver_sql(off)
    yield
    connection.exec_driver_sql(str(on))
