"""One database, SQLite or PostgreSQL, with two doors: ``read`` sees one moment, ``write`` is the one writer.

All writers of a database, in every process and on every host, pass one lock before they read what they decide on.
That makes "the next free ordinal", "the next id" and "is this number issued" true until the commit. A shop issues a
few kits a day; the lock is held for milliseconds.
"""

from __future__ import annotations

import functools
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from alembic.migration import MigrationContext
from sqlalchemy import Connection, Select, create_engine, func, select, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, DataError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from service.errors import BadRequest, DatabaseUnavailable, UnsafeSetting
from service.store import migrations, sqlite
from service.store.tables import Numbered

WAIT_S = 30
"""How long a writer waits for the one before it."""

_CONNECT_S = 5

# Any constant does, as long as nothing else in the database takes the same one.
_WRITER_LOCK = 0x4B49_5457


class Database:
    """An open database; make one for a process and close it at the end.

    Args:
        url: ``sqlite:///path/to/file.db`` or ``postgresql://user@host/name`` (``postgresql+psycopg://`` is the same).

    Raises:
        UnsafeSetting: the address is none, names another kind of database, or a SQLite database in memory.
    """

    def __init__(self, url: str) -> None:
        self._url = _checked(url)
        self.is_local = self._url.get_backend_name() == "sqlite"
        # SQLite's own waiting is a poll with growing sleeps; inside one process a lock passes the turn on at once.
        self._turn = threading.Lock()
        if self.is_local:
            self._writing = sqlite.writing_engine(self._url, wait_s=WAIT_S)
            self._reading = sqlite.reading_engine(self._url, wait_s=WAIT_S)
        else:
            self._writing = create_engine(
                self._url,
                isolation_level="READ COMMITTED",
                connect_args={} if "connect_timeout" in self._url.query else {"connect_timeout": _CONNECT_S},
                pool_pre_ping=True,
                pool_size=5,
                max_overflow=15,
            )
            self._reading = self._writing.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)

    @property
    def url(self) -> URL:
        """The address, password included; its ``str`` masks the password."""
        return self._url

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that sees one moment of the database and refuses to write.

        Raises:
            BadRequest: a value that the database has no room or no character for.
            DatabaseUnavailable: the database does not answer.
        """
        with self._named_trouble(), self._reading.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """The one writer: committed when the block ends, rolled back when it raises.

        Not to be nested: the inner block would wait for the outer.

        Raises:
            BadRequest: a value that the database has no room or no character for.
            DatabaseUnavailable: the database does not answer, or another writer kept the lock for ``WAIT_S``.
        """
        with self._named_trouble(), self._in_turn(), self._writing.connect() as connection, connection.begin():
            if not self.is_local:
                connection.execute(
                    text("SELECT set_config('lock_timeout', :wait, true), pg_advisory_xact_lock(:lock)"),
                    {"wait": f"{WAIT_S}s", "lock": _WRITER_LOCK},
                )
            yield connection

    @contextmanager
    def _in_turn(self) -> Iterator[None]:
        if not self.is_local:
            yield
            return
        if not self._turn.acquire(timeout=WAIT_S):
            raise self.unavailable("another write keeps the database to itself")
        try:
            yield
        finally:
            self._turn.release()

    @contextmanager
    def _named_trouble(self) -> Iterator[None]:
        try:
            yield
        except PoolTimeout as error:
            raise self.unavailable("too many requests at once, none gave its connection back in time") from error
        except psycopg.OperationalError as error:
            # A COPY runs on the driver's own cursor.
            raise self.unavailable(str(error)) from error
        except DataError as error:
            raise _cannot_hold(str(error.orig)) from error
        except DatabaseError as error:
            if not (sqlite.is_trouble(error) if self.is_local else isinstance(error, OperationalError)):
                raise
            raise self.unavailable(str(error.orig)) from error
        except (UnicodeEncodeError, OverflowError) as error:
            # Half a character, or a number beyond 64 bits: the drivers refuse them before the database sees them.
            if not any(reason in str(error) for reason in ("surrogates not allowed", "SQLite INTEGER")):
                raise
            raise _cannot_hold(str(error)) from error

    def unavailable(self, what: str) -> DatabaseUnavailable:
        """The error that says this database does not answer, with the first line of the driver's reason."""
        reason = next(iter(what.strip().splitlines()), "no answer")
        todo = "Try again in a moment; if it stays so, see whether the database runs and its disk has room"
        return DatabaseUnavailable(reason, field="KITWRIGHT_DATABASE_URL", value=self._shown(), todo=todo)

    def driver_connection(self) -> psycopg.Connection:
        """A connection to the PostgreSQL server outside the pool, each statement a transaction of its own.

        Raises:
            psycopg.OperationalError: the server does not answer.
        """
        _, arguments = self._url.get_dialect()().create_connect_args(self._url)
        return psycopg.connect(**{"connect_timeout": _CONNECT_S, **arguments}, autocommit=True)

    def _shown(self) -> str:
        return self._url.render_as_string(hide_password=True)

    def migrate(self) -> None:
        """Bring the tables up to date; safe when several processes start at once, all or nothing.

        Raises:
            DatabaseUnavailable: the database does not answer.
            UnsafeSetting: the database was made by a newer version of this program.
        """
        if self.is_local:
            sqlite.make_file(self._url, wait_s=WAIT_S)
        if self._version() == migrations.head():
            return
        with self.write() as connection:
            found = MigrationContext.configure(connection).get_current_revision()
            if found is not None and not migrations.knows(found):
                raise UnsafeSetting(
                    f"the database stands at '{found}', which a newer version of this program made",
                    field="KITWRIGHT_DATABASE_URL",
                    value=self._shown(),
                    todo="Run the newer version, or name another database",
                )
            migrations.upgrade(connection)

    def _version(self) -> str | None:
        with self.read() as connection:
            return MigrationContext.configure(connection).get_current_revision()

    def ready(self) -> bool:
        """Whether the database answers and its tables are those that this program works with."""
        try:
            return self._version() == migrations.head()
        except DatabaseUnavailable:
            return False

    def close(self) -> None:
        """Give every connection back; the database can be opened again."""
        self._reading.dispose()
        self._writing.dispose()


def next_id(connection: Connection, table: type[Numbered]) -> int:
    """The id after the highest of a table. True until the commit, since there is one writer."""
    return int(connection.scalar(_highest(table)) or 0) + 1


@functools.cache
def _highest(table: type[Numbered]) -> Select[tuple[int | None]]:
    return select(func.max(table.id))


def _checked(url: str) -> URL:
    refusal = UnsafeSetting(
        "not the address of a SQLite file or a PostgreSQL database",
        field="KITWRIGHT_DATABASE_URL",
        # What follows may hold a password.
        value=url.partition("//")[0],
        todo="Write sqlite:///kitwright.db or postgresql+psycopg://user@host/name",
    )
    try:
        made = make_url(url)
    except ArgumentError as error:
        raise refusal from error
    if made.drivername == "postgresql":
        made = made.set(drivername="postgresql+psycopg")
    in_file = bool(made.database) and made.database != ":memory:" and not made.query
    if made.drivername != "postgresql+psycopg" and not (made.drivername in {"sqlite", "sqlite+pysqlite"} and in_file):
        raise refusal
    return made


def _cannot_hold(reason: str) -> BadRequest:
    return BadRequest(
        "the database cannot hold this value",
        field="text or number",
        value=next(iter(reason.splitlines()), ""),
        todo="Leave control characters out, shorten the text, or send a smaller number",
    )
