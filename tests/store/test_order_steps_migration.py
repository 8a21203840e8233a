"""Orders of before they had steps: what the journal tells of them becomes their history, on the way up."""

from __future__ import annotations

from sqlalchemy import text

from service.store import events, migrations
from service.store.database import Database
from service.store.order_steps import steps_of
from service.store.reorders import add_reorder, find_reorder, set_reorder_state
from tests.factories import NOW, make_kit

LATER = "2026-04-01T10:00:00Z"


def test_orders_of_earlier_days_get_the_steps_that_are_known(database: Database) -> None:
    with database.write() as connection:
        make_kit(connection)
        for outcome, revision in (("exact", 1), ("no_record", None), ("exact", 1)):
            id_ = add_reorder(
                connection,
                segment_id=1,
                damaged_piece_id=1,
                new_piece_id=None,
                quantity=1,
                reason="crushed",
                prefer="as_built",
                outcome=outcome,
                revision_id=revision,
                decision="{}",
                ordered_at=NOW,
            )
            events.record(
                connection, at=NOW, actor="desk", verb="reorder", subject="a number", before=None, after={"id": id_}
            )
        set_reorder_state(connection, 3, "fitted")
        events.record(
            connection, at=LATER, actor="fitter", verb="fitted", subject="a number", before=None, after={"reorder": 3}
        )
        assert connection.scalar(text("SELECT count(*) FROM order_step")) == 0
    with database.write() as connection:
        migrations.downgrade(connection, "0012")
        migrations.upgrade(connection)
        found = steps_of(connection, [1, 2, 3])
        row = find_reorder(connection, 3)
    taken = [("reported", NOW, "desk"), ("identified", NOW, "desk"), ("decided", NOW, "desk")]
    assert {id_: [(step.state, step.at, step.actor) for step in steps] for id_, steps in found.items()} == {
        1: taken,
        2: taken[:2],
        3: [*taken, ("fitted", LATER, "fitter")],
    }
    assert row is not None
    assert (row.step, row.step_at) == ("fitted", LATER)
