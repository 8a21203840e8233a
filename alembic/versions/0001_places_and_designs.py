"""Places, containers and designs."""

from __future__ import annotations

import sqlalchemy as sa

from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# Those that others refer to come last.
_TABLES = (
    "placement",
    "machine",
    "revision_change",
    "line",
    "revision",
    "plant",
    "container",
    "shop",
    "cut_file",
    "customer",
    "code",
)


def upgrade() -> None:
    op.create_table(
        "code",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("code", sa.String(length=4), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.CheckConstraint("kind IN ('machine_class', 'assembly', 'deck')", name=op.f("ck_code_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_code")),
        sa.UniqueConstraint("kind", "code", name=op.f("uq_code_kind_code")),
    )
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sa.UniqueConstraint("name", name=op.f("uq_customer_name")),
    )
    op.create_table(
        "cut_file",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cut_file")),
        sa.UniqueConstraint("name", name=op.f("uq_cut_file_name")),
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("address", sa.String(length=240), nullable=False),
        sa.Column("telephone", sa.String(length=40), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    op.create_table(
        "container",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("design", sa.String(length=2), nullable=False),
        sa.Column("nominal_digits", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("nominal", sa.String(length=24), nullable=False),
        sa.Column("unit", sa.String(length=12), nullable=False),
        sa.Column("shape", sa.String(length=24), nullable=True),
        sa.Column("diameter_mm", sa.Double(), nullable=True),
        sa.Column("width_mm", sa.Double(), nullable=True),
        sa.Column("depth_mm", sa.Double(), nullable=True),
        sa.Column("min_body_mm", sa.Double(), nullable=True),
        sa.Column("max_body_mm", sa.Double(), nullable=True),
        sa.Column("height_mm", sa.Double(), nullable=True),
        sa.Column("neck_finish", sa.String(length=40), nullable=True),
        sa.Column("drawing_issue", sa.String(length=60), nullable=True),
        sa.CheckConstraint(
            "min_body_mm IS NULL OR max_body_mm IS NULL OR min_body_mm <= max_body_mm", name=op.f("ck_container_body")
        ),
        sa.CheckConstraint("nominal_digits >= 1", name=op.f("ck_container_nominal_digits")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_container_customer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_container")),
        sa.UniqueConstraint(
            "customer_id", "design", "nominal_digits", name=op.f("uq_container_customer_id_design_nominal_digits")
        ),
    )
    op.create_table(
        "plant",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("code", sa.String(length=4), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(code) IN (3, 4)", name=op.f("ck_plant_code_length")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_plant_customer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plant")),
        sa.UniqueConstraint("code", name=op.f("uq_plant_code")),
    )
    op.create_table(
        "revision",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("cut_file_id", sa.Integer(), nullable=False),
        sa.Column("letter", sa.String(length=3), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("units", sa.String(length=12), nullable=False),
        sa.Column("area_mm2", sa.Double(), nullable=False),
        sa.Column("width_mm", sa.Double(), nullable=False),
        sa.Column("height_mm", sa.Double(), nullable=False),
        sa.Column("drawing", sa.LargeBinary(), nullable=False),
        sa.Column("released_at", sa.String(length=27), nullable=False),
        sa.Column("withdrawn_at", sa.String(length=27), nullable=True),
        sa.Column("withdrawn_reason", sa.String(length=240), nullable=True),
        sa.CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_reason IS NULL)", name=op.f("ck_revision_withdrawn")),
        sa.CheckConstraint("area_mm2 > 0 AND width_mm > 0 AND height_mm > 0", name=op.f("ck_revision_extent")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_revision_sha256")),
        sa.CheckConstraint("ordinal >= 0", name=op.f("ck_revision_ordinal")),
        sa.CheckConstraint("size_bytes > 0", name=op.f("ck_revision_size_bytes")),
        sa.ForeignKeyConstraint(["cut_file_id"], ["cut_file.id"], name=op.f("fk_revision_cut_file_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_revision")),
        sa.UniqueConstraint("cut_file_id", "letter", name=op.f("uq_revision_cut_file_id_letter")),
        sa.UniqueConstraint("cut_file_id", "ordinal", name=op.f("uq_revision_cut_file_id_ordinal")),
        sa.UniqueConstraint("id", "cut_file_id", name=op.f("uq_revision_id_cut_file_id")),
    )
    op.create_table(
        "line",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("plant_id", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_line_ordinal")),
        sa.ForeignKeyConstraint(["plant_id"], ["plant.id"], name=op.f("fk_line_plant_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_line")),
        sa.UniqueConstraint("plant_id", "ordinal", name=op.f("uq_line_plant_id_ordinal")),
    )
    op.create_table(
        "revision_change",
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=9), nullable=False),
        sa.Column("name", sa.String(length=48), nullable=False),
        sa.CheckConstraint("kind IN ('joint', 'interface')", name=op.f("ck_revision_change_kind")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_revision_change_revision_id")),
        sa.PrimaryKeyConstraint("revision_id", "kind", "name", name=op.f("pk_revision_change")),
    )
    op.create_table(
        "machine",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("born_line_id", sa.Integer(), nullable=False),
        sa.Column("machine_class", sa.String(length=4), nullable=False),
        sa.Column("ordinal", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("rotation", sa.String(length=16), nullable=True),
        sa.CheckConstraint(
            "rotation IS NULL OR rotation IN ('clockwise', 'anticlockwise')", name=op.f("ck_machine_rotation")
        ),
        sa.CheckConstraint("ordinal >= 1", name=op.f("ck_machine_ordinal")),
        sa.ForeignKeyConstraint(["born_line_id"], ["line.id"], name=op.f("fk_machine_born_line_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_machine")),
        sa.UniqueConstraint(
            "born_line_id", "machine_class", "ordinal", name=op.f("uq_machine_born_line_id_machine_class_ordinal")
        ),
    )
    op.create_table(
        "placement",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("machine_id", sa.Integer(), nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=True),
        sa.Column("since_at", sa.String(length=27), nullable=False),
        sa.Column("until_at", sa.String(length=27), nullable=True),
        sa.CheckConstraint("until_at IS NULL OR until_at >= since_at", name=op.f("ck_placement_order")),
        sa.ForeignKeyConstraint(["line_id"], ["line.id"], name=op.f("fk_placement_line_id")),
        sa.ForeignKeyConstraint(["machine_id"], ["machine.id"], name=op.f("fk_placement_machine_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_placement")),
    )
    op.create_index("ix_placement_line_id", "placement", ["line_id"], unique=False)
    op.create_index("ix_placement_machine_id", "placement", ["machine_id"], unique=False)
    op.create_index(
        "uq_placement_open",
        "placement",
        ["machine_id"],
        unique=True,
        sqlite_where=sa.text("until_at IS NULL"),
        postgresql_where=sa.text("until_at IS NULL"),
    )


def downgrade() -> None:
    for table in _TABLES:
        op.drop_table(table)
