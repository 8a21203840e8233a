"""Measure outlines that were released before their figures were kept."""

from __future__ import annotations

from collections.abc import Callable

from service.outlines.figures import outline_figures
from service.outlines.stored import from_bytes
from service.store import cutfiles, events
from service.store.outline_figures import keep_figures, without_figures
from service.work.workshop import SERVICE, Actor, Workshop


def _untold(_done: int) -> None:
    """Nobody wants to know how far it is."""


_AT_A_TIME = 200


def measure_outlines(workshop: Workshop, *, actor: Actor = SERVICE, tell: Callable[[int], None] = _untold) -> int:
    """Measure every outline whose figures are not kept; how many there were.

    It can be broken off and begun again: what is done is kept. Outlines that are released meanwhile bring their figures
    along.

    Raises:
        CutFileAltered: a kept shape cannot be read.
    """
    done = 0
    while True:
        with workshop.database.read() as connection:
            missing = without_figures(connection, _AT_A_TIME)
            drawings = cutfiles.drawing_bytes(connection, missing)
        if not missing:
            return done
        figures = {id_: workshop.rendering.run(outline_figures, from_bytes(drawings[id_])) for id_ in missing}
        with workshop.database.write() as connection:
            still = set(without_figures(connection, _AT_A_TIME))
            kept = {id_: one for id_, one in figures.items() if id_ in still}
            keep_figures(connection, kept)
            if kept:
                events.record(
                    connection,
                    at=workshop.now(),
                    actor=actor.name,
                    verb="measure",
                    subject="outlines",
                    after={"revisions": len(kept)},
                )
        done += len(kept)
        tell(done)


def all_measured(workshop: Workshop) -> bool:
    """Whether the figures of every outline are kept."""
    with workshop.database.read() as connection:
        return not without_figures(connection, 1)
