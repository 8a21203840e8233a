"""The one question that every scan asks: which segment bears exactly this number. Made to be fast.

It goes past SQLAlchemy to the driver: connections are kept open, the statement stays prepared, and each question is
a transaction of its own, so that a row committed a moment ago, by whatever process, is seen.
"""

from __future__ import annotations

import json
import sqlite3
from collections import deque
from collections.abc import Callable, Collection, Iterable
from threading import BoundedSemaphore
from typing import Any, NamedTuple, TypeVar

import psycopg

from service.store import sqlite
from service.store.database import WAIT_S, Database

T = TypeVar("T")
Rows = Iterable[tuple[Any, ...]]

# Of a server that all processes share; a question takes well under a millisecond there.
_SERVER_CONNECTIONS = 8

_HITS = (
    "SELECT s.id, s.number, s.key, k.number, a.code, a.ordinal, a.name, s.deck, s.ordinal, s.quantity, s.hand,"
    " s.material, s.stock_colour, s.thickness_mm, s.mass_kg, c.name, r.letter, s.status"
    " FROM segment s JOIN kit k ON k.id = s.kit_id JOIN assembly a ON a.id = s.assembly_id"
    " JOIN cut_file c ON c.id = s.cut_file_id JOIN revision r ON r.id = s.revision_id"
)


class SegmentHit(NamedTuple):
    """What a scan wants at once; a bare tuple, because making a dataclass takes as long as the question."""

    id: int
    number: str
    key: str
    kit_number: str
    assembly_code: str
    assembly_ordinal: int
    assembly_name: str
    deck: str
    ordinal: int
    quantity: int
    hand: str | None
    material: str
    stock_colour: str
    thickness_mm: float
    mass_kg: float
    cut_file: str
    revision: str
    status: str

    @property
    def place(self) -> str:
        """Assembly and place inside the kit, for example ``SW2-U3``."""
        return f"{self.assembly_code}{self.assembly_ordinal}-{self.deck}{self.ordinal}"


class ExactLookup:
    """Finds segments by whole numbers as they are printed; any number of threads may ask at once.

    Every method raises ``DatabaseUnavailable`` when the database does not answer; a database server that was
    restarted is found again without that.
    """

    def __init__(self, database: Database) -> None:
        self._source = _File(database) if database.is_local else _Server(database)

    def by_number(self, number: str) -> SegmentHit | None:
        """The segment with a number, None when it was never issued."""
        for row in self._source.one(number) if _printable(number) else ():
            return SegmentHit._make(row)
        return None

    def issued(self, numbers: Collection[str]) -> set[str]:
        """Those of many numbers that were issued, in one question."""
        return {number for (number,) in self._source.many([*filter(_printable, numbers)])}

    def close(self) -> None:
        """Give the connections back that nobody is using."""
        self._source.close()


def _printable(number: str) -> bool:
    """Whether a number could be printed at all; databases differ in what they say to what could not."""
    return number.isascii() and number.isprintable()


class _File:
    """A SQLite file: a connection for as many threads as ask at the same moment."""

    _ONE = f"{_HITS} WHERE s.number = ?"
    _MANY = "SELECT number FROM segment WHERE number IN (SELECT value FROM json_each(?))"

    def __init__(self, database: Database) -> None:
        self._database = database
        self._path = database.url.database or ""
        self._idle: deque[sqlite3.Cursor] = deque()

    def one(self, number: str) -> Rows:
        return self._ask(self._ONE, number)

    def many(self, numbers: list[str]) -> Rows:
        return self._ask(self._MANY, json.dumps(numbers))

    def _ask(self, statement: str, parameter: str) -> Rows:
        # The ends of a deque are safe between threads without a lock.
        try:
            cursor = self._idle.pop()
        except IndexError:
            cursor = self._open()
        try:
            rows = cursor.execute(statement, (parameter,)).fetchall()
        except sqlite3.Error as error:
            cursor.connection.close()
            raise self._database.unavailable(str(error)) from error
        self._idle.append(cursor)
        return rows

    def _open(self) -> sqlite3.Cursor:
        try:
            connection = sqlite.connect(self._path, wait_s=WAIT_S)
        except sqlite3.Error as error:
            raise self._database.unavailable(str(error)) from error
        connection.execute("PRAGMA query_only = ON")
        return connection.cursor()

    def close(self) -> None:
        while self._idle:
            self._idle.pop().connection.close()


class _Server:
    """A PostgreSQL server: a few connections that ask one question each at a time, reopened when the server died."""

    _ONE = f"{_HITS} WHERE s.number = %s"
    _MANY = "SELECT number FROM segment WHERE number = ANY(%s)"

    def __init__(self, database: Database) -> None:
        self._database = database
        self._idle: deque[psycopg.Connection] = deque()
        self._free = BoundedSemaphore(_SERVER_CONNECTIONS)

    def one(self, number: str) -> Rows:
        return self._ask(lambda connection: connection.execute(self._ONE, (number,), prepare=True).fetchall())

    def many(self, numbers: list[str]) -> Rows:
        return self._ask(lambda connection: connection.execute(self._MANY, (numbers,), prepare=True).fetchall())

    def _ask(self, question: Callable[[psycopg.Connection], T]) -> T:
        with self._free:
            try:
                connection = self._idle.pop()
            except IndexError:
                return self._ask_anew(question)
            try:
                answer = question(connection)
            except psycopg.OperationalError:
                # The server was restarted; every connection that waits here is as dead as this one.
                connection.close()
                self.close()
                return self._ask_anew(question)
            self._idle.append(connection)
            return answer

    def _ask_anew(self, question: Callable[[psycopg.Connection], T]) -> T:
        try:
            connection = self._database.driver_connection()
            answer = question(connection)
        except psycopg.OperationalError as error:
            raise self._database.unavailable(str(error)) from error
        self._idle.append(connection)
        return answer

    def close(self) -> None:
        while True:
            try:
                self._idle.pop().close()
            except IndexError:
                return
