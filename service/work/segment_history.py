"""What happened to a segment: its own lines of the journal, and those of the kit that numbered it."""

from __future__ import annotations

from schemas.answers import HistoryAnswer
from service.store import events
from service.work.read import find_mark
from service.work.shown import history_answer
from service.work.workshop import Workshop


def segment_history(workshop: Workshop, mark: str) -> HistoryAnswer:
    """The journal of the segment that a mark names, oldest line first.

    Raises:
        MarkUnknown, AmbiguousMark: the mark is not settled.
    """
    with workshop.database.read() as connection:
        segment = find_mark(connection, mark, field="number").segment
        rows = [
            *events.events_of(connection, segment.number),
            *events.events_of(connection, segment.kit_number),
        ]
    return history_answer(sorted(rows, key=lambda row: row.id))
