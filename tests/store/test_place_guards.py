"""What the database itself refuses of placements, names, surveys and words about machines, on both kinds."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

from service.rules.survey import Dimension
from service.store.database import Database
from service.store.interfaces import add_interface, withdraw_interface
from service.store.placements import add_placement, end_placement, placements_of
from service.store.surveys import add_reuse_check, add_survey
from tests.factories import NOW, make_kit, make_machine

LATER = "2026-06-01T00:00:00Z"
TABLES = ["place_name", "machine_survey", "survey_dimension", "same_interface", "reuse_check"]

# On SQLite the guard against replacing speaks before the UNIQUE does.
TAKEN = re.compile("unique|kept for ever: no replace", re.IGNORECASE)


@pytest.fixture(scope="module")
def filled(module_database: Database) -> Database:
    """Two machines, one of them moved; a survey, a kit checked with it, and a word about both."""
    with module_database.write() as connection:
        kit = make_kit(connection)
        other = make_machine(connection, ordinal=2)
        end_placement(connection, 1, LATER)
        add_placement(connection, machine_id=kit.machine.id, line_id=None, since_at=LATER, until_at=None)
        add_survey(
            connection,
            machine_id=kit.machine.id,
            surveyed_at=NOW,
            recorded_at=NOW,
            surveyed_by="fitter",
            note="",
            dimensions=[Dimension("pitch_mm", 104.72, "measured"), Dimension("rotation", "clockwise", "measured")],
        )
        add_reuse_check(connection, kit_id=kit.id, survey_id=1, checked_by="fitter", checked_at=NOW, note="")
        add_interface(
            connection,
            machine_ids=(other.id, kit.machine.id),
            assembly="SW2",
            interface="hub bore",
            note="",
            recorded_by="fitter",
            recorded_at=NOW,
        )
    return module_database


@pytest.fixture
def full(filled: Database) -> Iterator[Connection]:
    """A write transaction that leaves no trace."""
    with filled.write() as connection:
        yield connection
        connection.rollback()


def refused(connection: Connection, statement: str) -> str:
    """The reason with which the database refuses a statement; the transaction goes on."""
    with pytest.raises(IntegrityError) as caught, connection.begin_nested():
        connection.execute(text(statement))
    return str(caught.value.orig)


@pytest.mark.parametrize("table", TABLES)
def test_no_row_of_these_is_ever_deleted_or_emptied(full: Connection, table: str) -> None:
    before = full.scalar(text(f"SELECT count(*) FROM {table}"))
    assert before, f"{table} is empty, the test would prove nothing"
    assert f"{table} is kept for ever: no delete" in refused(full, f"DELETE FROM {table}")
    if full.dialect.name == "postgresql":
        assert "kept for ever: no truncate" in refused(full, f"TRUNCATE {table} CASCADE")
    assert full.scalar(text(f"SELECT count(*) FROM {table}")) == before


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("place_name", "name = 'Elsewhere'"),
        ("place_name", "since_at = '2020-01-01T00:00:00Z'"),
        ("place_name", "plant_id = 99"),
        ("place_name", "line_id = 99"),
        ("machine_survey", "machine_id = 2"),
        ("machine_survey", "ordinal = 9"),
        ("machine_survey", "surveyed_at = '2020-01-01T00:00:00Z'"),
        ("machine_survey", "recorded_at = '2020-01-01T00:00:00Z'"),
        ("machine_survey", "surveyed_by = 'nobody'"),
        ("machine_survey", "note = 'other'"),
        ("machine_survey", "newest_kit_id = 9"),
        ("survey_dimension", "figure = 1.0"),
        ("survey_dimension", "word = 'anticlockwise'"),
        ("survey_dimension", "grade = 'from_drawing'"),
        ("same_interface", "assembly = 'SW'"),
        ("same_interface", "interface = 'other'"),
        ("same_interface", "recorded_by = 'nobody'"),
        ("same_interface", "second_machine_id = 99"),
        ("reuse_check", "checked_by = 'nobody'"),
        ("reuse_check", "survey_id = 99"),
        ("reuse_check", "kit_id = 99"),
    ],
)
def test_what_was_recorded_is_never_changed(full: Connection, table: str, change: str) -> None:
    assert f"{table} is kept for ever: no update" in refused(full, f"UPDATE {table} SET {change}")


@pytest.mark.parametrize(
    ("since", "until"),
    [
        ("'2026-04-01T00:00:00Z'", "NULL"),
        ("'2026-04-01T00:00:00Z'", "'2026-05-01T00:00:00Z'"),
        ("'2020-01-01T00:00:00Z'", "'2026-04-01T00:00:00Z'"),
        ("'2020-01-01T00:00:00Z'", "NULL"),
        (f"'{LATER}'", "NULL"),
        ("'2026-07-01T00:00:00Z'", "'2026-08-01T00:00:00Z'"),
    ],
)
def test_a_machine_is_never_in_two_places_at_once(full: Connection, since: str, until: str) -> None:
    insert = "INSERT INTO placement (id, machine_id, line_id, since_at, until_at) VALUES"
    reason = refused(full, f"{insert} (9, 1, 1, {since}, {until})")
    assert "placement overlaps another" in reason or (until == "NULL" and TAKEN.search(reason))
    # Of another machine that never stood anywhere else before, a stay before its first one is no overlap.
    full.execute(text(f"{insert} (9, 2, 1, '2020-01-01T00:00:00Z', '{NOW}')"))


def test_an_end_that_is_recorded_only_moves_to_an_earlier_time(full: Connection) -> None:
    for end in ("NULL", "'2027-01-01T00:00:00Z'"):
        assert "placement is kept for ever" in refused(full, f"UPDATE placement SET until_at = {end} WHERE id = 1")
    full.execute(text("UPDATE placement SET until_at = '2026-05-01T00:00:00Z' WHERE id = 1"))
    assert placements_of(full, [1])[1][0].until_at == "2026-05-01T00:00:00Z"


def test_a_stay_that_ended_when_it_began_is_in_nobodys_way(full: Connection) -> None:
    full.execute(text(f"UPDATE placement SET until_at = '{LATER}' WHERE since_at = '{LATER}'"))
    add_placement(full, machine_id=1, line_id=1, since_at=LATER, until_at=None)


def test_a_withdrawn_word_stays_withdrawn_and_may_be_said_anew(full: Connection) -> None:
    again = (
        "INSERT INTO same_interface (id, first_machine_id, second_machine_id, assembly, interface, note, recorded_by,"
        " recorded_at) VALUES (9, 1, 2, 'SW2', 'hub bore', '', 'fitter', '2026')"
    )
    assert TAKEN.search(refused(full, again))
    withdraw_interface(full, 1, at=LATER, reason="measured again")
    assert "kept for ever" in refused(full, "UPDATE same_interface SET withdrawn_at = NULL, withdrawn_reason = NULL")
    full.execute(text(again))


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO place_name (id, plant_id, line_id, name, since_at) VALUES (9, 1, 1, 'both', '2026')",
        "INSERT INTO place_name (id, plant_id, line_id, name, since_at) VALUES (9, NULL, NULL, 'none', '2026')",
        "INSERT INTO place_name (id, plant_id, line_id, name, since_at) VALUES (9, 1, NULL, '', '2026')",
        "INSERT INTO survey_dimension (survey_id, name, figure, word, grade) VALUES (1, 'x', 1, 'one', 'measured')",
        "INSERT INTO survey_dimension (survey_id, name, figure, word, grade) VALUES (1, 'x', NULL, NULL, 'measured')",
        "INSERT INTO survey_dimension (survey_id, name, figure, word, grade) VALUES (1, 'x', 1, NULL, 'guessed')",
        "UPDATE same_interface SET withdrawn_at = '2026'",
        "UPDATE placement SET until_at = '2020-01-01T00:00:00Z' WHERE id = 1",
    ],
)
def test_values_outside_the_rules_are_refused(full: Connection, statement: str) -> None:
    assert "check" in refused(full, statement).lower()


@pytest.mark.parametrize(
    "statement",
    [
        (
            "INSERT INTO place_name (id, plant_id, name, since_at) SELECT 99, plant_id, 'twice', since_at"
            " FROM place_name WHERE plant_id IS NOT NULL"
        ),
        (
            "INSERT INTO machine_survey (id, machine_id, ordinal, surveyed_at, recorded_at, surveyed_by, note,"
            " newest_kit_id) VALUES (9, 1, 1, '2026', '2026', 'fitter', '', 0)"
        ),
    ],
)
def test_no_two_names_of_one_moment_and_no_two_surveys_of_one_revision(full: Connection, statement: str) -> None:
    assert TAKEN.search(refused(full, statement))
