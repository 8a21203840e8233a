"""Each event carries the SHA-256 of what it says and of the event before it; a new one can only follow the last."""

from __future__ import annotations

import hashlib
import json

import sqlalchemy as sa

from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

_BATCH = 1_000
_GENESIS = "0" * 64
_SAID = ("id", "at", "actor", "verb", "subject", "before", "after")
_CHAIN = ("previous_sha256", "sha256")

# The class of a broken constraint, as in the triggers before.
_FOLLOWS = f"""
CREATE FUNCTION event_follows_the_last() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    last_id integer := 0;
    last_sha256 text := '{_GENESIS}';
BEGIN
    SELECT id, sha256 INTO last_id, last_sha256 FROM event ORDER BY id DESC LIMIT 1;
    IF NEW.id IS DISTINCT FROM coalesce(last_id, 0) + 1
        OR NEW.previous_sha256 IS DISTINCT FROM coalesce(last_sha256, '{_GENESIS}') THEN
        RAISE EXCEPTION 'event is a chain: a new row follows the last one' USING ERRCODE = '23000';
    END IF;
    RETURN NEW;
END
$$
"""  # noqa: S608  64 zeros
_FOLLOWS_IN_FILE = f"""
CREATE TRIGGER event_follows_the_last BEFORE INSERT ON event
WHEN NEW.id IS NOT (SELECT coalesce(max(id), 0) + 1 FROM event)
    OR NEW.previous_sha256 IS NOT coalesce((SELECT sha256 FROM event ORDER BY id DESC LIMIT 1), '{_GENESIS}')
BEGIN
    SELECT RAISE(ABORT, 'event is a chain: a new row follows the last one');
END
"""  # noqa: S608  64 zeros


def upgrade() -> None:
    for name in _CHAIN:
        op.add_column("event", sa.Column(name, sa.String(length=64), nullable=True))
    _chain_what_is_there()
    _drop_triggers()
    # SQLite makes the table anew here, and its triggers are gone with the old one.
    with op.batch_alter_table("event") as table:
        for name in _CHAIN:
            table.alter_column(name, existing_type=sa.String(length=64), nullable=False)
            table.create_check_constraint(op.f(f"ck_event_{name}_length"), f"length({name}) = 64")
    _make_triggers((*_SAID, *_CHAIN))
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_FOLLOWS)
        op.execute(
            "CREATE TRIGGER event_follows_the_last BEFORE INSERT ON event"
            " FOR EACH ROW EXECUTE FUNCTION event_follows_the_last()"
        )
    else:
        # INSERT OR REPLACE is stopped here too: it fires no trigger on DELETE in a connection that did not ask for it.
        op.execute(_FOLLOWS_IN_FILE)


def downgrade() -> None:
    on_server = op.get_bind().dialect.name == "postgresql"
    op.execute(f"DROP TRIGGER event_follows_the_last{' ON event' if on_server else ''}")
    if on_server:
        op.execute("DROP FUNCTION event_follows_the_last()")
    _drop_triggers()
    with op.batch_alter_table("event") as table:
        for name in reversed(_CHAIN):
            table.drop_constraint(op.f(f"ck_event_{name}_length"), type_="check")
            table.drop_column(name)
    _make_triggers(_SAID)


def _chain_what_is_there() -> None:
    """Rows of before the chain get their place in it, in the order of their ids."""
    connection = op.get_bind()
    event = sa.table("event", *(sa.column(name) for name in (*_SAID, *_CHAIN)))
    batch = sa.select(*(event.c[name] for name in _SAID)).order_by(event.c.id).limit(_BATCH)
    into = (
        sa.update(event)
        .where(event.c.id == sa.bindparam("row_id"))
        .values(previous_sha256=sa.bindparam("previous"), sha256=sa.bindparam("own"))
    )
    last, previous = 0, _GENESIS
    while rows := connection.execute(batch.where(event.c.id > last)).all():
        chained = []
        for row in rows:
            said = {**dict(zip(_SAID, row, strict=True)), "previous": previous}
            # The canonical form of RFC 8785; written out, since what was hashed here must never change.
            text = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            own = hashlib.sha256(text.encode()).hexdigest()
            chained.append({"row_id": row.id, "previous": previous, "own": own})
            last, previous = row.id, own
        connection.execute(into, chained)


def _drop_triggers() -> None:
    on_server = op.get_bind().dialect.name == "postgresql"
    for name in ("deleted", "changed", *(("truncated",) if on_server else ())):
        op.execute(f"DROP TRIGGER event_never_{name}{' ON event' if on_server else ''}")


def _make_triggers(columns: tuple[str, ...]) -> None:
    """Those of the migration before, over other columns."""
    if op.get_bind().dialect.name == "postgresql":
        differs = " OR ".join(f'OLD."{name}" IS DISTINCT FROM NEW."{name}"' for name in columns)
        for name, when, each in (
            ("deleted", "DELETE", "ROW"),
            ("truncated", "TRUNCATE", "STATEMENT"),
            ("changed", "UPDATE", f"ROW WHEN ({differs})"),
        ):
            op.execute(
                f"CREATE TRIGGER event_never_{name} BEFORE {when} ON event"
                f" FOR EACH {each} EXECUTE FUNCTION kept_for_ever()"
            )
    else:
        differs = " OR ".join(f'OLD."{name}" IS NOT NEW."{name}"' for name in columns)
        op.execute(
            "CREATE TRIGGER event_never_deleted BEFORE DELETE ON event"
            " BEGIN SELECT RAISE(ABORT, 'event is kept for ever: no delete'); END"
        )
        op.execute(
            f"CREATE TRIGGER event_never_changed BEFORE UPDATE ON event WHEN {differs}"
            " BEGIN SELECT RAISE(ABORT, 'event is kept for ever: no update'); END"
        )
