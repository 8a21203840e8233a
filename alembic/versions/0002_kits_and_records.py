"""Kits, and what is made of them and happens to them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic.util import CommandError

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

# Those that others refer to come last.
_TABLES = (
    "reorder",
    "mark",
    "issued_key",
    "shared_segment",
    "piece",
    "joint",
    "segment",
    "kit_container",
    "assembly",
    "kit",
    "idempotency",
    "event",
)


def upgrade() -> None:
    op.create_table(
        "event",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("actor", sa.String(length=120), nullable=False),
        sa.Column("verb", sa.String(length=24), nullable=False),
        sa.Column("subject", sa.String(length=120), nullable=False),
        sa.Column("before", sa.Text(), nullable=True),
        sa.Column("after", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_event")),
    )
    op.create_index("ix_event_subject", "event", ["subject"], unique=False)
    op.create_table(
        "idempotency",
        sa.Column("key", sa.String(length=255), nullable=False),
        sa.Column("request", sa.String(length=255), nullable=False),
        sa.Column("payload_sha256", sa.String(length=64), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("answered_at", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("key", "request", name=op.f("pk_idempotency")),
    )
    op.create_table(
        "kit",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("number", sa.String(length=32), nullable=False),
        sa.Column("machine_id", sa.Integer(), nullable=False),
        sa.Column("container_id", sa.Integer(), nullable=False),
        sa.Column("stock_colour", sa.String(length=24), nullable=False),
        sa.Column("status", sa.String(length=12), nullable=False),
        sa.Column("issued_at", sa.String(length=27), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("status IN ('issued', 'retired')", name=op.f("ck_kit_status")),
        sa.CheckConstraint("version >= 1", name=op.f("ck_kit_version")),
        sa.ForeignKeyConstraint(["container_id"], ["container.id"], name=op.f("fk_kit_container_id")),
        sa.ForeignKeyConstraint(["machine_id"], ["machine.id"], name=op.f("fk_kit_machine_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_kit")),
        sa.UniqueConstraint("machine_id", "container_id", name=op.f("uq_kit_machine_id_container_id")),
        sa.UniqueConstraint("number", name=op.f("uq_kit_number")),
    )
    op.create_table(
        "assembly",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=4), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_assembly_ordinal")),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_assembly_kit_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_assembly")),
        sa.UniqueConstraint("id", "kit_id", name=op.f("uq_assembly_id_kit_id")),
        sa.UniqueConstraint("kit_id", "code", "ordinal", name=op.f("uq_assembly_kit_id_code_ordinal")),
    )
    op.create_table(
        "kit_container",
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("container_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["container_id"], ["container.id"], name=op.f("fk_kit_container_container_id")),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_kit_container_kit_id")),
        sa.PrimaryKeyConstraint("kit_id", "container_id", name=op.f("pk_kit_container")),
    )
    op.create_table(
        "segment",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("number", sa.String(length=48), nullable=False),
        sa.Column("key", sa.String(length=8), nullable=False),
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("assembly_id", sa.Integer(), nullable=False),
        sa.Column("deck", sa.String(length=2), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("hand", sa.String(length=5), nullable=True),
        sa.Column("material", sa.String(length=40), nullable=False),
        sa.Column("stock_colour", sa.String(length=24), nullable=False),
        sa.Column("thickness_mm", sa.Double(), nullable=False),
        sa.Column("measured_thickness_mm", sa.Double(), nullable=True),
        sa.Column("mass_kg", sa.Double(), nullable=False),
        sa.Column("marked_face", sa.String(length=40), nullable=True),
        sa.Column("cut_file_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("status", sa.String(length=8), nullable=False),
        sa.Column("void_reason", sa.String(length=240), nullable=True),
        sa.CheckConstraint("(status = 'voided') = (void_reason IS NOT NULL)", name=op.f("ck_segment_void_reason")),
        sa.CheckConstraint("hand IS NULL OR hand IN ('LEFT', 'RIGHT')", name=op.f("ck_segment_hand")),
        sa.CheckConstraint("status IN ('active', 'voided')", name=op.f("ck_segment_status")),
        sa.CheckConstraint("length(key) = 8", name=op.f("ck_segment_key_length")),
        sa.CheckConstraint("mass_kg >= 0", name=op.f("ck_segment_mass")),
        sa.CheckConstraint(
            "measured_thickness_mm IS NULL OR measured_thickness_mm > 0", name=op.f("ck_segment_measured_thickness")
        ),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_segment_ordinal")),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_segment_quantity")),
        sa.CheckConstraint("thickness_mm > 0", name=op.f("ck_segment_thickness")),
        sa.ForeignKeyConstraint(
            ["assembly_id", "kit_id"], ["assembly.id", "assembly.kit_id"], name=op.f("fk_segment_assembly_id_kit_id")
        ),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_segment_kit_id")),
        sa.ForeignKeyConstraint(
            ["revision_id", "cut_file_id"],
            ["revision.id", "revision.cut_file_id"],
            name=op.f("fk_segment_revision_id_cut_file_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_segment")),
        sa.UniqueConstraint("assembly_id", "deck", "ordinal", name=op.f("uq_segment_assembly_id_deck_ordinal")),
        sa.UniqueConstraint("key", name=op.f("uq_segment_key")),
        sa.UniqueConstraint("number", name=op.f("uq_segment_number")),
    )
    op.create_index("ix_segment_cut_file_id", "segment", ["cut_file_id"], unique=False)
    op.create_index("ix_segment_kit_id", "segment", ["kit_id"], unique=False)
    op.create_table(
        "joint",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("first_id", sa.Integer(), nullable=False),
        sa.Column("second_id", sa.Integer(), nullable=False),
        sa.Column("form", sa.String(length=40), nullable=True),
        sa.Column("clearance_mm", sa.Double(), nullable=True),
        sa.Column("inferred", sa.Boolean(), nullable=False),
        sa.CheckConstraint("clearance_mm IS NULL OR clearance_mm >= 0", name=op.f("ck_joint_clearance")),
        sa.CheckConstraint("first_id < second_id", name=op.f("ck_joint_order")),
        sa.ForeignKeyConstraint(["first_id"], ["segment.id"], name=op.f("fk_joint_first_id")),
        sa.ForeignKeyConstraint(["second_id"], ["segment.id"], name=op.f("fk_joint_second_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_joint")),
        sa.UniqueConstraint("first_id", "second_id", name=op.f("uq_joint_first_id_second_id")),
    )
    op.create_index("ix_joint_second_id", "joint", ["second_id"], unique=False)
    op.create_table(
        "piece",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("key", sa.String(length=8), nullable=True),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.Column("set_number", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.String(length=27), nullable=True),
        sa.Column("material_batch", sa.String(length=60), nullable=True),
        sa.Column("deviations", sa.Text(), nullable=True),
        sa.Column("condition", sa.String(length=8), nullable=False),
        sa.CheckConstraint(
            "condition IN ('ordered', 'fitted', 'damaged', 'scrapped')", name=op.f("ck_piece_condition")
        ),
        sa.CheckConstraint("count >= 1 AND (key IS NULL OR count = 1)", name=op.f("ck_piece_tracked")),
        sa.CheckConstraint("set_number >= 1", name=op.f("ck_piece_set_number")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_piece_revision_id")),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_piece_segment_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_piece")),
        sa.UniqueConstraint("key", name=op.f("uq_piece_key")),
    )
    op.create_index("ix_piece_revision_id", "piece", ["revision_id"], unique=False)
    op.create_index("ix_piece_segment_id", "piece", ["segment_id"], unique=False)
    op.create_table(
        "shared_segment",
        sa.Column("kit_id", sa.Integer(), nullable=False),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["kit_id"], ["kit.id"], name=op.f("fk_shared_segment_kit_id")),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_shared_segment_segment_id")),
        sa.PrimaryKeyConstraint("kit_id", "segment_id", name=op.f("pk_shared_segment")),
    )
    op.create_index("ix_shared_segment_segment_id", "shared_segment", ["segment_id"], unique=False)
    op.create_table(
        "issued_key",
        sa.Column("key", sa.String(length=8), nullable=False),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("length(key) = 8", name=op.f("ck_issued_key_key_length")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_issued_key_piece_id")),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_issued_key_segment_id")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_issued_key")),
    )
    op.create_table(
        "mark",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=9), nullable=False),
        sa.Column("form", sa.String(length=60), nullable=False),
        sa.Column("text", sa.String(length=120), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("made_at", sa.String(length=27), nullable=False),
        sa.Column("verified_by", sa.String(length=60), nullable=True),
        sa.CheckConstraint("kind IN ('nameplate', 'engraving')", name=op.f("ck_mark_kind")),
        sa.CheckConstraint("state IN ('intended', 'made', 'failed')", name=op.f("ck_mark_state")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_mark_piece_id")),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_mark_segment_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mark")),
    )
    op.create_index("ix_mark_segment_id", "mark", ["segment_id"], unique=False)
    op.create_table(
        "reorder",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("segment_id", sa.Integer(), nullable=False),
        sa.Column("damaged_piece_id", sa.Integer(), nullable=True),
        sa.Column("new_piece_id", sa.Integer(), nullable=True),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(length=240), nullable=False),
        sa.Column("prefer", sa.String(length=12), nullable=False),
        sa.Column("outcome", sa.String(length=24), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=True),
        sa.Column("decision", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=9), nullable=False),
        sa.Column("ordered_at", sa.String(length=27), nullable=False),
        sa.CheckConstraint("(outcome = 'no_record') = (revision_id IS NULL)", name=op.f("ck_reorder_revision")),
        sa.CheckConstraint(
            "outcome IN ('exact', 'exact_with_deviations', 'current_fits', 'current_needs_neighbours', 'no_record')",
            name=op.f("ck_reorder_outcome"),
        ),
        sa.CheckConstraint("state IN ('open', 'fitted', 'cancelled')", name=op.f("ck_reorder_state")),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_reorder_quantity")),
        sa.ForeignKeyConstraint(["damaged_piece_id"], ["piece.id"], name=op.f("fk_reorder_damaged_piece_id")),
        sa.ForeignKeyConstraint(["new_piece_id"], ["piece.id"], name=op.f("fk_reorder_new_piece_id")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_reorder_revision_id")),
        sa.ForeignKeyConstraint(["segment_id"], ["segment.id"], name=op.f("fk_reorder_segment_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reorder")),
    )
    op.create_index("ix_reorder_segment_id", "reorder", ["segment_id"], unique=False)


def downgrade() -> None:
    if op.get_bind().scalar(sa.text("SELECT count(*) FROM issued_key")):
        raise CommandError("Numbers and keys were issued from these tables; they are never taken back")
    for table in _TABLES:
        op.drop_table(table)
