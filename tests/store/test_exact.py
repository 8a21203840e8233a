"""Exact lookup: whole numbers, at once, by many threads, over a server's death."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.errors import DatabaseUnavailable
from service.store.database import Database
from service.store.exact import ExactLookup
from service.store.kits import kit_segments
from service.store.segments import find_segment, void_segment
from service.store.values import SegmentRow
from tests.factories import make_kit
from tests.postgres import PostgresServer


@pytest.fixture
def lookup(database: Database) -> Iterator[ExactLookup]:
    with contextlib.closing(ExactLookup(database)) as made:
        yield made


def issue(database: Database, *, line: int = 4, segments: int = 4) -> tuple[SegmentRow, ...]:
    with database.write() as connection:
        return kit_segments(connection, make_kit(connection, line=line, segments=segments).id)


def test_a_hit_says_what_the_record_says(database: Database, lookup: ExactLookup) -> None:
    for row in issue(database):
        hit = lookup.by_number(row.number)
        assert hit is not None
        shared = set(hit._fields) & set(SegmentRow.__slots__)
        assert len(shared) == len(hit._fields)
        assert {name: getattr(hit, name) for name in shared} == {name: getattr(row, name) for name in shared}
        assert hit.place == row.place


@pytest.mark.parametrize(
    "number", ["", "OSV4", "OSV4-FC1-A500-SW2-U9-02", "' OR '1'='1", "%", "osv4-fc1-a500-sw2-u1", "\0", "\ud800"]
)
def test_what_was_never_issued_is_no_hit(database: Database, lookup: ExactLookup, number: str) -> None:
    issue(database)
    assert lookup.by_number(number) is None
    assert lookup.issued([number]) == set()


def test_rows_are_seen_as_soon_as_they_are_committed(database: Database, lookup: ExactLookup) -> None:
    number = "OSV4-FC1-A500-SW2-U3-42"
    assert lookup.by_number(number) is None
    with database.write() as connection:
        kit = make_kit(connection)
        assert find_segment(connection, number) is not None
        assert lookup.by_number(number) is None, "not committed yet"
    hit = lookup.by_number(number)
    assert hit is not None
    assert hit.kit_number == kit.number
    with database.write() as connection:
        void_segment(connection, hit.id, "cut into quarters")
    changed = lookup.by_number(number)
    assert changed is not None
    assert changed.status == "voided"


def test_many_at_once_are_those_that_were_issued(database: Database, lookup: ExactLookup) -> None:
    rows = issue(database, segments=150)
    asked = [row.number for row in rows] * 2 + ["OSV4-FC1-A500-SW2-U999-02", "'", "\\", "é"]
    assert lookup.issued(asked) == {row.number for row in rows}
    assert lookup.issued([]) == set()


def test_twenty_threads_ask_while_a_writer_commits(database: Database, lookup: ExactLookup) -> None:
    numbers = [row.number for row in issue(database, segments=40)]
    stop = threading.Event()

    def ask(start: int) -> int:
        asked = 0
        while not stop.is_set() or asked < 50:
            number = numbers[(start + asked) % len(numbers)]
            hit = lookup.by_number(number)
            assert hit is not None
            assert hit.number == number
            asked += 1
        return asked

    with ThreadPoolExecutor(20) as pool:
        answers = [pool.submit(ask, start) for start in range(20)]
        for line in range(5, 10):
            issue(database, line=line)
        stop.set()
        assert all(answer.result() >= 50 for answer in answers)


def test_a_restarted_server_is_found_again(postgres: PostgresServer, postgres_url: str) -> None:
    with contextlib.closing(Database(postgres_url)) as database:
        database.migrate()
        rows = issue(database)
        with contextlib.closing(ExactLookup(database)) as lookup:
            with ThreadPoolExecutor(4) as pool:
                list(pool.map(lookup.by_number, [row.number for row in rows] * 20))
            postgres.kill9()
            with pytest.raises(DatabaseUnavailable):
                lookup.by_number(rows[0].number)
            assert not database.ready()
            postgres.restart()
            hit = lookup.by_number(rows[0].number)
            assert hit is not None
            assert hit.id == rows[0].id
            assert database.ready()
            assert issue(database, line=5), "writing goes on as well"


def test_held_connections_that_a_restart_killed_cost_no_answer(postgres: PostgresServer, postgres_url: str) -> None:
    with contextlib.closing(Database(postgres_url)) as database:
        database.migrate()
        rows = issue(database)
        with contextlib.closing(ExactLookup(database)) as lookup:
            assert lookup.by_number(rows[0].number) is not None
            postgres.restart()
            assert lookup.by_number(rows[0].number) is not None


def test_a_file_without_tables_is_said(sqlite_url: str) -> None:
    with contextlib.closing(Database(sqlite_url)) as database, contextlib.closing(ExactLookup(database)) as lookup:
        with pytest.raises(DatabaseUnavailable):
            lookup.by_number("OSV4-FC1-A500-SW2-U3-42")
        database.migrate()
        assert lookup.by_number("OSV4-FC1-A500-SW2-U3-42") is None
