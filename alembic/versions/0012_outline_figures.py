"""What a person with a tape and a callipers finds on a part: computed from the outline of a released revision."""

from __future__ import annotations

import sqlalchemy as sa

from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "outline_figures",
        sa.Column("revision_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("length_mm", sa.Double(), nullable=False),
        sa.Column("breadth_mm", sa.Double(), nullable=False),
        sa.Column("pockets", sa.Integer(), nullable=False),
        sa.Column("pocket_radius_mm", sa.Double(), nullable=True),
        sa.Column("holes", sa.Integer(), nullable=False),
        sa.CheckConstraint("length_mm > 0", name=op.f("ck_outline_figures_length")),
        sa.CheckConstraint("breadth_mm > 0 AND breadth_mm <= length_mm", name=op.f("ck_outline_figures_breadth")),
        sa.CheckConstraint("pockets >= 0 AND holes >= 0", name=op.f("ck_outline_figures_counts")),
        sa.CheckConstraint("(pocket_radius_mm IS NULL) = (pockets = 0)", name=op.f("ck_outline_figures_pocket_radius")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_outline_figures_revision_id_revision")),
        sa.PrimaryKeyConstraint("revision_id", name=op.f("pk_outline_figures")),
    )


def downgrade() -> None:
    op.drop_table("outline_figures")
