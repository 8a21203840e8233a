"""The step that gave records their time and place: up over issued kits, down again, and never over what it brought."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from alembic.util import CommandError
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

from alembic import command
from service.store import migrations
from service.store.database import Database
from service.store.placements import BEGINNING

ROWS = (
    "INSERT INTO customer (id, name) VALUES (1, 'Tarnquill Waters')",
    "INSERT INTO plant (id, code, name, customer_id) VALUES (1, 'OSV', 'Ostrey Vale', 1)",
    "INSERT INTO line (id, plant_id, ordinal, name) VALUES (1, 1, 4, 'line 4'), (2, 1, 7, 'hall 7')",
    (
        "INSERT INTO machine (id, born_line_id, machine_class, ordinal, name)"
        " VALUES (1, 1, 'FC', 1, 'filler-capper 1'), (2, 1, 'FC', 2, 'filler-capper 2'), (3, 1, 'LB', 1, 'labeller 1')"
    ),
    (
        "INSERT INTO placement (id, machine_id, line_id, since_at) VALUES"
        " (1, 1, 1, '2026-03-09T08:15:00Z'), (2, 2, 1, '2026-04-09T08:15:00Z'), (3, 3, 1, '2026-05-09T08:15:00Z')"
    ),
    (
        "INSERT INTO container (id, customer_id, design, nominal_digits, name, nominal, unit)"
        " VALUES (1, 1, 'A', 500, 'tall round 500 mL', '500', 'mL')"
    ),
    (
        "INSERT INTO kit (id, number, machine_id, container_id, stock_colour, status, issued_at, version)"
        " VALUES (1, 'OSV4-FC1-A500', 1, 1, 'green', 'issued', '2026-03-09T08:15:00Z', 1)"
    ),
)


def step(database: Database, target: str) -> None:
    """Migrate to a revision, up or down as need be."""
    with database.write() as connection:
        config = migrations._config()
        config.attributes["connection"] = connection
        (command.downgrade if target < "0005" else command.upgrade)(config, target)


@pytest.fixture
def older(database_url: str) -> Iterator[Database]:
    """A database as it stood before the step, with machines and a kit on record."""
    database = Database(database_url)
    with database.write() as connection:
        config = migrations._config()
        config.attributes["connection"] = connection
        command.upgrade(config, "0004")
        for row in ROWS:
            connection.execute(text(row))
    yield database
    database.close()


def since(connection: Connection) -> list[str]:
    """Since when each machine stands where it stands."""
    return list(connection.scalars(text("SELECT since_at FROM placement ORDER BY id")))


def test_the_first_of_its_class_stands_there_since_ever_and_a_later_one_since_it_came_on_record(
    older: Database,
) -> None:
    step(older, "0005")
    with older.read() as connection:
        assert since(connection) == [BEGINNING, "2026-04-09T08:15:00Z", BEGINNING]
        names = connection.execute(text("SELECT plant_id, line_id, name, since_at FROM place_name ORDER BY id")).all()
    assert [tuple(row) for row in names] == [
        (1, None, "Ostrey Vale", BEGINNING),
        (None, 1, "line 4", BEGINNING),
        (None, 2, "hall 7", BEGINNING),
    ]


def test_down_and_up_again_keeps_what_was_there(older: Database) -> None:
    step(older, "0005")
    step(older, "0004")
    with older.read() as connection:
        assert since(connection) == ["2026-03-09T08:15:00Z", "2026-04-09T08:15:00Z", BEGINNING]
    step(older, "0005")
    with older.read() as connection:
        assert since(connection) == [BEGINNING, "2026-04-09T08:15:00Z", BEGINNING]
        assert connection.scalar(text("SELECT count(*) FROM place_name")) == 3


@pytest.mark.parametrize("target", ["0005", "0004"])
def test_the_guards_of_placements_stand_on_every_step(older: Database, target: str) -> None:
    step(older, "0005")
    if target == "0004":
        step(older, target)
    with older.write() as connection:
        for statement in ("UPDATE placement SET since_at = '2020'", "DELETE FROM placement", "UPDATE line SET id = 9"):
            with pytest.raises(IntegrityError, match="kept for ever"), connection.begin_nested():
                connection.execute(text(statement))


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO place_name (id, plant_id, name, since_at) VALUES (9, 1, 'Ostrey Works', '2026-05-01')",
        (
            "INSERT INTO machine_survey (id, machine_id, ordinal, surveyed_at, recorded_at, surveyed_by, note,"
            " newest_kit_id) VALUES (1, 1, 1, '2026', '2026', 'fitter', '', 1)"
        ),
        (
            "INSERT INTO same_interface (id, first_machine_id, second_machine_id, assembly, interface, note,"
            " recorded_by, recorded_at) VALUES (1, 1, 2, 'SW2', 'hub bore', '', 'fitter', '2026')"
        ),
    ],
)
def test_what_the_step_brought_is_never_taken_back(older: Database, statement: str) -> None:
    step(older, "0005")
    with older.write() as connection:
        connection.execute(text(statement))
    with pytest.raises(CommandError, match="never taken back"):
        step(older, "0004")
    with older.read() as connection:
        assert (connection.scalar(text("SELECT count(*) FROM place_name")) or 0) >= 3
