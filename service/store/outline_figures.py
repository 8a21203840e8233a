"""Figures of outlines: kept with each release, and filled in for revisions that were released before they were kept."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, insert, select

from service.outlines.figures import OutlineFigures as Figures
from service.store.tables import OutlineFigures, Revision, table_of


def keep_figures(connection: Connection, figures: Mapping[int, Figures]) -> None:
    """Keep the figures of outlines, by the revision's row id."""
    if figures:
        connection.execute(
            insert(table_of(OutlineFigures)),
            [
                {
                    "revision_id": revision_id,
                    "length_mm": one.length_mm,
                    "breadth_mm": one.breadth_mm,
                    "pockets": one.pockets,
                    "pocket_radius_mm": one.pocket_radius_mm,
                    "holes": one.holes,
                }
                for revision_id, one in figures.items()
            ],
        )


def figures_of(connection: Connection, revision_id: int) -> Figures | None:
    """The figures of a revision's outline; None while they are not kept."""
    row = connection.execute(
        select(
            OutlineFigures.length_mm,
            OutlineFigures.breadth_mm,
            OutlineFigures.pockets,
            OutlineFigures.pocket_radius_mm,
            OutlineFigures.holes,
        ).where(OutlineFigures.revision_id == revision_id)
    ).one_or_none()
    return None if row is None else Figures(*row)


def without_figures(connection: Connection, limit: int) -> tuple[int, ...]:
    """The row ids of revisions whose figures are not kept, the first released ones first."""
    query = (
        select(Revision.id)
        .outerjoin(OutlineFigures, OutlineFigures.revision_id == Revision.id)
        .where(OutlineFigures.revision_id.is_(None))
        .order_by(Revision.id)
        .limit(limit)
    )
    return tuple(connection.scalars(query))
