"""Which kits lean on whose segments, and which kits are out of use."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, or_, select, update
from sqlalchemy.orm import aliased

from service.store.tables import Joint, Kit, Retirement, Segment, SharedSegment, table_of


@dataclass(frozen=True, slots=True)
class Leaning:
    """A kit that uses a segment of another kit."""

    segment_number: str
    kit_number: str


@dataclass(frozen=True, slots=True)
class RetirementRow:
    """Why and when a kit was taken out of use."""

    reason: str
    retired_at: str


def leaning_on(connection: Connection, kit_id: int) -> tuple[Leaning, ...]:
    """The kits in use that lean on segments which a kit numbered, segment by segment."""
    leaning = aliased(Kit)
    rows = connection.execute(
        select(Segment.number, leaning.number)
        .join(SharedSegment, SharedSegment.segment_id == Segment.id)
        .join(leaning, leaning.id == SharedSegment.kit_id)
        .where(Segment.kit_id == kit_id, Segment.status == "active", leaning.status != "retired")
        .order_by(Segment.id, leaning.id)
    )
    return tuple(Leaning(*row) for row in rows)


def is_shared(connection: Connection, kit_id: int, segment_id: int) -> bool:
    """Whether a segment serves a kit besides the one that numbered it."""
    query = select(SharedSegment.kit_id).where(SharedSegment.kit_id == kit_id, SharedSegment.segment_id == segment_id)
    return connection.scalar(query) is not None


def share(connection: Connection, kit_id: int, segment_id: int) -> None:
    """Let a segment serve a further kit."""
    connection.execute(insert(table_of(SharedSegment)), {"kit_id": kit_id, "segment_id": segment_id})


def unshare(connection: Connection, kit_id: int, segment_id: int) -> None:
    """A segment serves this kit no more."""
    table = table_of(SharedSegment)
    connection.execute(delete(table).where(table.c.kit_id == kit_id, table.c.segment_id == segment_id))


def joined_in_kit(connection: Connection, kit_id: int, segment_id: int) -> tuple[str, ...]:
    """The numbers of a kit's own segments in use that interlock with a segment."""
    return tuple(
        connection.scalars(
            select(Segment.number)
            .join(
                Joint,
                or_(
                    (Joint.first_id == Segment.id) & (Joint.second_id == segment_id),
                    (Joint.second_id == Segment.id) & (Joint.first_id == segment_id),
                ),
            )
            .where(Segment.kit_id == kit_id, Segment.status == "active")
            .order_by(Segment.id)
        )
    )


def retire(connection: Connection, kit_id: int, *, reason: str, at: str) -> None:
    """Take a kit out of use for good."""
    kit = table_of(Kit)
    connection.execute(update(kit).where(kit.c.id == kit_id).values(status="retired"))
    connection.execute(insert(table_of(Retirement)), {"kit_id": kit_id, "reason": reason, "retired_at": at})


def retirement_of(connection: Connection, kit_id: int) -> RetirementRow | None:
    """Why and when a kit was taken out of use; None while it is in use."""
    row = connection.execute(
        select(Retirement.reason, Retirement.retired_at).where(Retirement.kit_id == kit_id)
    ).one_or_none()
    return None if row is None else RetirementRow(*row)
