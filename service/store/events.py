"""The journal: who did what to which identity, and what stood before and after. Lines are added, never changed."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from service.store.database import next_id
from service.store.tables import Event, table_of
from service.store.values import EventRow


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEvent:
    """A line to add. ``before`` and ``after`` are anything that JSON can hold, None where there is nothing to say."""

    at: str
    actor: str
    verb: str
    subject: str
    before: object | None = None
    after: object | None = None


def canonical_json(value: object) -> str:
    """JSON with sorted keys and no blanks: equal values give equal text.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a number that JSON has no form for (infinite, or no number).
    """
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def record(
    connection: Connection,
    *,
    at: str,
    actor: str,
    verb: str,
    subject: str,
    before: object | None = None,
    after: object | None = None,
) -> None:
    """Add one line to the journal."""
    record_many(connection, [NewEvent(at=at, actor=actor, verb=verb, subject=subject, before=before, after=after)])


def record_many(connection: Connection, events: Sequence[NewEvent]) -> None:
    """Add several lines in one call, in their order."""
    if not events:
        return
    first = next_id(connection, Event)
    connection.execute(
        insert(table_of(Event)),
        [
            {
                "id": id_,
                "at": event.at,
                "actor": event.actor,
                "verb": event.verb,
                "subject": event.subject,
                "before": None if event.before is None else canonical_json(event.before),
                "after": None if event.after is None else canonical_json(event.after),
            }
            for id_, event in enumerate(events, first)
        ],
    )


def newest(connection: Connection) -> int:
    """The id of the newest line, 0 when there is none: as long as it stays, no verb has written anything."""
    return int(connection.scalar(select(func.coalesce(func.max(Event.id), 0))) or 0)


def events_of(connection: Connection, subject: str) -> tuple[EventRow, ...]:
    """The journal of one subject, oldest line first."""
    rows = connection.execute(
        select(Event.id, Event.at, Event.actor, Event.verb, Event.subject, Event.before, Event.after)
        .where(Event.subject == subject)
        .order_by(Event.id)
    )
    return tuple(EventRow(*row) for row in rows)
