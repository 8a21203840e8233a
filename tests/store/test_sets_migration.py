"""The tables of what became of pieces and kits: up and down with data in them, and what they refuse."""

from __future__ import annotations

import pytest
from alembic.config import Config
from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import IntegrityError

from alembic import command
from service.store import kits, migrations, pieces, sharing
from service.store.database import Database
from tests.factories import NOW, make_key, make_kit

REFUSED = [
    "DELETE FROM piece_end",
    "DELETE FROM retirement",
    "UPDATE piece_end SET note = 'nothing happened'",
    "UPDATE piece_end SET kind = 'worn'",
    "UPDATE retirement SET reason = 'another'",
    "UPDATE kit SET status = 'issued'",
    "UPDATE piece SET condition = 'fitted' WHERE id = 1",
    "UPDATE piece SET key = 'K7M4XRAW' WHERE id = 2",
    "UPDATE piece SET key = NULL WHERE id = 2",
    "UPDATE piece SET segment_id = 2 WHERE id = 1",
    "UPDATE piece SET id = 99 WHERE id = 2",
]


def step(connection: Connection, verb: str, revision: str) -> None:
    """What ``alembic upgrade`` and ``alembic downgrade`` do, in the caller's transaction."""
    config = Config()
    config.set_main_option("script_location", str(migrations.FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    (command.upgrade if verb == "up" else command.downgrade)(config, revision)


def fill(connection: Connection) -> None:
    """A retired kit with one scrapped piece and a count of like ones."""
    kit = make_kit(connection)
    pieces.end_piece(connection, 1, kind="broken", note="jam", at=NOW)
    pieces.add_piece(connection, segment_id=1, key=None, set_number=2, count=40, revision_id=None, condition="fitted")
    sharing.retire(connection, kit.id, reason="bottle is gone", at=NOW)


@pytest.mark.parametrize("statement", REFUSED)
def test_what_became_of_a_piece_or_a_kit_is_kept(database: Database, statement: str) -> None:
    with database.write() as connection:
        fill(connection)
    with pytest.raises(IntegrityError), database.write() as connection:
        connection.execute(text(statement))


def test_the_last_of_a_count_takes_a_key_once(database: Database) -> None:
    with database.write() as connection:
        fill(connection)
        (counted,) = [piece for piece in pieces.pieces_of(connection, 1) if piece.key is None]
        key = make_key()
        pieces.give_key(connection, counted, key)
        found = pieces.piece_by_key(connection, key)
    assert found is not None
    assert (found.id, found.count, found.set_number) == (counted.id, 1, 2)


def test_down_and_up_again_with_data(database: Database) -> None:
    with database.write() as connection:
        fill(connection)
        for later in ("0006", "0005"):
            step(connection, "down", later)
        assert {"piece_end", "retirement"}.isdisjoint(inspect(connection).get_table_names())
    # Without these tables the guards of before hold: no key is given afterwards.
    with pytest.raises(IntegrityError), database.write() as connection:
        connection.execute(text("UPDATE piece SET count = 1, key = 'K7M4XRAW' WHERE key IS NULL"))
    with pytest.raises(IntegrityError), database.write() as connection:
        connection.execute(text("DELETE FROM piece"))
    with database.write() as connection:
        step(connection, "up", "head")
        scrapped = next(piece for piece in pieces.pieces_of(connection, 1) if piece.id == 1)
        assert (scrapped.condition, scrapped.end) == ("scrapped", None)
        kit = kits.find_kit(connection, "OSV4-FC1-A500")
        assert kit is not None
        assert kit.retired
    assert database.ready()
