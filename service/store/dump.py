"""Every row of every table out as lines of JSON and in again, whatever the tables are.

The database itself is asked for its tables, so that a table or a column that a migration adds is never left out. Equal
rows give equal bytes on every kind of database: columns by name, rows by primary key in the order of their bytes.
"""

from __future__ import annotations

import base64
import binascii
import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import psycopg
from psycopg import sql as psql
from sqlalchemy import Boolean, Connection, Double, Integer, LargeBinary, Text, column, inspect, select, table
from sqlalchemy import text as sql_text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.types import TypeEngine

from schemas.archive import ColumnKind
from service.errors import BadArchive
from service.store.sqlite import is_trouble

_BATCH = 2_000
# Alembic's own note of where the schema stands; the manifest says it.
_NOT_RECORDS = frozenset({"alembic_version"})
_KINDS: Mapping[type, ColumnKind] = {int: "integer", float: "number", str: "text", bool: "boolean", bytes: "bytes"}
_TYPES: Mapping[ColumnKind, type[TypeEngine[Any]]] = {
    "integer": Integer,
    "number": Double,
    "text": Text,
    "boolean": Boolean,
    "bytes": LargeBinary,
}
# Bytes travel as text, in base64.
_WRITTEN: Mapping[ColumnKind, frozenset[type]] = {
    "integer": frozenset({int, type(None)}),
    "number": frozenset({float, type(None)}),
    "text": frozenset({str, type(None)}),
    "boolean": frozenset({bool, type(None)}),
    "bytes": frozenset({str, type(None)}),
}
_encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode


def _no_number(name: str) -> float:
    raise ValueError(f"{name} is no number")


_decode = json.JSONDecoder(parse_constant=_no_number).decode


@dataclass(frozen=True, slots=True)
class TableShape:
    """A table as the database has it.

    Attributes:
        name: of the table.
        columns: the kind of each column, in the order of the names.
        primary_key: the columns by which rows are told apart and ordered.
    """

    name: str
    columns: Mapping[str, ColumnKind]
    primary_key: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The columns in the order in which they are written."""
        return tuple(self.columns)


def shapes(connection: Connection) -> tuple[TableShape, ...]:
    """Every table of records, those that others refer to first and otherwise by name.

    Raises:
        TypeError: a column of a kind that has no place in an archive.
    """
    inspector = inspect(connection)
    keys = {name: found["constrained_columns"] for (_, name), found in inspector.get_multi_pk_constraint().items()}
    parents = {
        name: {key["referred_table"] for key in found} - {name}
        for (_, name), found in inspector.get_multi_foreign_keys().items()
    }
    found = {
        name: TableShape(
            name,
            {
                one["name"]: _kind(name, one["name"], one["type"])
                for one in sorted(columns, key=lambda one: one["name"])
            },
            tuple(keys[name]),
        )
        for (_, name), columns in inspector.get_multi_columns().items()
        if name not in _NOT_RECORDS
    }
    return tuple(found[name] for name in _parents_first(found, parents))


def _kind(table_name: str, name: str, type_: TypeEngine[Any]) -> ColumnKind:
    kind = _KINDS.get(type_.python_type)
    if kind is None:
        raise TypeError(f"{table_name}.{name} is of type {type_!r}, which has no place in an archive")
    return kind


def _parents_first(names: Iterable[str], parents: Mapping[str, set[str]]) -> list[str]:
    left, order = sorted(names), list[str]()
    while left:
        # Tables that refer to each other in a ring come at the end as they are; the database has the last word.
        ready = next((name for name in left if not parents.get(name, set()) & set(left)), left[0])
        order.append(ready)
        left.remove(ready)
    return order


def first_filled(connection: Connection, tables: Iterable[TableShape]) -> str | None:
    """The first table that holds a row, None when all are empty."""
    for shape in tables:
        if connection.execute(select(sql_text("1")).select_from(table(shape.name)).limit(1)).first() is not None:
            return shape.name
    return None


def lines(connection: Connection, shape: TableShape) -> Iterator[tuple[int, bytes]]:
    """The rows of a table as lines of JSON, read in a stream: how many, and their bytes, block by block.

    Raises:
        ValueError: a number that JSON has no form for.
    """
    on_server = connection.dialect.name == "postgresql"
    columns = {name: column(name, _TYPES[kind]()) for name, kind in shape.columns.items()}
    order = [
        # What a server takes for the order of text depends on the machine; that of the bytes does not.
        columns[name].collate("C") if on_server and shape.columns[name] == "text" else columns[name]
        for name in shape.primary_key
    ]
    query = select(*columns.values()).select_from(table(shape.name, *columns.values())).order_by(*order)
    names = shape.names
    in_base64 = [index for index, kind in enumerate(shape.columns.values()) if kind == "bytes"]
    with connection.execute(query, execution_options={"yield_per": _BATCH}) as result:
        for rows in result.partitions():
            written = [_as_text(row, in_base64) for row in rows] if in_base64 else rows
            block = "\n".join([_encode(dict(zip(names, row, strict=True))) for row in written])
            yield len(rows), f"{block}\n".encode()


def _as_text(row: Sequence[Any], in_base64: Sequence[int]) -> list[Any]:
    values = list(row)
    for index in in_base64:
        if values[index] is not None:
            values[index] = base64.b64encode(values[index]).decode("ascii")
    return values


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
        return put(connection, shape, _batches(shape, written, place))
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


def _batches(shape: TableShape, written: Iterable[bytes], place: str) -> Iterator[list[tuple[Any, ...]]]:
    batch: list[tuple[Any, ...]] = []
    done = 0
    names, width = shape.names, len(shape.columns)
    for line in written:
        try:
            row = _decode(line.decode())
            values = tuple([row[name] for name in names])
        except (ValueError, KeyError, TypeError, RecursionError) as error:
            raise _no_row(shape, place, done + len(batch) + 1) from error
        if len(row) != width:
            raise _no_row(shape, place, done + len(batch) + 1)
        batch.append(values)
        if len(batch) == _BATCH:
            yield _checked(shape, batch, place, done)
            done += len(batch)
            batch = []
    if batch:
        yield _checked(shape, batch, place, done)


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


def defer_references(connection: Connection) -> None:
    """Let rows of a SQLite file refer to rows that come later, until ``dangling`` has looked."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")


def dangling(connection: Connection) -> str | None:
    """The first row that refers to nothing, in words; a server has refused it before."""
    if connection.dialect.name != "sqlite":
        return None
    found = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    return (
        None if found is None else f"row {found[1]} of '{found[0]}' refers to a row of '{found[2]}' that is not there"
    )
