"""The codes that the shop added to the ones every shop begins with."""

from __future__ import annotations

import functools

from sqlalchemy import Connection, insert, select

from service.numbering.tables import DEFAULT_TABLES, CodeTables, TableName
from service.store.database import next_id
from service.store.tables import Code, table_of

_CODES = select(Code.kind, Code.code, Code.name).order_by(Code.id)


def code_tables(connection: Connection) -> CodeTables:
    """The code tables as they stand: the first ones and what the shop added."""
    return _with_codes(tuple((row.kind, row.code, row.name) for row in connection.execute(_CODES)))


@functools.lru_cache(maxsize=8)
def _with_codes(added: tuple[tuple[TableName, str, str], ...]) -> CodeTables:
    tables = DEFAULT_TABLES
    for kind, code, name in added:
        tables = tables.with_code(kind, code, name)
    return tables


def add_code(connection: Connection, kind: TableName, code: str, name: str) -> CodeTables:
    """Add a code for good; the tables with it.

    Raises:
        BadCode: the code is malformed or has no name.
        CodeTooAlike: the code is in the table, or looks or sounds like one that is.
    """
    tables = code_tables(connection).with_code(kind, code, name)
    connection.execute(
        insert(table_of(Code)), {"id": next_id(connection, Code), "kind": kind, "code": code, "name": name}
    )
    return tables
