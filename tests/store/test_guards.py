"""What the database itself refuses, whoever asks: every UNIQUE, CHECK and trigger, on both kinds."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

from service.store.cutfiles import withdraw_revision
from service.store.database import Database
from service.store.events import record
from service.store.marks import NewMark, intend_marks
from service.store.reorders import add_reorder
from service.store.segments import void_segment
from tests.factories import NOW, make_container, make_kit, make_revision

CONTAINER = "INSERT INTO container (id, customer_id, design, nominal_digits, name, nominal, unit)"
KIT = "INSERT INTO kit (id, number, machine_id, container_id, stock_colour, status, issued_at, version)"
REORDER = (
    "INSERT INTO reorder (id, segment_id, quantity, reason, prefer, outcome, revision_id, decision, state, ordered_at)"
)
KEPT = [
    "plant",
    "line",
    "machine",
    "placement",
    "container",
    "kit",
    "assembly",
    "segment",
    "piece",
    "issued_key",
    "cut_file",
    "revision",
    "revision_change",
    "mark",
    "reorder",
    "event",
]


@pytest.fixture(scope="module")
def filled(module_database: Database) -> Database:
    """A database that has at least one row in every table that is kept for ever."""
    with module_database.write() as connection:
        kit = make_kit(connection)
        make_container(connection, customer_id=kit.plant.customer_id, design="C")
        revision = make_revision(connection, letter="A", ordinal=1, joints_changed=["SW2-U4"])
        intend_marks(
            connection,
            [NewMark(segment_id=1, piece_id=1, kind="nameplate", form="nameplate-60x22", text="K7M4XRAW", made_at=NOW)],
        )
        add_reorder(
            connection,
            segment_id=1,
            damaged_piece_id=1,
            new_piece_id=None,
            quantity=1,
            reason="crushed",
            prefer="as_built",
            outcome="exact",
            revision_id=revision.id,
            decision="{}",
            ordered_at=NOW,
        )
        record(connection, at=NOW, actor="assembler", verb="issue", subject="OSV4-FC1-A500", before={}, after={"n": 4})
        connection.execute(text("INSERT INTO code (id, kind, code, name) VALUES (1, 'assembly', 'VV', 'vane')"))
        connection.execute(text("INSERT INTO shop (id, name, address, telephone) VALUES (1, '', '', '')"))
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


def says_taken(reason: str) -> bool:
    """Whether another row stands in the way: the guard against replacing speaks before SQLite's UNIQUE does."""
    return "unique" in reason.lower() or "kept for ever: no replace" in reason


@pytest.mark.parametrize("table", KEPT)
def test_no_row_of_these_is_ever_deleted(full: Connection, table: str) -> None:
    before = full.scalar(text(f"SELECT count(*) FROM {table}"))
    assert before, f"{table} is empty, the test would prove nothing"
    assert f"{table} is kept for ever: no delete" in refused(full, f"DELETE FROM {table}")
    assert full.scalar(text(f"SELECT count(*) FROM {table}")) == before


