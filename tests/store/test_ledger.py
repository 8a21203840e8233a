"""The ledger in a real database: tampered with behind its triggers, every row that was touched is named."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, select, text

from service.store.chain import GENESIS, Anchor, ChainedRow, event_sha256
from service.store.database import Database
from service.store.events import NewEvent, record, record_many
from service.store.ledger import LedgerReport, tip, verify
from service.store.tables import Event, table_of
from tests.factories import NOW

ROWS = 9
COLUMNS = [column.name for column in table_of(Event).columns]


@pytest.fixture(scope="module")
def filled(module_database: Database) -> Database:
    """A ledger of unlike rows, written by one call each and by calls of several."""
    with module_database.write() as connection:
        record(connection, at=NOW, actor="assembler", verb="issue", subject="OSV4-FC1-A500", after={"segments": 4})
        record_many(connection, [make_event(number) for number in range(2, ROWS)])
        record(connection, at=NOW, actor="desk", verb="void", subject="OSV4-FC1-A500", before={"status": "active"})
    return module_database


def make_event(number: int) -> NewEvent:
    """An event unlike others, with something before and after."""
    return NewEvent(
        at=NOW, actor="desk", verb="correct", subject="Größe", before={"n": number}, after=[number, "µm", None]
    )


@pytest.fixture
def unguarded(filled: Database) -> Iterator[Connection]:
    """A transaction of somebody who took the triggers away; it leaves no trace."""
    with filled.write() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("ALTER TABLE event DISABLE TRIGGER USER"))
        else:
            triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
            for (name,) in connection.execute(text(triggers)).all():
                connection.execute(text(f"DROP TRIGGER {name}"))
        yield connection
        connection.rollback()


def named(report: LedgerReport) -> list[tuple[str, int, int]]:
    return [(fault.kind, fault.id, fault.last_id) for fault in report.faults]


def test_a_ledger_that_was_only_written_is_whole(filled: Database) -> None:
    seen: list[int] = []
    with filled.read() as connection:
        last = tip(connection)
        report = verify(connection, [last.anchor, Anchor(0, GENESIS)], read=seen.append)
    assert report.whole, report.faults
    assert (report.rows, report.tip, seen) == (ROWS, last, [ROWS])
    assert (last.id, last.at) == (ROWS, NOW)


def test_rows_are_chained_as_documented(filled: Database) -> None:
    with filled.read() as connection:
        rows = connection.execute(select(table_of(Event)).order_by(Event.id)).mappings().all()
    previous = "0" * 64
    for row in rows:
        said = {name: row[name] for name in COLUMNS if name not in ("id", "previous_sha256", "sha256")}
        assert row["previous_sha256"] == previous
        assert row["sha256"] == event_sha256(id_=row["id"], previous=previous, **said)
        previous = row["sha256"]


@pytest.mark.parametrize("row", [1, 5, ROWS])
@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("at", "'2020-01-01T00:00:00Z'"),
        ("actor", "'nobody'"),
        ("actor", "actor || ' '"),
        ("verb", "'undo'"),
        ("subject", "'OSV5'"),
        ("before", "'{}'"),
        ("after", "'null'"),
        ("after", "'[1, 2]'"),
        ("previous_sha256", f"'{'e' * 64}'"),
        ("sha256", f"'{'e' * 64}'"),
        ("sha256", "upper(sha256)"),
    ],
)
def test_a_changed_value_of_any_column_names_its_row(unguarded: Connection, row: int, column: str, value: str) -> None:
    unguarded.execute(text(f"UPDATE event SET {column} = {value} WHERE id = :row"), {"row": row})
    assert named(verify(unguarded)) == [("changed", row, row)]


@pytest.mark.parametrize("column", ["before", "after"])
def test_a_value_that_was_emptied_names_its_row(unguarded: Connection, column: str) -> None:
    unguarded.execute(text(f"UPDATE event SET {column} = NULL WHERE id = 5"))
    assert named(verify(unguarded)) == [("changed", 5, 5)]
    unguarded.execute(text(f"UPDATE event SET {column} = '' WHERE id = 5"))
    assert named(verify(unguarded)) == [("changed", 5, 5)]


def test_every_column_is_under_the_hash(unguarded: Connection) -> None:
    tried = {"id", "at", "actor", "verb", "subject", "before", "after", "previous_sha256", "sha256"}
    assert set(COLUMNS) == tried == set(ChainedRow.__dataclass_fields__), "a new column has to be hashed and tried here"


def test_a_renumbered_row_leaves_a_hole_and_does_not_fit_its_new_place(unguarded: Connection) -> None:
    unguarded.execute(text("UPDATE event SET id = 77 WHERE id = 5"))
    report = verify(unguarded)
    assert ("missing", 5, 5) in named(report)
    assert ("changed", 77, 77) in named(report)


@pytest.mark.parametrize(("first", "last"), [(1, 1), (1, 3), (4, 4), (4, 7), (8, 8)])
def test_missing_rows_are_named(unguarded: Connection, first: int, last: int) -> None:
    unguarded.execute(text("DELETE FROM event WHERE id BETWEEN :first AND :last"), {"first": first, "last": last})
    assert named(verify(unguarded)) == [("missing", first, last)]


def test_rows_cut_off_at_the_end_are_seen_by_a_tip_that_was_kept(unguarded: Connection) -> None:
    kept = tip(unguarded).anchor
    unguarded.execute(text("DELETE FROM event WHERE id > 6"))
    assert verify(unguarded).whole
    report = verify(unguarded, [kept])
    assert named(report) == [("cut_off", 7, ROWS)]
    assert report.faults[0].message == f"rows 7 to {ROWS} are cut off at the end: row {ROWS} was anchored"


def test_an_emptied_ledger_is_seen_by_a_tip_that_was_kept(unguarded: Connection) -> None:
    kept = tip(unguarded).anchor
    unguarded.execute(text("TRUNCATE event" if unguarded.dialect.name == "postgresql" else "DELETE FROM event"))
    assert named(verify(unguarded, [kept])) == [("cut_off", 1, ROWS)]


def test_two_rows_that_changed_places_are_named(unguarded: Connection) -> None:
    for old, new in ((3, -3), (7, 3), (-3, 7)):
        unguarded.execute(text("UPDATE event SET id = :new WHERE id = :old"), {"old": old, "new": new})
    assert {fault.id for fault in verify(unguarded).faults} == {3, 7}


def test_a_forged_row_that_others_made_room_for_is_found(unguarded: Connection) -> None:
    for row in range(ROWS, 4, -1):
        unguarded.execute(text("UPDATE event SET id = :new WHERE id = :old"), {"old": row, "new": row + 1})
    forge(unguarded, 5)
    assert {fault.id for fault in verify(unguarded).faults} == set(range(6, ROWS + 2))


def test_a_forged_row_at_the_end_is_found_unless_it_is_chained(unguarded: Connection) -> None:
    unguarded.execute(
        text(
            "INSERT INTO event (id, at, actor, verb, subject, previous_sha256, sha256)"
            " SELECT 10, at, 'nobody', verb, subject, sha256, sha256 FROM event WHERE id = 9"
        )
    )
    assert named(verify(unguarded)) == [("changed", 10, 10)]


def test_a_row_written_again_with_its_hash_is_given_away_by_the_next(unguarded: Connection) -> None:
    unguarded.execute(text("DELETE FROM event WHERE id = 5"))
    forge(unguarded, 5)
    assert named(verify(unguarded)) == [("changed", 5, 5)]


def test_a_last_row_written_again_with_its_hash_is_given_away_by_a_tip_that_was_kept(unguarded: Connection) -> None:
    kept = tip(unguarded).anchor
    unguarded.execute(text("DELETE FROM event WHERE id = 9"))
    forge(unguarded, 9)
    assert verify(unguarded).whole
    assert named(verify(unguarded, [kept])) == [("rewritten", 9, 9)]


def forge(connection: Connection, row: int) -> None:
    """A row of somebody who knows how rows are chained."""
    previous = connection.scalar(text("SELECT sha256 FROM event WHERE id = :id"), {"id": row - 1}) or GENESIS
    said = {"at": NOW, "actor": "nobody", "verb": "forge", "subject": "OSV4", "before": None, "after": None}
    sha256 = event_sha256(id_=row, previous=previous, **said)  # type: ignore[arg-type]  # arguments by name
    values = {**said, "id": row, "previous_sha256": previous, "sha256": sha256}
    connection.execute(table_of(Event).insert(), values)


# PostgreSQL holds nothing but text where text belongs.
@pytest.mark.parametrize("module_database", ["sqlite"], indirect=True)
@pytest.mark.parametrize("value", ["X'FF41'", "CAST(X'FF41' AS TEXT)", "X'6465736B'"])
@pytest.mark.parametrize("column", ["at", "actor", "after", "before"])
def test_bytes_that_are_no_text_name_their_row_and_do_not_end_the_verification(
    unguarded: Connection, column: str, value: str
) -> None:
    unguarded.execute(text(f"UPDATE event SET {column} = {value} WHERE id = 5"))
    assert named(verify(unguarded)) == [("changed", 5, 5)]


@settings(max_examples=25, deadline=None)
@given(sizes=st.lists(st.integers(0, 40), min_size=1, max_size=6))
def test_calls_of_any_sizes_make_one_chain(filled: Database, sizes: list[int]) -> None:
    with filled.write() as connection:
        for size in sizes:
            record_many(connection, [make_event(number) for number in range(size)])
        report = verify(connection)
        connection.rollback()
    assert report.whole
    assert report.rows == ROWS + sum(sizes)


def test_a_ledger_longer_than_a_batch_is_read_in_batches(filled: Database) -> None:
    seen: list[int] = []
    with filled.write() as connection:
        record_many(connection, [make_event(number) for number in range(4_500)])
        report = verify(connection, read=seen.append)
        connection.rollback()
    assert report.whole
    assert seen == [2_000, 4_000, 4_500 + ROWS]


def test_what_the_database_has_no_room_for_adds_no_row(database: Database) -> None:
    def write_half_a_letter() -> None:
        with database.write() as connection:
            record(connection, at=NOW, actor="desk", verb="correct", subject="half \ud800")

    with pytest.raises(Exception, match="cannot hold"):
        write_half_a_letter()
    with database.read() as connection:
        assert tip(connection).id == 0
        assert verify(connection).whole
