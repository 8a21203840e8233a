"""Legacy marks of plants, lines, machines, containers, kits and segments, and which of them were marked wrong."""

from __future__ import annotations

import sqlalchemy as sa
from alembic.util import CommandError

from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

_SUBJECTS = ("plant", "line", "machine", "container", "kit", "segment")
_KEPT = {
    "alias": (
        "id", *(f"{subject}_id" for subject in _SUBJECTS), "text", "folded", "said", "source", "note", "recorded_by",
        "recorded_at",
    ),
    "alias_wrong": ("alias_id", "reason", "marked_by", "marked_at"),
}  # fmt: skip


def upgrade() -> None:
    filled = " + ".join(f"CASE WHEN {subject}_id IS NULL THEN 0 ELSE 1 END" for subject in _SUBJECTS)
    op.create_table(
        "alias",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        *(sa.Column(f"{subject}_id", sa.Integer(), nullable=True) for subject in _SUBJECTS),
        sa.Column("text", sa.String(length=120), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("said", sa.Integer(), nullable=False),
        sa.Column("source", sa.String(length=120), nullable=False),
        sa.Column("note", sa.String(length=240), nullable=False),
        sa.Column("recorded_by", sa.String(length=120), nullable=False),
        sa.Column("recorded_at", sa.String(length=27), nullable=False),
        sa.CheckConstraint(f"{filled} = 1", name=op.f("ck_alias_one_subject")),
        sa.CheckConstraint("length(text) > 0", name=op.f("ck_alias_text")),
        sa.CheckConstraint("length(folded) > 0", name=op.f("ck_alias_folded")),
        sa.CheckConstraint("said >= 1", name=op.f("ck_alias_said")),
        *(
            sa.ForeignKeyConstraint([f"{subject}_id"], [f"{subject}.id"], name=op.f(f"fk_alias_{subject}_id"))
            for subject in _SUBJECTS
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_alias")),
    )
    op.create_index("ix_alias_folded", "alias", ["folded"], unique=False)
    for subject in _SUBJECTS:
        condition = sa.text(f"{subject}_id IS NOT NULL")
        op.create_index(
            f"uq_alias_{subject}_id_folded_said",
            "alias",
            [f"{subject}_id", "folded", "said"],
            unique=True,
            sqlite_where=condition,
            postgresql_where=condition,
        )
    op.create_table(
        "alias_wrong",
        sa.Column("alias_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("reason", sa.String(length=240), nullable=False),
        sa.Column("marked_by", sa.String(length=120), nullable=False),
        sa.Column("marked_at", sa.String(length=27), nullable=False),
        sa.ForeignKeyConstraint(["alias_id"], ["alias.id"], name=op.f("fk_alias_wrong_alias_id")),
        sa.PrimaryKeyConstraint("alias_id", name=op.f("pk_alias_wrong")),
    )
    on_server = op.get_bind().dialect.name == "postgresql"
    for table, columns in _KEPT.items():
        differs = "IS DISTINCT FROM" if on_server else "IS NOT"
        changed = " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in columns)
        _guard(table, "deleted", "DELETE")
        _guard(table, "changed", "UPDATE", changed)
        if on_server:
            op.execute(
                f"CREATE TRIGGER {table}_never_truncated BEFORE TRUNCATE ON {table}"
                " FOR EACH STATEMENT EXECUTE FUNCTION kept_for_ever()"
            )


def _guard(table: str, name: str, event: str, condition: str = "") -> None:
    when = f"WHEN ({condition})" if condition else ""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            f"CREATE TRIGGER {table}_never_{name} BEFORE {event} ON {table}"
            f" FOR EACH ROW {when} EXECUTE FUNCTION kept_for_ever()"
        )
    else:
        op.execute(
            f"CREATE TRIGGER {table}_never_{name} BEFORE {event} ON {table} {when}"
            f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no {event.lower()}'); END"
        )


def downgrade() -> None:
    if op.get_bind().scalar(sa.text("SELECT count(*) FROM alias")):
        raise CommandError("Legacy marks are on record; they are never taken back")
    # Their triggers go with them.
    op.drop_table("alias_wrong")
    op.drop_table("alias")
