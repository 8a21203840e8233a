"""The index of issued numbers stays current with the records: across processes and threads, over a restore."""

from __future__ import annotations

import contextlib
import multiprocessing
import shutil
from concurrent.futures import ThreadPoolExecutor
from multiprocessing.queues import Queue
from pathlib import Path

import pytest
from sqlalchemy import text

from service.numbering.error_model import CameBy, error_model
from service.numbering.fragment import parse_fragment
from service.numbering.number_index import NumberIndex
from service.store.database import Database
from service.store.kits import kit_segments
from service.store.number_following import NumberFollowing
from tests.factories import make_kit
from tests.postgres import PostgresServer


def issue(database: Database, *, line: int = 4, segments: int = 4) -> list[str]:
    """A kit on record; its numbers."""
    with database.write() as connection:
        return [row.number for row in kit_segments(connection, make_kit(connection, line=line, segments=segments).id)]


def everything(index: NumberIndex) -> list[str]:
    """All numbers of an index whose container is A500."""
    return list(index.consistent(parse_fragment("*A500*")))


def test_what_is_issued_is_found_at_once(database: Database) -> None:
    following = NumberFollowing(database)
    assert len(following.current()) == 0
    first = issue(database, line=7)
    assert everything(following.current()) == first
    second = issue(database, line=4)
    index = following.current()
    assert everything(index) == second + first, "in natural order, not in that of issue"
    best = index.search(parse_fragment("0SV4FC1A5005W2U1"), error_model(CameBy.EYE), 1)
    assert [match.number for match in best] == [
        number for number in second if number.startswith("OSV4-FC1-A500-SW2-U1")
    ]


def test_followed_is_what_is_built_anew(database: Database) -> None:
    following = NumberFollowing(database)
    for line in (5, 2, 9, 4):
        issue(database, line=line, segments=line)
        following.current()
    anew = NumberFollowing(database).current()
    assert everything(following.current()) == everything(anew)
    assert len(following.current()) == len(anew) == 20


def test_nothing_new_is_not_read_again(database: Database) -> None:
    issue(database)
    following = NumberFollowing(database)
    index = following.current()
    assert following.current() is index
    issue(database, line=5)
    assert following.current() is index, "numbers are added, nothing is made anew"


def test_a_number_is_not_there_before_its_commit(database: Database) -> None:
    following = NumberFollowing(database)
    with database.write() as connection:
        make_kit(connection)
        assert len(following.current()) == 0
    assert len(following.current()) > 0


def _issue_elsewhere(url: str, lines: range, issued: Queue[list[str]]) -> None:
    with contextlib.closing(Database(url)) as database:
        for line in lines:
            issued.put(issue(database, line=line))


def test_another_process_issues(database: Database) -> None:
    following = NumberFollowing(database)
    assert len(following.current()) == 0
    context = multiprocessing.get_context("spawn")
    issued: Queue[list[str]] = context.Queue()
    url = database.url.render_as_string(hide_password=False)
    process = context.Process(target=_issue_elsewhere, args=(url, range(1, 6), issued), name="elsewhere")
    process.start()
    for _ in range(5):
        numbers = issued.get(timeout=60)
        index = following.current()
        assert all(number in index for number in numbers)
    process.join(timeout=60)
    assert process.exitcode == 0
    assert len(following.current()) == 20


def test_threads_search_while_numbers_come(database: Database) -> None:
    following = NumberFollowing(database)
    issue(database, line=1)
    model = error_model(CameBy.EYE)

    def look(_: int) -> int:
        index = following.current()
        found = index.search(parse_fragment("OSV1-FC1-A500-SW2-U3"), model, 3)
        assert found[0].number.startswith("OSV1-FC1-A500-SW2-U3")
        return len(index)

    with ThreadPoolExecutor(8) as pool:
        seen = pool.map(look, range(200))
        for line in range(2, 8):
            issue(database, line=line)
        sizes = list(seen)
    assert set(sizes) <= {4 * kits for kits in range(1, 8)}, "half a kit was seen"
    assert len(following.current()) == 28


def test_another_database_in_its_place_file(tmp_path: Path, migrated_sqlite: Path) -> None:
    paths = [tmp_path / name for name in ("kitwright.db", "other.db")]
    numbers: list[str] = []
    for path, line in zip(paths, (4, 7), strict=True):
        shutil.copy(migrated_sqlite, path)
        with contextlib.closing(Database(f"sqlite:///{path}")) as database:
            numbers = issue(database, line=line)
    with contextlib.closing(Database(f"sqlite:///{paths[0]}")) as database:
        following = NumberFollowing(database)
        assert everything(following.current()) != numbers
        database.close()
        for leftover in tmp_path.glob("kitwright.db*"):
            leftover.unlink()
        shutil.move(paths[1], paths[0])
        assert everything(following.current()) == numbers, "numbers of the former database are still offered"


def test_another_database_in_its_place_server(postgres: PostgresServer) -> None:
    names = [postgres.create_database(), postgres.create_database()]
    numbers: list[str] = []
    for name, line in zip(names, (4, 7), strict=True):
        with contextlib.closing(Database(postgres.url(name))) as database:
            database.migrate()
            numbers = issue(database, line=line)
    with contextlib.closing(Database(postgres.url(names[0]))) as database:
        following = NumberFollowing(database)
        assert everything(following.current()) != numbers
        database.close()
        postgres.drop_database(names[0])
        with postgres.connect() as connection:
            connection.execute(f"ALTER DATABASE {names[1]} RENAME TO {names[0]}")
        assert everything(following.current()) == numbers, "numbers of the former database are still offered"
    postgres.drop_database(names[0])


@pytest.mark.parametrize("spoilt", ["OSV4-FC1-A500-SW2-U1-99", "no number"])
def test_a_number_that_somebody_wrote_by_hand_stops_no_search(
    tmp_path: Path, migrated_sqlite: Path, spoilt: str
) -> None:
    path = tmp_path / "kitwright.db"
    shutil.copy(migrated_sqlite, path)
    with contextlib.closing(Database(f"sqlite:///{path}")) as database:
        numbers = issue(database)
        with database.write() as connection:
            for name in connection.scalars(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).all():
                connection.execute(text(f"DROP TRIGGER {name}"))
            connection.execute(text("UPDATE segment SET number = :spoilt WHERE id = 1"), {"spoilt": spoilt})
        following = NumberFollowing(database)
        assert everything(following.current()) == numbers[1:]
        assert following.unreadable == (spoilt,)
