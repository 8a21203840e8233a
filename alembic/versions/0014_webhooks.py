"""Notices to the shop's own programs of every step of an order."""

from __future__ import annotations

from collections.abc import Iterator

import sqlalchemy as sa

from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

_KEYS: dict[str, tuple[tuple[str, ...], ...]] = {
    "webhook": (("id",),),
    "webhook_delivery": (("id",), ("webhook_id", "order_step_id")),
}
# Of a webhook only its end comes, of a notice how far it is.
_NEVER_CHANGED = {
    "webhook": ("id", "name", "url", "secret", "states", "made_at", "made_by"),
    "webhook_delivery": ("id", "webhook_id", "order_step_id", "body", "made_at"),
}
_NO_WAY_BACK = {
    "webhook": "OLD.ended_at IS NOT NULL AND (NEW.ended_at IS NULL OR NEW.ended_at <> OLD.ended_at)",
    "webhook_delivery": "OLD.state = 'delivered' AND NEW.state <> OLD.state",
}


def upgrade() -> None:
    op.create_table(
        "webhook",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("url", sa.String(length=1000), nullable=False),
        sa.Column("secret", sa.String(length=100), nullable=False),
        sa.Column("states", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(length=27), nullable=False),
        sa.Column("made_by", sa.String(length=120), nullable=False),
        sa.Column("ended_at", sa.String(length=27), nullable=True),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("length(secret) >= 32", name=op.f("ck_webhook_secret")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook")),
    )
    op.create_table(
        "webhook_delivery",
        sa.Column("webhook_id", sa.Integer(), nullable=False),
        sa.Column("order_step_id", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(length=27), nullable=False),
        sa.Column("state", sa.String(length=9), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("next_try_at", sa.String(length=27), nullable=True),
        sa.Column("owner", sa.String(length=160), nullable=True),
        sa.Column("owned_until", sa.String(length=27), nullable=True),
        sa.Column("ended_at", sa.String(length=27), nullable=True),
        sa.Column("said", sa.String(length=500), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint(
            "(state = 'waiting') = (next_try_at IS NOT NULL)", name=op.f("ck_webhook_delivery_next_try_at")
        ),
        sa.CheckConstraint("tries >= 0", name=op.f("ck_webhook_delivery_tries")),
        sa.CheckConstraint("(owner IS NULL) = (owned_until IS NULL)", name=op.f("ck_webhook_delivery_owner")),
        sa.CheckConstraint("state IN ('waiting', 'delivered', 'given_up')", name=op.f("ck_webhook_delivery_state")),
        sa.ForeignKeyConstraint(["webhook_id"], ["webhook.id"], name=op.f("fk_webhook_delivery_webhook_id")),
        sa.ForeignKeyConstraint(["order_step_id"], ["order_step.id"], name=op.f("fk_webhook_delivery_order_step_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook_delivery")),
        sa.UniqueConstraint("webhook_id", "order_step_id", name=op.f("uq_webhook_delivery_webhook_id_order_step_id")),
    )
    op.create_index("ix_webhook_delivery_state_next_try_at", "webhook_delivery", ["state", "next_try_at"], unique=False)
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
            op.execute(
                f"CREATE TRIGGER {table}_never_{name} BEFORE {event} ON {table}{when}"
                f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no {what}'); END"
            )


def downgrade() -> None:
    # Their triggers go with them.
    for table in reversed(_KEYS):
        op.drop_table(table)


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