@pytest.mark.parametrize("table", KEPT)
def test_no_table_of_these_is_ever_emptied_at_once(full: Connection, table: str) -> None:
    if full.dialect.name == "postgresql":
        assert "is kept for ever: no truncate" in refused(full, f"TRUNCATE {table} CASCADE")
    else:
        # SQLite empties a table at once when DELETE has no condition, and counts the trigger all the same.
        assert "is kept for ever: no delete" in refused(full, f"DELETE FROM {table} WHERE 1")


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("plant", "code = 'MRG'"),
        ("line", "ordinal = 9"),
        ("line", "plant_id = 99"),
        ("machine", "machine_class = 'LB'"),
        ("machine", "ordinal = 9"),
        ("machine", "born_line_id = 99"),
        ("placement", "line_id = NULL"),
        ("placement", "since_at = '2020-01-01T00:00:00Z'"),
        ("container", "design = 'F'"),
        ("container", "nominal_digits = 330"),
        ("container", "customer_id = 99"),
        ("kit", "number = 'OSV4-FC1-C500'"),
        ("kit", "machine_id = 99"),
        ("kit", "container_id = 2"),
        ("kit", "issued_at = '2020-01-01T00:00:00Z'"),
        ("assembly", "code = 'TS'"),
        ("assembly", "ordinal = 9"),
        ("assembly", "kit_id = 99"),
        ("segment", "number = 'OSV4-FC1-A500-SW2-U9-02'"),
        ("segment", "key = 'R8CN5JF3'"),
        ("segment", "assembly_id = 99"),
        ("segment", "kit_id = 99"),
        ("segment", "deck = 'L'"),
        ("segment", "ordinal = 9"),
        ("segment", "id = 99"),
        ("piece", "key = 'R8CN5JF3'"),
        ("piece", "segment_id = 2"),
        ("issued_key", "key = 'R8CN5JF3'"),
        ("issued_key", "segment_id = 4"),
        ("issued_key", "piece_id = 4"),
        ("cut_file", "name = 'other.dxf'"),
        ("revision", f"sha256 = '{'0' * 64}'"),
        ("revision", "letter = 'Y'"),
        ("revision", "ordinal = 9"),
        ("revision", "cut_file_id = 99"),
        ("revision", "size_bytes = 9"),
        ("revision", "units = 'in'"),
        ("revision", "note = 'other'"),
        ("revision", "released_at = '2020-01-01T00:00:00Z'"),
        ("revision_change", "name = 'SW2-U5'"),
        ("revision_change", "kind = 'interface'"),
        ("mark", "text = 'OSV4'"),
        ("mark", "segment_id = 2"),
        ("mark", "made_at = '2020-01-01T00:00:00Z'"),
        ("event", "at = '2020-01-01T00:00:00Z'"),
        ("event", "actor = 'nobody'"),
        ("event", "verb = 'undo'"),
        ("event", "subject = 'OSV5'"),
        ("event", "before = NULL"),
        ("event", "after = NULL"),
    ],
)
def test_no_identity_and_no_journal_line_is_ever_changed(full: Connection, table: str, change: str) -> None:
    name = change.partition(" = ")[0]
    # One row, the newest: where a change of all would break a UNIQUE first, the test would prove nothing.
    key = {"issued_key": "key", "revision_change": "revision_id"}.get(table, "id")
    one = f"{key} = (SELECT max({key}) FROM {table})"
    before = full.scalar(text(f"SELECT {name} FROM {table} WHERE {one}"))
    assert f"{table} is kept for ever: no update" in refused(full, f"UPDATE {table} SET {change} WHERE {one}")
    assert full.scalar(text(f"SELECT {name} FROM {table} WHERE {one}")) == before


def test_the_same_value_again_is_no_change(full: Connection) -> None:
    full.execute(text("UPDATE segment SET number = number, key = key, thickness_mm = 24.8"))
    assert full.scalar(text("SELECT min(thickness_mm) FROM segment")) == 24.8


def test_no_row_is_replaced_by_another(full: Connection) -> None:
    if full.dialect.name == "sqlite":
        number = full.scalar(text("SELECT number FROM segment WHERE id = 1"))
        columns = [row[1] for row in full.execute(text("PRAGMA table_info(segment)"))]
        copied = ", ".join({"id": "77", "key": "'R8CN5JF3'"}.get(name, name) for name in columns)
        replace = f"INSERT OR REPLACE INTO segment ({', '.join(columns)}) SELECT {copied} FROM segment WHERE id = 1"
        assert "segment is kept for ever: no replace" in refused(full, replace)
        assert full.scalar(text("SELECT id FROM segment WHERE number = :number"), {"number": number}) == 1
        assert "plant is kept for ever" in refused(full, "UPDATE OR REPLACE plant SET code = 'MRG'")
    else:
        upsert = (
            "INSERT INTO issued_key (key, segment_id, piece_id)"
            " SELECT key, 4, NULL FROM issued_key WHERE segment_id = 1 LIMIT 1"
            " ON CONFLICT (key) DO UPDATE SET segment_id = excluded.segment_id"
        )
        assert "issued_key is kept for ever: no update" in refused(full, upsert)


def test_a_voided_place_never_comes_back(full: Connection) -> None:
    void_segment(full, 1, "cut into quarters")
    assert "segment is kept for ever" in refused(full, "UPDATE segment SET status = 'active', void_reason = NULL")


def test_a_withdrawn_revision_never_comes_back(full: Connection) -> None:
    withdraw_revision(full, 1, NOW, "pocket too tight")
    assert "revision is kept for ever" in refused(
        full, "UPDATE revision SET withdrawn_at = NULL, withdrawn_reason = NULL WHERE id = 1"
    )


