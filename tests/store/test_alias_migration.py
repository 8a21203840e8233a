"""The tables of legacy marks and of looks at pieces: what they refuse, and down and up again with data."""

from __future__ import annotations

import pytest
from alembic.util import CommandError
from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import IntegrityError

from service.store import aliases, inspections
from service.store.aliases import NewAlias, WrongRow
from service.store.database import Database
from service.store.inspections import InspectionRow
from tests.factories import NOW, make_kit
from tests.store.test_sets_migration import step

REFUSED = [
    "DELETE FROM alias",
    "DELETE FROM alias_wrong",
    "UPDATE alias SET text = 'another'",
    "UPDATE alias SET segment_id = 2",
    "UPDATE alias_wrong SET reason = 'none'",
    "DELETE FROM inspection",
    "UPDATE inspection SET verdict = 'right'",
]


def mark(connection: Connection) -> None:
    """A segment with a legacy mark that was marked wrong."""
    new = NewAlias(kind="segment", subject_id=1, text="STERN 2", folded="stern2", source="painted on", note="")
    (row,) = aliases.add_aliases(connection, [(new, 1)], by="owner", at=NOW)
    aliases.mark_wrong(connection, row.id, WrongRow(reason="the one beside it", by="owner", at=NOW))


def look(connection: Connection) -> None:
    """A look that found a wrong plate."""
    inspections.add_inspection(
        connection,
        InspectionRow(
            piece_id=1,
            inspected_at=NOW,
            inspected_by="owner",
            plate="K7M4-XRAW",
            engraving=None,
            engraved_revision="B",
            thickness_mm=24.9,
            verdict="wrong",
            found="revision B is engraved",
        ),
    )


@pytest.mark.parametrize("statement", REFUSED)
def test_what_was_said_and_seen_is_kept(database: Database, statement: str) -> None:
    with database.write() as connection:
        make_kit(connection)
        mark(connection)
        look(connection)
    with pytest.raises(IntegrityError), database.write() as connection:
        connection.execute(text(statement))


def test_down_and_up_again_with_looks(database: Database) -> None:
    with database.write() as connection:
        make_kit(connection)
        look(connection)
        step(connection, "down", "0007")
        assert "inspection" not in inspect(connection).get_table_names()
        step(connection, "down", "0006")
        assert {"alias", "alias_wrong"}.isdisjoint(inspect(connection).get_table_names())
        step(connection, "up", "head")
        mark(connection)
        look(connection)
    assert database.ready()
    with pytest.raises(IntegrityError), database.write() as connection:
        connection.execute(text("DELETE FROM alias"))


def test_legacy_marks_on_record_are_never_taken_back(database: Database) -> None:
    with database.write() as connection:
        make_kit(connection)
        mark(connection)
    with pytest.raises(CommandError, match="never taken back"), database.write() as connection:
        step(connection, "down", "0006")
    assert database.ready()
    with database.read() as connection:
        assert connection.scalar(text("SELECT count(*) FROM alias")) == 1
