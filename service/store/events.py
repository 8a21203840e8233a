"""The journal: who did what to which identity, and what stood before and after. Lines are added, never changed.

Each line is chained to the one before it (see ``chain.py``). The one writer reads the tip once a call, inside its
transaction, so that two processes never chain to the same row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from service.store.chain import canonical_json, event_sha256
from service.store.ledger import tip
from service.store.tables import Event, table_of
from service.store.values import EventRow

_NEWEST = select(func.max(Event.id))


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEvent:
    """A line to add. ``before`` and ``after`` are anything that JSON can hold, None where there is nothing to say."""

    at: str
    actor: str
    verb: str
    subject: str
    before: object | None = None
    after: object | None = None


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
    """Add several lines in one call, in their order, each chained to the one before."""
    if not events:
        return
    last = tip(connection)
    previous = last.sha256
    rows: list[dict[str, object]] = []
    for id_, event in enumerate(events, last.id + 1):
        before = None if event.before is None else canonical_json(event.before)
        after = None if event.after is None else canonical_json(event.after)
        sha256 = event_sha256(
            id_=id_,
            at=event.at,
            actor=event.actor,
            verb=event.verb,
            subject=event.subject,
            before=before,
            after=after,
            previous=previous,
        )
        rows.append(
            {
                "id": id_,
                "at": event.at,
                "actor": event.actor,
                "verb": event.verb,
                "subject": event.subject,
                "before": before,
                "after": after,
                "previous_sha256": previous,
                "sha256": sha256,
            }
        )
        previous = sha256
    connection.execute(insert(table_of(Event)), rows)


def newest(connection: Connection) -> int:
    """The id of the newest line, 0 when there is none: as long as it stays, no verb has written anything."""
    return int(connection.scalar(_NEWEST) or 0)


def events_of(connection: Connection, subject: str) -> tuple[EventRow, ...]:
    """The journal of one subject, oldest line first."""
    rows = connection.execute(
        select(Event.id, Event.at, Event.actor, Event.verb, Event.subject, Event.before, Event.after)
        .where(Event.subject == subject)
        .order_by(Event.id)
    )
    return tuple(EventRow(*row) for row in rows)
