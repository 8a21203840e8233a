"""Triggers that keep what is never deleted and never changed, whoever writes to the database."""

from __future__ import annotations

from collections.abc import Iterator

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_NEVER_DELETED = (
    "plant",
    "line",
    "machine",
    "placement",
    "container",
    "kit",
    "assembly",
    "segment",
    "piece",
    "issued_key",
    "cut_file",
    "revision",
    "revision_change",
    "mark",
    "reorder",
    "event",
)
_NEVER_CHANGED = {
    "plant": ("id", "code"),
    "line": ("id", "plant_id", "ordinal"),
    "machine": ("id", "born_line_id", "machine_class", "ordinal"),
    "placement": ("id", "machine_id", "line_id", "since_at"),
    "container": ("id", "customer_id", "design", "nominal_digits"),
    "kit": ("id", "number", "machine_id", "container_id", "issued_at"),
    "assembly": ("id", "kit_id", "code", "ordinal"),
    "segment": ("id", "number", "key", "kit_id", "assembly_id", "deck", "ordinal"),
    "piece": ("id", "key", "segment_id"),
    "issued_key": ("key", "segment_id", "piece_id"),
    "cut_file": ("id", "name"),
    "revision": ("id", "cut_file_id", "letter", "ordinal", "sha256", "size_bytes", "units", "note", "released_at"),
    "revision_change": ("revision_id", "kind", "name"),
    "mark": ("id", "segment_id", "piece_id", "kind", "form", "text", "made_at"),
    "event": ("id", "at", "actor", "verb", "subject", "before", "after"),
}
# Beyond columns that stay as they are: states that have no way back.
_NO_WAY_BACK = {
    "segment": "OLD.status = 'voided' AND NEW.status <> 'voided'",
    "revision": "OLD.withdrawn_at IS NOT NULL AND NEW.withdrawn_at IS NULL",
}

# The class of a broken constraint, so that both databases answer with the same kind of error.
_FUNCTION = """
CREATE FUNCTION kept_for_ever() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is kept for ever: no %', TG_TABLE_NAME, lower(TG_OP) USING ERRCODE = '23000';
END
$$
"""


def upgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_FUNCTION)
        for table in _NEVER_DELETED:
            op.execute(
                f"CREATE TRIGGER {table}_never_deleted BEFORE DELETE ON {table}"
                " FOR EACH ROW EXECUTE FUNCTION kept_for_ever()"
            )
            op.execute(
                f"CREATE TRIGGER {table}_never_truncated BEFORE TRUNCATE ON {table}"
                " FOR EACH STATEMENT EXECUTE FUNCTION kept_for_ever()"
            )
        for table, name, condition in _changes("IS DISTINCT FROM"):
            op.execute(
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table}"
                f" FOR EACH ROW WHEN ({condition}) EXECUTE FUNCTION kept_for_ever()"
            )
    else:
        for table in _NEVER_DELETED:
            op.execute(
                f"CREATE TRIGGER {table}_never_deleted BEFORE DELETE ON {table}"
                f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no delete'); END"
            )
        for table, name, condition in _changes("IS NOT"):
            op.execute(
                f"CREATE TRIGGER {name} BEFORE UPDATE ON {table}"
                f" WHEN {condition} BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no update'); END"
            )


def _changes(differs: str) -> Iterator[tuple[str, str, str]]:
    """Table, trigger name and the condition under which an update is refused."""
    for table, columns in _NEVER_CHANGED.items():
        yield table, f"{table}_never_changed", " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in columns)
    for table, condition in _NO_WAY_BACK.items():
        yield table, f"{table}_no_way_back", condition


def downgrade() -> None:
    on_server = op.get_bind().dialect.name == "postgresql"
    names = [(table, f"{table}_never_deleted") for table in _NEVER_DELETED]
    names += [(table, name) for table, name, _ in _changes("IS NOT")]
    if on_server:
        names += [(table, f"{table}_never_truncated") for table in _NEVER_DELETED]
    for table, name in names:
        op.execute(f"DROP TRIGGER {name} ON {table}" if on_server else f"DROP TRIGGER {name}")
    if on_server:
        op.execute("DROP FUNCTION kept_for_ever()")
