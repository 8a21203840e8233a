"""A retired kit is neither marked nor made again, unless somebody says why; what they say is kept."""

from __future__ import annotations

from sqlalchemy import Connection

from service.errors import KitRetired
from service.store import events, kits, sharing
from service.work.workshop import Actor


def refuse_retired(
    connection: Connection, kit_number: str, *, what: str, override: str | None, actor: Actor, now: str
) -> None:
    """Let a kit in use pass; of a retired one want a reason, and put it on record.

    Args:
        connection: the writer's, so that nobody retires the kit in between.
        kit_number: the kit.
        what: the verb that wants to go on, for the journal.
        override: why it may, although the kit is retired.
        actor: who says so.
        now: when.

    Raises:
        KitRetired: the kit is retired and no reason is given.
    """
    kit = kits.find_kit(connection, kit_number)
    if kit is None or not kit.retired:
        return
    if override is None or not override.strip():
        retirement = sharing.retirement_of(connection, kit.id)
        why = f" on {retirement.retired_at[:10]}: {retirement.reason}" if retirement else ""
        raise KitRetired(
            f"it was taken out of use{why}",
            field="kit",
            value=kit.number,
            todo="Check that the kit is really wanted again, and give the reason under 'override'",
        )
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb="override",
        subject=kit.number,
        before={"status": "retired"},
        after={"verb": what, "reason": override.strip()},
    )
