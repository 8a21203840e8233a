"""Dated names of plants and lines, surveys of machines, machines that are the same somewhere; placements never overlap.

A machine that was the first of its class on its line stands there since a time that nobody wrote down, not since its
first kit was numbered: such a placement begins at the beginning of time.
"""

from __future__ import annotations

from collections.abc import Iterator

import sqlalchemy as sa
from alembic.util import CommandError

from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_BEGINNING = "0001-01-01T00:00:00Z"
_TABLES = ("reuse_check", "same_interface", "survey_dimension", "machine_survey", "place_name")
_NEVER_CHANGED = {
    "place_name": ("id", "plant_id", "line_id", "name", "since_at"),
    "machine_survey": (
        "id", "machine_id", "ordinal", "surveyed_at", "recorded_at", "surveyed_by", "note", "newest_kit_id",
    ),
    "survey_dimension": ("survey_id", "name", "figure", "word", "grade"),
    "same_interface": (
        "id", "first_machine_id", "second_machine_id", "assembly", "interface", "note", "recorded_by", "recorded_at",
    ),
    "reuse_check": ("id", "kit_id", "survey_id", "checked_by", "checked_at", "note"),
}  # fmt: skip
# States that have no way back: a withdrawn word stays withdrawn, an end that was set moves only to an earlier time.
_NO_WAY_BACK = {
    "same_interface": "OLD.withdrawn_at IS NOT NULL AND NEW.withdrawn_at IS NULL",
    "placement": "OLD.until_at IS NOT NULL AND (NEW.until_at IS NULL OR NEW.until_at > OLD.until_at)",
}
# ISO 8601 texts of one form sort as their times do; '9999' comes after every one of them.
_OVERLAP = """
    SELECT 1 FROM placement AS other
    WHERE other.machine_id = NEW.machine_id AND other.id <> NEW.id
      AND (NEW.until_at IS NULL OR NEW.until_at > NEW.since_at)
      AND (other.until_at IS NULL OR other.until_at > other.since_at)
      AND other.since_at < coalesce(NEW.until_at, '9999') AND coalesce(other.until_at, '9999') > NEW.since_at
"""
_ON_SERVER = f"""
CREATE FUNCTION one_place_at_a_time() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS ({_OVERLAP}) THEN
        RAISE EXCEPTION 'placement overlaps another of this machine' USING ERRCODE = '23000';
    END IF;
    RETURN NEW;
END
$$
"""


def upgrade() -> None:
    _make_tables()
    _make_triggers()
    _place_names()
    _beginnings()


