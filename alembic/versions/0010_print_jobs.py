"""Marks on their way to a real printer."""

from __future__ import annotations

from collections.abc import Iterator

import sqlalchemy as sa

from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

_KEYS: dict[str, tuple[tuple[str, ...], ...]] = {
    "print_job": (("id",),),
    "print_job_mark": (("id",), ("print_job_id", "ordinal")),
}
# Of a job only its state moves, of a mark how far it is.
_NEVER_CHANGED = {
    "print_job": (
        "id", "subject", "template", "paper", "dpi", "start_cell", "copies", "printer", "token", "made_at", "made_by",
    ),
    "print_job_mark": ("id", "print_job_id", "ordinal", "page", "segment_id", "piece_id", "key"),
}  # fmt: skip
_NO_WAY_BACK = {
    "print_job": "OLD.state IN ('done', 'cancelled') AND NEW.state <> OLD.state",
    "print_job_mark": "OLD.state = 'printed' AND NEW.state <> OLD.state",
}


def upgrade() -> None:
    op.create_table(
        "print_job",
        sa.Column("subject", sa.String(length=64), nullable=False),
        sa.Column("template", sa.String(length=60), nullable=False),
        sa.Column("paper", sa.String(length=6), nullable=False),
        sa.Column("dpi", sa.Integer(), nullable=False),
        sa.Column("start_cell", sa.Integer(), nullable=False),
        sa.Column("copies", sa.Integer(), nullable=False),
        sa.Column("printer", sa.String(length=1023), nullable=False),
        sa.Column("token", sa.String(length=8), nullable=False),
        sa.Column("made_at", sa.String(length=27), nullable=False),
        sa.Column("made_by", sa.String(length=120), nullable=False),
        sa.Column("state", sa.String(length=9), nullable=False),
        sa.Column("said", sa.String(length=1000), nullable=False),
        sa.Column("owner", sa.String(length=160), nullable=True),
        sa.Column("owned_until", sa.String(length=27), nullable=True),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("paper IN ('roll', 'a4', 'letter')", name=op.f("ck_print_job_paper")),
        sa.CheckConstraint("start_cell >= 1", name=op.f("ck_print_job_start_cell")),
        sa.CheckConstraint("copies >= 1", name=op.f("ck_print_job_copies")),
        sa.CheckConstraint(
            "state IN ('waiting', 'printing', 'stopped', 'asks', 'done', 'cancelled')",
            name=op.f("ck_print_job_state"),
        ),
        sa.CheckConstraint("(owner IS NULL) = (owned_until IS NULL)", name=op.f("ck_print_job_owner")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_print_job")),
    )
    op.create_table(
        "print_job_mark",
        sa.Column("print_job_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("key", sa.String(length=8), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("job_name", sa.String(length=120), nullable=True),
        sa.Column("printer_job_id", sa.Integer(), nullable=True),
        sa.Column("sent_at", sa.String(length=27), nullable=True),
        sa.Column("ended_at", sa.String(length=27), nullable=True),
        sa.Column("said", sa.String(length=1000), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("ordinal >= 1 AND page >= 1", name=op.f("ck_print_job_mark_place")),
        sa.CheckConstraint(
            "state IN ('waiting', 'sent', 'printed', 'failed', 'doubtful')", name=op.f("ck_print_job_mark_state")
        ),
        sa.CheckConstraint("state = 'waiting' OR job_name IS NOT NULL", name=op.f("ck_print_job_mark_job_name")),
        sa.ForeignKeyConstraint(["print_job_id"], ["print_job.id"], name=op.f("fk_print_job_mark_print_job_id")),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_print_job_mark_segment_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_print_job_mark_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_print_job_mark")),
        sa.UniqueConstraint("print_job_id", "ordinal", name=op.f("uq_print_job_mark_print_job_id_ordinal")),
    )
    op.create_index("ix_print_job_mark_segment_id", "print_job_mark", ["segment_id"], unique=False)
    on_server = op.get_bind().dialect.name == "postgresql"
    for table, name, event, condition in _guards(on_server=on_server):
        when = f" WHEN ({condition})" if condition else ""
        if on_server:
            each = "STATEMENT" if event == "TRUNCATE" else "ROW"
            op.execute(
                f"CREATE TRIGGER {table}_never_{name} BEFORE {event} ON {table} FOR EACH {each}{when}"
                " EXECUTE FUNCTION kept_for_ever()"
            )
        else:
            what = "replace" if event == "INSERT" else event.lower()
            when = when.removeprefix(" ")
            op.execute(
                f"CREATE TRIGGER {table}_never_{name} BEFORE {event} ON {table} {when}"
                f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no {what}'); END"
            )


def downgrade() -> None:
    # Their triggers go with them.
    op.drop_table("print_job_mark")
    op.drop_table("print_job")


def _guards(*, on_server: bool) -> Iterator[tuple[str, str, str, str]]:
    """Table, name, event and condition of each guard."""
    differs = "IS DISTINCT FROM" if on_server else "IS NOT"
    for table, keys in _KEYS.items():
        yield table, "deleted", "DELETE", ""
        yield (
            table,
            "changed",
            "UPDATE",
            " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in _NEVER_CHANGED[table]),
        )
        yield table, "reopened", "UPDATE", _NO_WAY_BACK[table]
        if on_server:
            yield table, "truncated", "TRUNCATE", ""
        else:
            same = (" AND ".join(f'"{name}" = NEW."{name}"' for name in key) for key in keys)
            taken = " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {one})" for one in same)  # noqa: S608  names above
            yield table, "replaced", "INSERT", taken