@pytest.mark.parametrize(
    "changed",
    [
        {"key": "'R8CN5JF3'", "ordinal": "99"},  # the number is taken
        {"number": "'N'", "ordinal": "99"},  # the key is taken
        {"number": "'N'", "key": "'R8CN5JF3'"},  # the place is taken
    ],
)
def test_numbers_keys_and_places_are_unique(full: Connection, changed: dict[str, str]) -> None:
    columns = [column["name"] for column in full.dialect.get_columns(full, "segment")]
    values = {name: name for name in columns} | {"id": "77"} | changed
    reason = refused(
        full,
        f"INSERT INTO segment ({', '.join(columns)})"
        f" SELECT {', '.join(values[name] for name in columns)} FROM segment WHERE id = 1",
    )
    assert says_taken(reason)


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO issued_key (key, segment_id) SELECT key, 2 FROM segment WHERE id = 1",
        "INSERT INTO plant (id, code, name, customer_id) VALUES (9, 'OSV', 'twice', 1)",
        "INSERT INTO customer (id, name) VALUES (9, 'Tarnquill Waters')",
        "INSERT INTO line (id, plant_id, ordinal, name) VALUES (9, 1, 4, 'twice')",
        "INSERT INTO machine (id, born_line_id, machine_class, ordinal, name) VALUES (9, 1, 'FC', 1, 'twice')",
        f"{CONTAINER} VALUES (9, 1, 'A', 500, 'twice', '500', 'mL')",
        f"{KIT} VALUES (9, 'OSV4-FC1-A500', 1, 2, 'green', 'issued', '2026', 1)",
        f"{KIT} VALUES (9, 'N', 1, 1, 'green', 'issued', '2026', 1)",
        "INSERT INTO assembly (id, kit_id, code, ordinal, name, position) VALUES (9, 1, 'SW', 2, 'twice', 9)",
        "INSERT INTO cut_file (id, name) VALUES (9, 'osv4-fc1-a500-sw2-u3.dxf')",
        "INSERT INTO joint (id, first_id, second_id, inferred) VALUES (9, 1, 2, false)",
        "INSERT INTO code (id, kind, code, name) VALUES (9, 'assembly', 'VV', 'twice')",
    ],
)
def test_what_is_on_record_is_not_registered_twice(full: Connection, statement: str) -> None:
    assert says_taken(refused(full, statement))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE segment SET quantity = 0",
        "UPDATE segment SET hand = 'left'",
        "UPDATE segment SET thickness_mm = 0",
        "UPDATE segment SET measured_thickness_mm = -1",
        "UPDATE segment SET mass_kg = -0.1",
        "UPDATE segment SET status = 'gone'",
        "UPDATE segment SET status = 'voided'",
        "UPDATE segment SET void_reason = 'still active'",
        "UPDATE kit SET status = 'deleted'",
        "UPDATE kit SET version = 0",
        "UPDATE machine SET rotation = 'left'",
        "UPDATE placement SET until_at = '2020-01-01T00:00:00Z'",
        "UPDATE container SET min_body_mm = 70",
        "UPDATE piece SET count = 0",
        "UPDATE piece SET count = 2",
        "UPDATE piece SET set_number = 0",
        "UPDATE piece SET condition = 'lost'",
        "UPDATE mark SET state = 'printed'",
        f"{REORDER} VALUES (9, 1, 0, '', '', 'exact', 1, '', 'open', '2026')",
        f"{REORDER} VALUES (9, 1, 1, '', '', 'maybe', 1, '', 'open', '2026')",
        f"{REORDER} VALUES (9, 1, 1, '', '', 'no_record', 1, '', 'open', '2026')",
        f"{REORDER} VALUES (9, 1, 1, '', '', 'exact', NULL, '', 'open', '2026')",
        "UPDATE reorder SET state = 'lost'",
        "INSERT INTO joint (id, first_id, second_id, clearance_mm, inferred) VALUES (9, 1, 4, -0.1, false)",
        "INSERT INTO joint (id, first_id, second_id, inferred) VALUES (9, 4, 1, false)",
        "UPDATE revision SET withdrawn_at = '2026'",
        "UPDATE revision SET withdrawn_reason = 'no date'",
        "UPDATE revision SET area_mm2 = 0",
        "INSERT INTO shop (id, name, address, telephone) VALUES (2, '', '', '')",
        "INSERT INTO code (id, kind, code, name) VALUES (9, 'colour', 'VV', 'no such table')",
        "INSERT INTO line (id, plant_id, ordinal, name) VALUES (9, 1, 0, 'ordinals begin at 1')",
        "INSERT INTO plant (id, code, name, customer_id) VALUES (9, 'OS', 'short', 1)",
        "INSERT INTO issued_key (key, segment_id) VALUES ('SHORT', 1)",
        "INSERT INTO revision_change (revision_id, kind, name) VALUES (1, 'bolt', 'no such kind')",
    ],
)
def test_values_outside_the_rules_are_refused(full: Connection, statement: str) -> None:
    assert "check" in refused(full, statement).lower()


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO plant (id, code, name, customer_id) VALUES (9, 'MRG', 'nobody''s', 99)",
        "INSERT INTO issued_key (key, segment_id) VALUES ('R8CN5JF3', 99)",
        "UPDATE piece SET revision_id = 99",
        # An assembly of another kit, a revision of another cut file.
        "INSERT INTO kit_container (kit_id, container_id) VALUES (1, 99)",
        "INSERT INTO shared_segment (kit_id, segment_id) VALUES (1, 99)",
        "UPDATE segment SET revision_id = 2",
        "UPDATE segment SET cut_file_id = 2",
    ],
)
def test_references_hold(full: Connection, statement: str) -> None:
    assert "foreign key" in refused(full, statement).lower()
