"""How SQLite is opened so that it keeps the same promises as a database server.

Every connection checks foreign keys, writes through to the disk at each commit, and lets triggers fire when a row
is replaced; Python's driver starts no transaction of its own.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import ConnectionPoolEntry

from service.errors import DatabaseUnavailable

# Busy, locked, input/output error, disk full, cannot open, no database, damaged: what a person at the machine can mend.
_TROUBLE = {
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_NOTADB,
    sqlite3.SQLITE_CORRUPT,
}
_OTHERS_AT_WORK = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}


def connect(path: str, *, wait_s: float) -> sqlite3.Connection:
    """A bare connection that any thread may use, one at a time, with every promise of this module switched on."""
    connection = sqlite3.connect(path, timeout=wait_s, isolation_level=None, check_same_thread=False)
    keep_promises(connection)
    return connection


def keep_promises(connection: sqlite3.Connection) -> None:
    """Switch on what SQLite leaves off for each new connection."""
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")
    # Without it INSERT OR REPLACE deletes a row and no trigger hears of it.
    connection.execute("PRAGMA recursive_triggers = ON")


def make_file(url: URL, *, wait_s: float) -> None:
    """Make the folder and the file where they are missing, and keep its journal as a write-ahead log.

    Raises:
        DatabaseUnavailable: the folder or the file cannot be made, or others keep it busy for ``wait_s``.
    """
    path = Path(url.database or "")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = connect(str(path), wait_s=wait_s)
        try:
            _write_ahead(connection, deadline=time.monotonic() + wait_s)
        finally:
            connection.close()
    except (OSError, sqlite3.DatabaseError) as error:
        raise DatabaseUnavailable(
            f"the file cannot be opened as a database ({error})",
            field="KITWRIGHT_DATABASE_URL",
            value=str(url),
            todo="Name a file in a folder that this user may write to",
        ) from error


def _write_ahead(connection: sqlite3.Connection, *, deadline: float) -> None:
    """Change the journal's mode. SQLite answers "locked" at once when another process does the same: try again."""
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF not in _OTHERS_AT_WORK or time.monotonic() > deadline:
                raise
            time.sleep(0.01)
        else:
            return


def writing_engine(url: URL, *, wait_s: float) -> Engine:
    """An engine whose transactions take the write lock when they begin, not at their first write."""
    return _engine(url, wait_s=wait_s, begin="BEGIN IMMEDIATE", query_only=False)


def reading_engine(url: URL, *, wait_s: float) -> Engine:
    """An engine whose transactions see one moment and refuse to write."""
    return _engine(url, wait_s=wait_s, begin="BEGIN DEFERRED", query_only=True)


def _engine(url: URL, *, wait_s: float, begin: str, query_only: bool) -> Engine:
    engine = create_engine(url, connect_args={"timeout": wait_s, "isolation_level": None}, pool_size=5, max_overflow=60)

    def on_connect(connection: sqlite3.Connection, _entry: ConnectionPoolEntry) -> None:
        keep_promises(connection)
        if query_only:
            connection.execute("PRAGMA query_only = ON")

    def on_begin(connection: Connection) -> None:
        connection.exec_driver_sql(begin)

    event.listen(engine, "connect", on_connect)
    event.listen(engine, "begin", on_begin)
    return engine


@contextmanager
def any_bytes_as_text(connection: Connection) -> Iterator[None]:
    """Read text that is no UTF-8 too, its wrong bytes as lone surrogates: a row that somebody spoilt has to be named.

    The driver would refuse the row otherwise, and with it all that come after.
    """
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    plain = driver.text_factory
    driver.text_factory = lambda data: data.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        driver.text_factory = plain


def is_trouble(error: DatabaseError) -> bool:
    """Whether an error comes from the disk or another writer rather than from a wrong statement."""
    return isinstance(error.orig, sqlite3.Error) and error.orig.sqlite_errorcode & 0xFF in _TROUBLE
