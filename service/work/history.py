"""What happened to a number, a kit or a cut file: its lines in the journal."""

from __future__ import annotations

from schemas.answers import HistoryAnswer
from service.store import events
from service.work.shown import history_answer
from service.work.workshop import Workshop


def history(workshop: Workshop, subject: str) -> HistoryAnswer:
    """The journal of one subject as it is printed, oldest line first; empty for what was never heard of."""
    with workshop.database.read() as connection:
        return history_answer(events.events_of(connection, subject))
