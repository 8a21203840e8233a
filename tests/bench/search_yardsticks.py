"""Other ways to find a damaged number among a million: columns of NumPy, SQL, trigrams, edit distances.

Each takes what is left of a number as the bench draws it: ``?`` for a sign, hyphens in their places, and says whether
the head is broken off. None of them ranks by likelihood: they give those that agree, or the nearest by count.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

import numpy as np
import psycopg
from numpy.typing import NDArray
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

Rows = NDArray[np.int64]
_NEAREST = 10


class ColumnScan:
    """The signs of all numbers as columns, from the left and from the right: each known sign narrows the rows down."""

    def __init__(self, numbers: Sequence[str]) -> None:
        longest = max(map(len, numbers))
        self._lengths = np.array([len(number) for number in numbers], np.uint8)
        self._left = self._columns([number.ljust(longest) for number in numbers], longest)
        self._right = self._columns([number.rjust(longest) for number in numbers], longest)[::-1]

    @staticmethod
    def _columns(padded: Sequence[str], longest: int) -> NDArray[np.uint8]:
        signs = np.frombuffer("".join(padded).encode("ascii"), np.uint8).reshape(len(padded), longest)
        return np.ascontiguousarray(signs.T)

    @property
    def nbytes(self) -> int:
        """What the columns from one side take."""
        return self._left.nbytes + self._lengths.nbytes

    def agreeing(self, left: str, *, headless: bool = False) -> Rows:
        """The numbers that agree with every sign that is known, and are as long unless the head is gone."""
        signs, columns = (left[::-1], self._right) if headless else (left, self._left)
        rows: Rows | None = None if headless else np.flatnonzero(self._lengths == len(left))
        for at, sign in enumerate(signs):
            if sign != "?":
                column = columns[at]
                rows = np.flatnonzero(column == ord(sign)) if rows is None else rows[column[rows] == ord(sign)]
        return np.arange(columns.shape[1]) if rows is None else rows

    def near(self, left: str, most: int) -> Rows:
        """The numbers of the same length that differ in so many signs at most."""
        return np.flatnonzero(self.differing(left) <= most)

    def differing(self, left: str) -> NDArray[np.uint8]:
        """In how many signs each number differs; 255 if it is not as long."""
        wrong = np.zeros(len(self._lengths), np.uint8)
        for column, sign in zip(self._left, left, strict=False):
            wrong += column != ord(sign)
        wrong[self._lengths != len(left)] = 255
        return wrong

    def column(self, at: int) -> NDArray[np.uint8]:
        """The signs of all numbers at a position."""
        return np.asarray(self._left[at])


class SqlTables:
    """Two tables in a SQLite file: one with a unique index, one with the trigrams of FTS5."""

    def __init__(self, path: str, numbers: Sequence[str]) -> None:
        self._connection = sqlite3.connect(path)
        self._connection.execute("PRAGMA synchronous = OFF")
        self._connection.execute("CREATE TABLE plain (number TEXT)")
        self._connection.executemany("INSERT INTO plain VALUES (?)", ((number,) for number in numbers))
        self._connection.execute("CREATE UNIQUE INDEX plain_number ON plain (number)")
        self._connection.execute("CREATE VIRTUAL TABLE trigrams USING fts5 (number, tokenize='trigram')")
        self._connection.execute("INSERT INTO trigrams SELECT number FROM plain ORDER BY rowid")
        self._connection.commit()

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def index_bytes(self, name: str) -> int:
        """What an index or the tables whose names begin so take in the file."""
        (size,) = self._connection.execute(
            "SELECT sum(pgsize) FROM dbstat WHERE name = ? OR name GLOB ?", (name, f"{name}_*")
        ).fetchone()
        return int(size)

    def exact(self, number: str) -> list[str]:
        """By the unique index."""
        return self._numbers("SELECT number FROM plain WHERE number = ?", number)

    def like(self, left: str, *, headless: bool = False) -> list[str]:
        """By LIKE over the plain table."""
        return self._numbers("SELECT number FROM plain WHERE number LIKE ?", _pattern(left, headless))

    def trigrams(self, left: str, *, headless: bool = False) -> list[str]:
        """By LIKE, which FTS5 answers from its trigrams."""
        return self._numbers("SELECT number FROM trigrams WHERE number LIKE ?", _pattern(left, headless))

    def nearest_by_trigrams(self, left: str) -> list[str]:
        """Those that share most and rarest trigrams."""
        asked = " OR ".join(f'"{left[at : at + 3]}"' for at in range(len(left) - 2))
        return self._numbers(f"SELECT number FROM trigrams WHERE number MATCH ? ORDER BY rank LIMIT {_NEAREST}", asked)

    def _numbers(self, statement: str, value: str) -> list[str]:
        return [number for (number,) in self._connection.execute(statement, (value,))]


class ServerTrigrams:
    """A table on a PostgreSQL server with the trigrams of ``pg_trgm``."""

    def __init__(self, url: str, numbers: Sequence[str]) -> None:
        self._connection = psycopg.connect(url.replace("postgresql+psycopg", "postgresql"), autocommit=True)
        self._connection.execute("CREATE EXTENSION pg_trgm")
        self._connection.execute("CREATE TABLE plain (number text)")
        with self._connection.cursor() as cursor, cursor.copy("COPY plain FROM STDIN") as copy:
            copy.write("\n".join(numbers) + "\n")
        self._connection.execute("CREATE INDEX plain_trigrams ON plain USING gin (number gin_trgm_ops)")
        self._connection.execute("VACUUM ANALYZE plain")
        self._connection.execute("SET pg_trgm.similarity_threshold = 0.5")

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()

    def like(self, left: str, *, headless: bool = False) -> list[str]:
        """By LIKE, which the server may answer from the trigrams."""
        return self._numbers("SELECT number FROM plain WHERE number LIKE %s", _pattern(left, headless))

    def nearest(self, left: str) -> list[str]:
        """Those whose trigrams are most alike."""
        return self._numbers(
            f"SELECT number FROM plain WHERE number %% %s ORDER BY similarity(number, %s) DESC LIMIT {_NEAREST}",
            left,
            left,
        )

    def _numbers(self, statement: str, *values: str) -> list[str]:
        return [number for (number,) in self._connection.execute(statement, values)]


def nearest_by_edits(numbers: Sequence[str], left: str) -> list[str]:
    """Those that the fewest edits part from what is left, by RapidFuzz."""
    return [number for number, _, _ in process.extract(left, numbers, scorer=Levenshtein.distance, limit=_NEAREST)]


def _pattern(left: str, headless: bool) -> str:  # noqa: FBT001 - passed on as it was given by name
    return ("%" if headless else "") + left.replace("?", "_")
