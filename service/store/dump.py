"""Every row of every table out as lines of JSON, whatever the tables are.

The database itself is asked for its tables, so that a table or a column that a migration adds is never left out. Equal
rows give equal bytes on every kind of database: columns by name, rows by primary key in the order of their bytes.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from json.encoder import encode_basestring as _quoted
from typing import Any

from sqlalchemy import Boolean, Connection, Double, Integer, LargeBinary, Text, column, inspect, select, table
from sqlalchemy import text as sql_text
from sqlalchemy.types import TypeEngine

from schemas.archive import ColumnKind

_BATCH = 2_000
# Alembic's own note of where the schema stands; the manifest says it.
_NOT_RECORDS = frozenset({"alembic_version"})
_KINDS: Mapping[type, ColumnKind] = {int: "integer", float: "number", str: "text", bool: "boolean", bytes: "bytes"}
_PYTHON: Mapping[ColumnKind, type] = {kind: python for python, kind in _KINDS.items()}
_TYPES: Mapping[ColumnKind, type[TypeEngine[Any]]] = {
    "integer": Integer,
    "number": Double,
    "text": Text,
    "boolean": Boolean,
    "bytes": LargeBinary,
}
_NULL = "null"


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
        ValueError: a value of another kind than its column's, or a number that JSON has no form for.
    """
    on_server = connection.dialect.name == "postgresql"
    columns = {name: column(name, _TYPES[kind]()) for name, kind in shape.columns.items()}
    order = [
        # What a server takes for the order of text depends on the machine; that of the bytes does not.
        columns[name].collate("C") if on_server and shape.columns[name] == "text" else columns[name]
        for name in shape.primary_key
    ]
    query = select(*columns.values()).select_from(table(shape.name, *columns.values())).order_by(*order)
    # A template and one pass a column: several times as quick as an encoder that looks at each value for its kind.
    line = "{" + ",".join(f"{_quoted(name)}:%s" for name in shape.names) + "}"
    as_json = [_WRITERS[kind] for kind in shape.columns.values()]
    with connection.execute(query, execution_options={"yield_per": _BATCH}) as result:
        for rows in result.partitions():
            values = list(zip(*rows, strict=True))
            _refuse_odd(shape, values)
            written = [write(of_column) for write, of_column in zip(as_json, values, strict=True)]
            block = "\n".join([line % row for row in zip(*written, strict=True)])
            yield len(rows), f"{block}\n".encode()


def _refuse_odd(shape: TableShape, values: Iterable[Iterable[object]]) -> None:
    """A SQLite file that somebody wrote to by hand may hold text in a column of numbers."""
    for (name, kind), of_column in zip(shape.columns.items(), values, strict=True):
        odd = set(map(type, of_column)) - {_PYTHON[kind], type(None)}
        if odd:
            raise ValueError(f"'{name}' of '{shape.name}' holds {', '.join(sorted(one.__name__ for one in odd))}")


def _integers(values: Iterable[int | None]) -> list[str]:
    return [_NULL if value is None else str(value) for value in values]


def _numbers(values: Iterable[float | None]) -> list[str]:
    written = [_NULL if value is None else float.__repr__(value) for value in values]
    for odd in {"nan", "inf", "-inf"}.intersection(written):
        raise ValueError(f"'{odd}' is no number in JSON")
    return written


def _texts(values: Iterable[str | None]) -> list[str]:
    return [_NULL if value is None else _quoted(value) for value in values]


def _booleans(values: Iterable[bool | None]) -> list[str]:
    return [_NULL if value is None else "true" if value else "false" for value in values]


def _bytes_as_text(values: Iterable[bytes | None]) -> list[str]:
    return [_NULL if value is None else f'"{base64.b64encode(value).decode("ascii")}"' for value in values]


_WRITERS: Mapping[ColumnKind, Callable[[Iterable[Any]], list[str]]] = {
    "integer": _integers,
    "number": _numbers,
    "text": _texts,
    "boolean": _booleans,
    "bytes": _bytes_as_text,
}
