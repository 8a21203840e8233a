"""Issuing in processes that are killed, and in processes that issue at the same moment."""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, text

from schemas.manifest_reading import read_manifest
from service.store.database import Database
from service.work.issue import issue_kit
from tests.faults.processes import Running
from tests.large_kit import SEGMENTS, large_manifest, open_large, release_plate
from tests.small_kit import as_bytes

KILLS = 4


@contextmanager
def issuing(database: Database, vault: Path, first: int, last: int) -> Iterator[Running]:
    """A process that issues the kits of some machines."""
    url = database.url.render_as_string(hide_password=False)
    process = Running(
        [sys.executable, "-m", "tests.large_kit", url, str(vault), str(first), str(last)], {"PYTHONPATH": "."}
    )
    try:
        yield process
    finally:
        process.kill9()


def rows(connection: Connection, query: str) -> list[tuple[object, ...]]:
    return [tuple(row) for row in connection.execute(text(query))]


def assert_whole(database: Database) -> int:
    """Every kit on record is whole, nothing stands without one, nothing stands twice; the number of kits."""
    with database.read() as connection:
        kits = rows(
            connection, "SELECT k.id, count(s.id) FROM kit k LEFT JOIN segment s ON s.kit_id = k.id GROUP BY k.id"
        )
        assert all(count == SEGMENTS for _kit, count in kits)
        numbers = [row[0] for row in rows(connection, "SELECT number FROM segment")]
        assert len(set(numbers)) == len(numbers) == SEGMENTS * len(kits)
        pieces = rows(connection, "SELECT segment_id, count(*) FROM piece GROUP BY segment_id")
        assert len(pieces) == len(numbers)
        keys = [row[0] for row in rows(connection, "SELECT key FROM issued_key")]
        assert len(set(keys)) == len(keys) == 2 * len(numbers)
        issues = Counter(row[0] for row in rows(connection, "SELECT subject FROM event WHERE verb = 'issue'"))
        assert set(issues.values()) <= {1}
        assert len(issues) == len(kits)
        assert rows(connection, "SELECT id FROM mark") == []
        return len(kits)


def test_killed_in_the_middle_leaves_no_half_kit(database: Database, tmp_path: Path) -> None:
    workshop = open_large(database.url.render_as_string(hide_password=False), str(tmp_path / "vault"))
    release_plate(workshop)
    moment = random.Random(7)
    first = 1
    for _ in range(KILLS):
        with issuing(database, tmp_path / "vault", first, 99) as process:
            process.wait_for_output(f"issued {first}")
            time.sleep(moment.uniform(0.0, 0.4))
            process.kill9()
            said = process.output.count("issued")
        on_record = assert_whole(database)
        # What was said to be issued is on record; at most one more had just been committed.
        assert first - 1 + said <= on_record <= first + said
        first = on_record + 1
    # The kit in whose middle the process died is issued under the same numbers by the next one.
    answer = issue_kit(workshop, read_manifest(as_bytes(large_manifest(machine=first))))
    assert len(answer.segments) == SEGMENTS
    workshop.exact.close()
    workshop.database.close()


def test_processes_that_issue_at_once_never_give_a_number_twice(database: Database, tmp_path: Path) -> None:
    workshop = open_large(database.url.render_as_string(hide_password=False), str(tmp_path / "vault"))
    release_plate(workshop)
    vault = tmp_path / "vault"
    # Two are after the same kits, one after others, all at the same time.
    with (
        issuing(database, vault, 1, 5) as one,
        issuing(database, vault, 1, 5) as other,
        issuing(database, vault, 6, 9) as third,
    ):
        for process in (one, other, third):
            process.wait_for_output("done", timeout_s=120)
    for machine in range(1, 6):
        said = [process.output.count(f"issued {machine}\n") for process in (one, other)]
        refused = [process.output.count(f"kit_exists {machine}\n") for process in (one, other)]
        assert sorted(said) == [0, 1]
        assert sorted(refused) == [0, 1]
    assert third.output.count("issued") == 4
    assert assert_whole(database) == 9
    workshop.exact.close()
    workshop.database.close()
