"""What was proved of a finished piece."""

from __future__ import annotations

import sqlalchemy as sa

from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

_COLUMNS = (
    "id",
    "piece_id",
    "inspected_at",
    "inspected_by",
    "plate",
    "engraving",
    "engraved_revision",
    "thickness_mm",
    "verdict",
    "found",
)


def upgrade() -> None:
    op.create_table(
        "inspection",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("inspected_at", sa.String(length=27), nullable=False),
        sa.Column("inspected_by", sa.String(length=120), nullable=False),
        sa.Column("plate", sa.String(length=512), nullable=False),
        sa.Column("engraving", sa.String(length=512), nullable=True),
        sa.Column("engraved_revision", sa.String(length=3), nullable=True),
        sa.Column("thickness_mm", sa.Double(), nullable=True),
        sa.Column("verdict", sa.String(length=5), nullable=False),
        sa.Column("found", sa.String(length=1000), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("verdict IN ('right', 'wrong')", name=op.f("ck_inspection_verdict")),
        sa.CheckConstraint("thickness_mm IS NULL OR thickness_mm > 0", name=op.f("ck_inspection_thickness_mm")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_inspection_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inspection")),
    )
    op.create_index("ix_inspection_piece_id", "inspection", ["piece_id"], unique=False)
    if op.get_bind().dialect.name == "postgresql":
        differs = " OR ".join(f'OLD."{name}" IS DISTINCT FROM NEW."{name}"' for name in _COLUMNS)
        op.execute(
            "CREATE TRIGGER inspection_never_deleted BEFORE DELETE ON inspection"
            " FOR EACH ROW EXECUTE FUNCTION kept_for_ever()"
        )
        op.execute(
            "CREATE TRIGGER inspection_never_truncated BEFORE TRUNCATE ON inspection"
            " FOR EACH STATEMENT EXECUTE FUNCTION kept_for_ever()"
        )
        op.execute(
            f"CREATE TRIGGER inspection_never_changed BEFORE UPDATE ON inspection FOR EACH ROW WHEN ({differs})"
            " EXECUTE FUNCTION kept_for_ever()"
        )
    else:
        for name, event in (("deleted", "DELETE"), ("changed", "UPDATE")):
            op.execute(
                f"CREATE TRIGGER inspection_never_{name} BEFORE {event} ON inspection"
                f" BEGIN SELECT RAISE(ABORT, 'inspection is kept for ever: no {event.lower()}'); END"
            )


def downgrade() -> None:
    # Its triggers go with it.
    op.drop_table("inspection")
