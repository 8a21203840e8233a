"""What became of each piece, and kits out of use."""

from __future__ import annotations

import sqlalchemy as sa

from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

_KEPT = {
    "piece_end": ("piece_id", "kind", "note", "ended_at", "reorder_id"),
    "retirement": ("kit_id", "reason", "retired_at"),
}
_NO_WAY_BACK = {
    "kit": "OLD.status = 'retired' AND NEW.status <> 'retired'",
    "piece": "OLD.condition = 'scrapped' AND NEW.condition <> 'scrapped'",
}
_PIECE_BEFORE = 'OLD."id" {0} NEW."id" OR OLD."key" {0} NEW."key" OR OLD."segment_id" {0} NEW."segment_id"'
# The last of a count of like pieces is given a key when all of them are tracked; a key that was given stays.
_PIECE_NOW = (
    'OLD."id" {0} NEW."id" OR OLD."segment_id" {0} NEW."segment_id"'
    ' OR (OLD."key" IS NOT NULL AND OLD."key" {0} NEW."key")'
)


def upgrade() -> None:
    op.create_table(
        "piece_end",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("note", sa.String(length=300), nullable=False),
        sa.Column("ended_at", sa.String(length=27), nullable=False),
        sa.Column("reorder_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('broken', 'worn', 'lost', 'misworked', 'other', 'replaced', 'cancelled', 'voided')",
            name=op.f("ck_piece_end_kind"),
        ),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_piece_end_piece_id")),
        sa.ForeignKeyConstraint(["reorder_id"], ["reorder.id"], name=op.f("fk_piece_end_reorder_id")),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_piece_end")),
    )
    op.create_index("ix_piece_end_reorder_id", "piece_end", ["reorder_id"], unique=False)
    op.create_table(
        "retirement",
        sa.Column("kit_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("reason", sa.String(length=240), nullable=False),
        sa.Column("retired_at", sa.String(length=27), nullable=False),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_retirement_kit_id")),
        sa.PrimaryKeyConstraint("kit_id", name=op.f("pk_retirement")),
    )
    differs = "IS DISTINCT FROM" if _on_server() else "IS NOT"
    for table, columns in _KEPT.items():
        _guard(table, f"{table}_never_deleted", "DELETE")
        if _on_server():
            op.execute(
                f"CREATE TRIGGER {table}_never_truncated BEFORE TRUNCATE ON {table}"
                " FOR EACH STATEMENT EXECUTE FUNCTION kept_for_ever()"
            )
        changed = " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in columns)
        _guard(table, f"{table}_never_changed", "UPDATE", changed)
    for table, condition in _NO_WAY_BACK.items():
        _guard(table, f"{table}_no_way_back", "UPDATE", condition)
    _drop("piece", "piece_never_changed")
    _guard("piece", "piece_never_changed", "UPDATE", _PIECE_NOW.format(differs))


def downgrade() -> None:
    _drop("piece", "piece_never_changed")
    differs = "IS DISTINCT FROM" if _on_server() else "IS NOT"
    _guard("piece", "piece_never_changed", "UPDATE", _PIECE_BEFORE.format(differs))
    for table in _NO_WAY_BACK:
        _drop(table, f"{table}_no_way_back")
    # Their triggers go with them.
    op.drop_table("retirement")
    op.drop_table("piece_end")


def _on_server() -> bool:
    return op.get_bind().dialect.name == "postgresql"


def _guard(table: str, name: str, event: str, condition: str = "") -> None:
    """Refuse an event on a table, with the class of a broken constraint on both databases."""
    if _on_server():
        when = f" WHEN ({condition})" if condition else ""
        op.execute(
            f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW{when} EXECUTE FUNCTION kept_for_ever()"
        )
    else:
        when = f" WHEN {condition}" if condition else ""
        op.execute(
            f"CREATE TRIGGER {name} BEFORE {event} ON {table}{when}"
            f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no {event.lower()}'); END"
        )


def _drop(table: str, name: str) -> None:
    op.execute(f"DROP TRIGGER {name} ON {table}" if _on_server() else f"DROP TRIGGER {name}")
