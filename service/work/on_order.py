"""What is on order already for a segment: noticed before another order is written."""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import Connection

from service.errors import AlreadyOnOrder
from service.findings import Finding
from service.rules.duplicates import Broken, may_be_the_same
from service.store import reorders
from service.store.values import ReorderRow, SegmentRow

_TODO = "Say that this is the same order, or give the reason for another one under 'also'"


def same_on_order(connection: Connection, segment: SegmentRow, broken: Broken) -> tuple[ReorderRow, ...]:
    """Open orders that may be for the very piece, those too that cut it as a neighbour; oldest first.

    An order without a record to cut from does not count: nothing comes of it, and more is known by now.
    """
    found = [
        row
        for row in reorders.open_reorders(connection, segment.id)
        if row.revision_id is not None
        and may_be_the_same(broken, Broken(row.damaged_piece_id, json.loads(row.decision).get("set")))
    ]
    for row in reorders.open_naming(connection, segment.number):
        details = json.loads(row.decision)
        along = any(also["number"] == segment.number for also in details["also_cut"])
        if along and may_be_the_same(Broken(None, broken.set_number), Broken(None, details.get("set"))):
            found.append(row)
    return tuple(sorted(found, key=lambda row: row.id))


def refuse_duplicate(same: Sequence[ReorderRow], *, mark: str, also: str | None) -> None:
    """Raises AlreadyOnOrder when something is on order and nobody says why it is ordered once more."""
    if same and also is None:
        raise AlreadyOnOrder(
            f"{_named(same)}, and it may be the same piece",
            field="mark",
            value=mark,
            todo=_TODO,
            place=f"reorder {same[0].id}",
        )


def finding(same: Sequence[ReorderRow], *, mark: str) -> tuple[Finding, ...]:
    """The same as a warning, for whoever has not ordered yet."""
    if not same:
        return ()
    return (
        Finding(
            rule=AlreadyOnOrder.code,
            level="warning",
            message=f"{_named(same)}, and it may be the same piece",
            field="mark",
            value=mark,
            todo=_TODO,
            place=f"reorder {same[0].id}",
            source="the shop's own records",
        ),
    )


def _named(same: Sequence[ReorderRow]) -> str:
    words = [
        f"reorder {row.id} of {row.ordered_at[:10]} ({(row.step or row.state).replace('_', ' ')})" for row in same[:3]
    ]
    more = f" and {len(same) - 3} more" if len(same) > 3 else ""
    return f"{', '.join(words)}{more} {'is' if len(same) == 1 else 'are'} open for this segment"
