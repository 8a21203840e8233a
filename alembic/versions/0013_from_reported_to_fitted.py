"""Damage reports with all that was said and shown, and every step of an order from reported to fitted."""

from __future__ import annotations

import json
from collections.abc import Iterator

import sqlalchemy as sa

from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

# Every row of these stands as it was written: what was wrong is followed by another row.
_KEYS: dict[str, tuple[tuple[str, ...], ...]] = {
    "order_step": (("id",), ("reorder_id", "ordinal")),
    "damage_report": (("id",),),
    "damage_link": (("id",), ("token_sha256",)),
    "damage_evidence": (("id",), ("damage_report_id", "ordinal")),
    "damage_photo": (("id",), ("damage_report_id", "ordinal")),
    "damage_choice": (("id",), ("damage_report_id", "ordinal")),
    "damage_order": (("id",), ("damage_report_id", "reorder_id")),
    "damage_end": (("id",), ("damage_report_id",)),
}


def upgrade() -> None:
    op.create_table(
        "order_step",
        sa.Column("reorder_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("evidence", sa.Text(), nullable=False),
        sa.Column("rejected", sa.Text(), nullable=False),
        sa.Column("reason", sa.String(length=240), nullable=True),
        sa.Column("measured", sa.Text(), nullable=False),
        sa.Column("promised_on", sa.String(length=10), nullable=True),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_order_step_ordinal")),
        sa.CheckConstraint(
            "state IN ('reported', 'identified', 'decided', 'released_to_cut', 'cut', 'inspected', 'shipped', 'fitted',"
            " 'cancelled')",
            name=op.f("ck_order_step_state"),
        ),
        sa.ForeignKeyConstraint(["reorder_id"], ["reorder.id"], name=op.f("fk_order_step_reorder_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_step")),
        sa.UniqueConstraint("reorder_id", "ordinal", name=op.f("uq_order_step_reorder_id_ordinal")),
    )
    op.create_table(
        "damage_report",
        sa.Column("words", sa.String(length=2000), nullable=False),
        sa.Column("mark", sa.String(length=512), nullable=True),
        sa.Column("came_by", sa.String(length=8), nullable=True),
        sa.Column("caller", sa.String(length=120), nullable=False),
        sa.Column("telephone", sa.String(length=40), nullable=False),
        sa.Column("follows_reorder_id", sa.Integer(), nullable=True),
        sa.Column("reported_at", sa.String(length=27), nullable=False),
        sa.Column("reported_by", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("came_by IN ('eye', 'ear', 'keyboard')", name=op.f("ck_damage_report_came_by")),
        sa.ForeignKeyConstraint(
            ["follows_reorder_id"], ["reorder.id"], name=op.f("fk_damage_report_follows_reorder_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_report")),
    )
    op.create_table(
        "damage_link",
        sa.Column("damage_report_id", sa.Integer(), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("numbers", sa.Text(), nullable=False),
        sa.Column("expires_at", sa.String(length=27), nullable=False),
        sa.Column("made_at", sa.String(length=27), nullable=False),
        sa.Column("made_by", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("length(token_sha256) = 64", name=op.f("ck_damage_link_token_sha256")),
        sa.ForeignKeyConstraint(
            ["damage_report_id"], ["damage_report.id"], name=op.f("fk_damage_link_damage_report_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_link")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_damage_link_token_sha256")),
    )
    op.create_index("ix_damage_link_damage_report_id", "damage_link", ["damage_report_id"], unique=False)
    op.create_table(
        "damage_evidence",
        sa.Column("damage_report_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("question", sa.String(length=24), nullable=False),
        sa.Column("answer", sa.String(length=512), nullable=False),
        sa.Column("tolerance_mm", sa.Double(), nullable=True),
        sa.Column("came_by", sa.String(length=8), nullable=True),
        sa.Column("damage_link_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("came_by IN ('eye', 'ear', 'keyboard')", name=op.f("ck_damage_evidence_came_by")),
        sa.CheckConstraint("tolerance_mm IS NULL OR tolerance_mm > 0", name=op.f("ck_damage_evidence_tolerance_mm")),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_damage_evidence_ordinal")),
        sa.ForeignKeyConstraint(
            ["damage_report_id"], ["damage_report.id"], name=op.f("fk_damage_evidence_damage_report_id")
        ),
        sa.ForeignKeyConstraint(["damage_link_id"], ["damage_link.id"], name=op.f("fk_damage_evidence_damage_link_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_evidence")),
        sa.UniqueConstraint("damage_report_id", "ordinal", name=op.f("uq_damage_evidence_damage_report_id_ordinal")),
    )
    op.create_table(
        "damage_photo",
        sa.Column("damage_report_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("media_type", sa.String(length=10), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("typed", sa.String(length=512), nullable=True),
        sa.Column("mark", sa.String(length=512), nullable=True),
        sa.Column("reading", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("size_bytes > 0 AND width_px > 0 AND height_px > 0", name=op.f("ck_damage_photo_size")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_damage_photo_sha256")),
        sa.CheckConstraint("media_type IN ('image/jpeg', 'image/png')", name=op.f("ck_damage_photo_media_type")),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_damage_photo_ordinal")),
        sa.ForeignKeyConstraint(
            ["damage_report_id"], ["damage_report.id"], name=op.f("fk_damage_photo_damage_report_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_photo")),
        sa.UniqueConstraint("damage_report_id", "ordinal", name=op.f("uq_damage_photo_damage_report_id_ordinal")),
    )
    op.create_table(
        "damage_choice",
        sa.Column("damage_report_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("set_number", sa.Integer(), nullable=True),
        sa.Column("rejected", sa.Text(), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.Column("reason", sa.String(length=240), nullable=True),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_damage_choice_ordinal")),
        sa.CheckConstraint("set_number IS NULL OR set_number >= 1", name=op.f("ck_damage_choice_set_number")),
        sa.ForeignKeyConstraint(
            ["damage_report_id"], ["damage_report.id"], name=op.f("fk_damage_choice_damage_report_id")
        ),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_damage_choice_segment_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_damage_choice_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_choice")),
        sa.UniqueConstraint("damage_report_id", "ordinal", name=op.f("uq_damage_choice_damage_report_id_ordinal")),
    )
    op.create_index("ix_damage_choice_segment_id", "damage_choice", ["segment_id"], unique=False)
    op.create_table(
        "damage_order",
        sa.Column("damage_report_id", sa.Integer(), nullable=False),
        sa.Column("reorder_id", sa.Integer(), nullable=False),
        sa.Column("duplicate", sa.Boolean(), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(
            ["damage_report_id"], ["damage_report.id"], name=op.f("fk_damage_order_damage_report_id")
        ),
        sa.ForeignKeyConstraint(["reorder_id"], ["reorder.id"], name=op.f("fk_damage_order_reorder_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_order")),
        sa.UniqueConstraint("damage_report_id", "reorder_id", name=op.f("uq_damage_order_damage_report_id_reorder_id")),
    )
    op.create_index("ix_damage_order_reorder_id", "damage_order", ["reorder_id"], unique=False)
    op.create_table(
        "damage_end",
        sa.Column("damage_report_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(length=240), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.ForeignKeyConstraint(
            ["damage_report_id"], ["damage_report.id"], name=op.f("fk_damage_end_damage_report_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_damage_end")),
        sa.UniqueConstraint("damage_report_id", name=op.f("uq_damage_end_damage_report_id")),
    )
    _guard()
    _past_steps()


def downgrade() -> None:
    # Their triggers go with them.
    for table in reversed(_KEYS):
        op.drop_table(table)


def _past_steps() -> None:
    """Orders of earlier days took the steps that the journal tells of, and nobody wrote down those in between."""
    connection = op.get_bind()
    who: dict[tuple[int, str], tuple[str, str]] = {}
    for verb, at, actor, after in connection.execute(
        sa.text("SELECT verb, at, actor, after FROM event WHERE verb IN ('reorder', 'fitted', 'cancelled') ORDER BY id")
    ):
        said = json.loads(after or "{}")
        id_ = said.get("id" if verb == "reorder" else "reorder")
        if isinstance(id_, int):
            who[id_, verb] = (at, actor)
    steps = []
    for id_, state, outcome, ordered_at in connection.execute(
        sa.text("SELECT id, state, outcome, ordered_at FROM reorder ORDER BY id")
    ).fetchall():
        _, actor = who.get((id_, "reorder"), ("", "service"))
        taken = [("reported", ordered_at, actor), ("identified", ordered_at, actor)]
        if outcome != "no_record":
            taken.append(("decided", ordered_at, actor))
        if state != "open":
            taken.append((state, *who.get((id_, state), (ordered_at, "service"))))
        steps += [(id_, ordinal, *step) for ordinal, step in enumerate(taken, 1)]
    if steps:
        connection.execute(
            sa.text(
                "INSERT INTO order_step (id, reorder_id, ordinal, state, at, actor, evidence, rejected, measured)"
                " VALUES (:id, :reorder_id, :ordinal, :state, :at, :actor, '', '[]', '[]')"
            ),
            [
                {
                    "id": id_,
                    "reorder_id": step[0],
                    "ordinal": step[1],
                    "state": step[2],
                    "at": step[3],
                    "actor": step[4],
                }
                for id_, step in enumerate(steps, 1)
            ],
        )


def _guard() -> None:
    bind = op.get_bind()
    on_server = bind.dialect.name == "postgresql"
    differs = "IS DISTINCT FROM" if on_server else "IS NOT"
    for table, keys in _KEYS.items():
        columns = [column["name"] for column in sa.inspect(bind).get_columns(table)]
        changed = " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in columns)
        for name, event, condition in _events(table, keys, changed, on_server=on_server):
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


def _events(
    table: str, keys: tuple[tuple[str, ...], ...], changed: str, *, on_server: bool
) -> Iterator[tuple[str, str, str]]:
    """Name, event and condition of each guard of a table."""
    yield "deleted", "DELETE", ""
    yield "changed", "UPDATE", changed
    if on_server:
        yield "truncated", "TRUNCATE", ""
    else:
        same = (" AND ".join(f'"{name}" = NEW."{name}"' for name in key) for key in keys)
        yield "replaced", "INSERT", " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {one})" for one in same)  # noqa: S608  names above
