"""How the service stands: for those who run it."""

from __future__ import annotations

from service.store.figures import counts
from service.work.workshop import Workshop


def figures(workshop: Workshop) -> tuple[tuple[str, str, int], ...]:
    """Name, meaning and count of what is on record."""
    with workshop.database.read() as connection:
        return counts(connection)


def ready(workshop: Workshop) -> bool:
    """Whether the records and the vault answer."""
    return workshop.database.ready() and workshop.vault.ready()