def _make_tables() -> None:
    op.create_table(
        "place_name",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("plant_id", sa.Integer(), nullable=True),
        sa.Column("line_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("since_at", sa.String(length=27), nullable=False),
        sa.CheckConstraint("(plant_id IS NULL) <> (line_id IS NULL)", name=op.f("ck_place_name_one_place")),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_place_name_name")),
        sa.ForeignKeyConstraint(["plant_id"], ["plant.id"], name=op.f("fk_place_name_plant_id")),
        sa.ForeignKeyConstraint(["line_id"], ["line.id"], name=op.f("fk_place_name_line_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place_name")),
        sa.UniqueConstraint("plant_id", "since_at", name=op.f("uq_place_name_plant_id_since_at")),
        sa.UniqueConstraint("line_id", "since_at", name=op.f("uq_place_name_line_id_since_at")),
    )
    op.create_table(
        "machine_survey",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("machine_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("surveyed_at", sa.String(length=27), nullable=False),
        sa.Column("recorded_at", sa.String(length=27), nullable=False),
        sa.Column("surveyed_by", sa.String(length=120), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("newest_kit_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_machine_survey_ordinal")),
        sa.ForeignKeyConstraint(["machine_id"], ["machine.id"], name=op.f("fk_machine_survey_machine_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machine_survey")),
        sa.UniqueConstraint("machine_id", "ordinal", name=op.f("uq_machine_survey_machine_id_ordinal")),
    )
    op.create_table(
        "survey_dimension",
        sa.Column("survey_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("figure", sa.Double(), nullable=True),
        sa.Column("word", sa.String(length=16), nullable=True),
        sa.Column("grade", sa.String(length=16), nullable=False),
        sa.CheckConstraint("(figure IS NULL) <> (word IS NULL)", name=op.f("ck_survey_dimension_figure_or_word")),
        sa.CheckConstraint(
            "grade IN ('measured', 'from_drawing', 'copied_from_part')", name=op.f("ck_survey_dimension_grade")
        ),
        sa.ForeignKeyConstraint(["survey_id"], ["machine_survey.id"], name=op.f("fk_survey_dimension_survey_id")),
        sa.PrimaryKeyConstraint("survey_id", "name", name=op.f("pk_survey_dimension")),
    )
    op.create_table(
        "same_interface",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first_machine_id", sa.Integer(), nullable=False),
        sa.Column("second_machine_id", sa.Integer(), nullable=False),
        sa.Column("assembly", sa.String(length=8), nullable=False),
        sa.Column("interface", sa.String(length=120), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.String(length=120), nullable=False),
        sa.Column("recorded_at", sa.String(length=27), nullable=False),
        sa.Column("withdrawn_at", sa.String(length=27), nullable=True),
        sa.Column("withdrawn_reason", sa.String(length=240), nullable=True),
        sa.CheckConstraint("first_machine_id < second_machine_id", name=op.f("ck_same_interface_order")),
        sa.CheckConstraint(
            "(withdrawn_at IS NULL) = (withdrawn_reason IS NULL)", name=op.f("ck_same_interface_withdrawn")
        ),
        sa.ForeignKeyConstraint(["first_machine_id"], ["machine.id"], name=op.f("fk_same_interface_first_machine_id")),
        sa.ForeignKeyConstraint(
            ["second_machine_id"], ["machine.id"], name=op.f("fk_same_interface_second_machine_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_same_interface")),
    )
    op.create_index(
        "uq_same_interface_standing",
        "same_interface",
        ["first_machine_id", "second_machine_id", "assembly"],
        unique=True,
        sqlite_where=sa.text("withdrawn_at IS NULL"),
        postgresql_where=sa.text("withdrawn_at IS NULL"),
    )
    op.create_index("ix_same_interface_second_machine_id", "same_interface", ["second_machine_id"], unique=False)
    op.create_table(
        "reuse_check",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("survey_id", sa.Integer(), nullable=False),
        sa.Column("checked_by", sa.String(length=120), nullable=False),
        sa.Column("checked_at", sa.String(length=27), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_reuse_check_kit_id")),
        sa.ForeignKeyConstraint(["survey_id"], ["machine_survey.id"], name=op.f("fk_reuse_check_survey_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reuse_check")),
    )
    op.create_index("ix_reuse_check_kit_id", "reuse_check", ["kit_id"], unique=False)


def _changes(differs: str) -> Iterator[tuple[str, str, str]]:
    """Table, trigger name and the condition under which an update is refused."""
    for table, columns in _NEVER_CHANGED.items():
        yield table, f"{table}_never_changed", " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in columns)
    for table, condition in _NO_WAY_BACK.items():
        yield table, f"{table}_no_way_back", condition


def _make_triggers() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_ON_SERVER)
        op.execute(
            "CREATE TRIGGER placement_one_at_a_time BEFORE INSERT ON placement"
            " FOR EACH ROW EXECUTE FUNCTION one_place_at_a_time()"
        )
        for table in _TABLES:
            op.execute(
                f"CREATE TRIGGER {table}_never_deleted BEFORE DELETE ON {table}"
                " FOR EACH ROW EXECUTE FUNCTION kept_for_ever()"
            )
            op.execute(
                f"CREATE TRIGGER {table}_never_truncated BEFORE TRUNCATE ON {table}"
                " FOR EACH STATEMENT EXECUTE FUNCTION kept_for_ever()"
            )
        for table, name, condition in _changes("IS DISTINCT FROM"):
            op.execute(
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table}"
                f" FOR EACH ROW WHEN ({condition}) EXECUTE FUNCTION kept_for_ever()"
            )
    else:
        op.execute(
            f"CREATE TRIGGER placement_one_at_a_time BEFORE INSERT ON placement WHEN EXISTS ({_OVERLAP})"
            " BEGIN SELECT RAISE(ABORT, 'placement overlaps another of this machine'); END"
        )
        for table in _TABLES:
            op.execute(
                f"CREATE TRIGGER {table}_never_deleted BEFORE DELETE ON {table}"
                f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no delete'); END"
            )
        for table, name, condition in _changes("IS NOT"):
            op.execute(
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table}"
                f" WHEN {condition} BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no update'); END"
            )


def _place_names() -> None:
    """Every plant and every line has borne the name it has now for as long as anybody knows."""
    since = {"since": _BEGINNING}
    bind = op.get_bind()
    bind.execute(
        sa.text(
            "INSERT INTO place_name (id, plant_id, line_id, name, since_at)"
            " SELECT id, id, NULL, name, :since FROM plant"
        ),
        since,
    )
    bind.execute(
        sa.text(
            "INSERT INTO place_name (id, plant_id, line_id, name, since_at)"
            " SELECT id + (SELECT coalesce(max(id), 0) FROM plant), NULL, id, name, :since FROM line"
        ),
        since,
    )


_FIRST_OF_ITS_CLASS_SINCE_EVER = """
    UPDATE placement SET since_at = :since WHERE id IN (
        SELECT min(placement.id) FROM placement
        JOIN machine ON machine.id = placement.machine_id AND placement.line_id = machine.born_line_id
        WHERE machine.ordinal = (
            SELECT min(older.ordinal) FROM machine AS older
            WHERE older.born_line_id = machine.born_line_id AND older.machine_class = machine.machine_class
        )
        GROUP BY placement.machine_id
    )
"""
# As far as the older tables can say, a machine that never moved stands where it is since its first kit.
_SINCE_ITS_FIRST_KIT = """
    UPDATE placement SET since_at = coalesce(
        (SELECT min(kit.issued_at) FROM kit WHERE kit.machine_id = placement.machine_id), since_at
    )
    WHERE since_at = :since AND until_at IS NULL
"""


def _beginnings() -> None:
    _with_dates_unlocked(_FIRST_OF_ITS_CLASS_SINCE_EVER)


def _with_dates_unlocked(statement: str) -> None:
    """Run a statement that the trigger on dates of placements would refuse; the trigger is there again after it."""
    bind = op.get_bind()
    if bind.dialect.name == "postgresql":
        op.execute("ALTER TABLE placement DISABLE TRIGGER placement_never_changed")
        bind.execute(sa.text(statement), {"since": _BEGINNING})
        op.execute("ALTER TABLE placement ENABLE TRIGGER placement_never_changed")
        return
    trigger = bind.scalar(sa.text("SELECT sql FROM sqlite_master WHERE name = 'placement_never_changed'"))
    op.execute("DROP TRIGGER placement_never_changed")
    bind.execute(sa.text(statement), {"since": _BEGINNING})
    op.execute(trigger)


def downgrade() -> None:
    bind = op.get_bind()
    asked = (
        "SELECT (SELECT count(*) FROM machine_survey) + (SELECT count(*) FROM same_interface)"
        " + (SELECT count(*) FROM place_name) - (SELECT count(*) FROM plant) - (SELECT count(*) FROM line)"
    )
    if bind.scalar(sa.text(asked)):
        raise CommandError("Surveys, renamings or like machines are on record; they are never taken back")
    on_server = bind.dialect.name == "postgresql"
    for table, name in (("placement", "placement_one_at_a_time"), ("placement", "placement_no_way_back")):
        op.execute(f"DROP TRIGGER {name} ON {table}" if on_server else f"DROP TRIGGER {name}")
    if on_server:
        op.execute("DROP FUNCTION one_place_at_a_time()")
    _with_dates_unlocked(_SINCE_ITS_FIRST_KIT)
    for table in _TABLES:
        op.drop_table(table)
