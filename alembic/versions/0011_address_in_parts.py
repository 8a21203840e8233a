"""The shop's address in the parts that a nameplate as data wants; they stand beside the line that plates show."""

from __future__ import annotations

import sqlalchemy as sa

from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

_PARTS = {"street": 120, "postal_code": 20, "town": 80, "country": 2}


def upgrade() -> None:
    for name, length in _PARTS.items():
        op.add_column("shop", sa.Column(name, sa.String(length=length), nullable=False, server_default=sa.text("''")))


def downgrade() -> None:
    for name in reversed(_PARTS):
        op.drop_column("shop", name)
