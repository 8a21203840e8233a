"""SQLite's REPLACE finds no row to throw out, and the last tables of record are kept for ever too.

``INSERT OR REPLACE`` throws out whatever row is in its way, and unless the connection asked for it no trigger on DELETE
hears of that. A trigger before the insert refuses it: every key of a table, partial ones and hidden row numbers too.
"""

from __future__ import annotations

from collections.abc import Iterator

from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

# Every key of a table by which one row stands in another's way. A key of which another is a part adds nothing.
# The ledger has a stricter guard of its own.
_KEYS: dict[str, tuple[tuple[str, ...], ...]] = {
    "alias": (
        ("id",),
        ("plant_id", "folded", "said"),
        ("line_id", "folded", "said"),
        ("machine_id", "folded", "said"),
        ("container_id", "folded", "said"),
        ("kit_id", "folded", "said"),
        ("segment_id", "folded", "said"),
    ),
    "alias_wrong": (("alias_id",),),
    "assembly": (("id",), ("kit_id", "code", "ordinal")),
    "code": (("id",), ("kind", "code")),
    "container": (("id",), ("customer_id", "design", "nominal_digits")),
    "customer": (("id",), ("name",)),
    "cut_file": (("id",), ("name",)),
    "inspection": (("id",),),
    "issued_key": (("key",), ("rowid",)),
    "joint": (("id",), ("first_id", "second_id")),
    "kit": (("id",), ("number",), ("machine_id", "container_id")),
    "kit_container": (("kit_id", "container_id"), ("rowid",)),
    "line": (("id",), ("plant_id", "ordinal")),
    "machine": (("id",), ("born_line_id", "machine_class", "ordinal")),
    "machine_survey": (("id",), ("machine_id", "ordinal")),
    "mark": (("id",),),
    "piece": (("id",), ("key",)),
    "piece_end": (("piece_id",),),
    "place_name": (("id",), ("plant_id", "since_at"), ("line_id", "since_at")),
    "placement": (("id",),),
    "plant": (("id",), ("code",)),
    "reorder": (("id",),),
    "retirement": (("kit_id",),),
    "reuse_check": (("id",),),
    "revision": (("id",), ("cut_file_id", "ordinal"), ("cut_file_id", "letter")),
    "revision_change": (("revision_id", "kind", "name"), ("rowid",)),
    "same_interface": (("id",),),
    "segment": (("id",), ("number",), ("key",), ("assembly_id", "deck", "ordinal")),
    "survey_dimension": (("survey_id", "name"), ("rowid",)),
}
# Keys that hold for some rows only. That no stay overlaps another is no help: a time that is none passes that guard.
_PARTIAL = {
    "placement": (
        "NEW.until_at IS NULL AND EXISTS"
        " (SELECT 1 FROM placement WHERE machine_id = NEW.machine_id AND until_at IS NULL)"
    ),
    "same_interface": (
        "NEW.withdrawn_at IS NULL AND EXISTS (SELECT 1 FROM same_interface"
        " WHERE first_machine_id = NEW.first_machine_id AND second_machine_id = NEW.second_machine_id"
        " AND assembly = NEW.assembly AND withdrawn_at IS NULL)"
    ),
}
# Their rows have a number that stands in no column, and an update of it alone may throw another row out.
_HIDDEN_ROW_NUMBER = tuple(table for table, keys in _KEYS.items() if ("rowid",) in keys)
_NOT_KEPT_YET = {
    "code": ("id", "kind", "code", "name"),
    "customer": ("id", "name"),
    "joint": ("id", "first_id", "second_id", "form", "clearance_mm", "inferred"),
    "kit_container": ("kit_id", "container_id"),
}
# What a reorder decided stays; only its state moves, once.
_REORDER = (
    "id", "segment_id", "damaged_piece_id", "new_piece_id", "quantity", "reason", "prefer", "outcome", "revision_id",
    "decision", "ordered_at",
)  # fmt: skip


def upgrade() -> None:
    on_server = op.get_bind().dialect.name == "postgresql"
    if not on_server:
        for table, keys in _KEYS.items():
            taken = [f"EXISTS (SELECT 1 FROM {table} WHERE {_equal(key)})" for key in keys]  # noqa: S608  names above
            met = " OR ".join(taken + ([_PARTIAL[table]] if table in _PARTIAL else []))
            _guard(table, "replaced", "INSERT", "replace", met)
        for table in _HIDDEN_ROW_NUMBER:
            _guard(table, "renumbered", "UPDATE", "update", "OLD.rowid IS NOT NEW.rowid")
    for table, name, event, condition in _new_guards("IS DISTINCT FROM" if on_server else "IS NOT"):
        if on_server:
            when = f" WHEN ({condition})" if condition else ""
            each = "STATEMENT" if event == "TRUNCATE" else "ROW"
            op.execute(
                f"CREATE TRIGGER {table}_{name} BEFORE {event} ON {table} FOR EACH {each}{when}"
                " EXECUTE FUNCTION kept_for_ever()"
            )
        elif event != "TRUNCATE":
            _guard(table, name.removeprefix("never_"), event, event.lower(), condition)


def downgrade() -> None:
    on_server = op.get_bind().dialect.name == "postgresql"
    for table, name, event, _condition in _new_guards(""):
        if on_server:
            op.execute(f"DROP TRIGGER {table}_{name} ON {table}")
        elif event != "TRUNCATE":
            op.execute(f"DROP TRIGGER {table}_{name}")
    if not on_server:
        for table in _HIDDEN_ROW_NUMBER:
            op.execute(f"DROP TRIGGER {table}_never_renumbered")
        for table in _KEYS:
            op.execute(f"DROP TRIGGER {table}_never_replaced")


def _equal(key: tuple[str, ...]) -> str:
    return " AND ".join(f'"{name}" = NEW."{name}"' if name != "rowid" else "rowid = NEW.rowid" for name in key)


def _guard(table: str, name: str, event: str, what: str, condition: str) -> None:
    """A trigger of SQLite, with the class of a broken constraint."""
    when = f" WHEN {condition}" if condition else ""
    op.execute(
        f"CREATE TRIGGER {table}_never_{name} BEFORE {event} ON {table}{when}"
        f" BEGIN SELECT RAISE(ABORT, '{table} is kept for ever: no {what}'); END"
    )


def _new_guards(differs: str) -> Iterator[tuple[str, str, str, str]]:
    """Table, name, event and condition of the guards that the tables lacked, as those before have them."""
    for table, columns in _NOT_KEPT_YET.items():
        yield table, "never_deleted", "DELETE", ""
        yield table, "never_truncated", "TRUNCATE", ""
        yield table, "never_changed", "UPDATE", _differ(columns, differs)
    yield "reorder", "never_changed", "UPDATE", _differ(_REORDER, differs)
    yield "reorder", "never_reopened", "UPDATE", "OLD.state <> 'open' AND NEW.state <> OLD.state"


def _differ(columns: tuple[str, ...], differs: str) -> str:
    return " OR ".join(f'OLD."{name}" {differs} NEW."{name}"' for name in columns)
