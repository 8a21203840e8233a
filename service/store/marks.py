"""Marks that were rendered: written as intended before any byte is handed out, settled after."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, bindparam, insert, select, update

from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import Mark, table_of
from service.store.values import MarkRow


@dataclass(frozen=True, slots=True, kw_only=True)
class NewMark:
    """A mark about to be rendered.

    Attributes:
        segment_id: whose number it bears.
        piece_id: the one piece that it is for, None when it stands for all of them.
        kind: ``nameplate`` or ``engraving``.
        form: the template or the kind of file.
        text: what the codes or the strokes say.
        made_at: when, ISO 8601 in UTC.
    """

    segment_id: int
    piece_id: int | None
    kind: Literal["nameplate", "engraving"]
    form: str
    text: str
    made_at: str


def intend_marks(connection: Connection, rows: Sequence[NewMark]) -> list[int]:
    """Write marks down before they are rendered, so that a number counts as marked from now on; their row ids."""
    if not rows:
        return []
    first = next_id(connection, Mark)
    connection.execute(
        insert(table_of(Mark)),
        [
            {
                "id": id_,
                "segment_id": row.segment_id,
                "piece_id": row.piece_id,
                "kind": row.kind,
                "form": row.form,
                "text": row.text,
                "state": "intended",
                "made_at": row.made_at,
                "verified_by": None,
            }
            for id_, row in enumerate(rows, first)
        ],
    )
    return list(range(first, first + len(rows)))


def settle_marks(
    connection: Connection, mark_ids: Collection[int], state: Literal["made", "failed"], verified_by: str | None
) -> None:
    """Say what became of intended marks, and which decoder read them back."""
    if mark_ids:
        mark = table_of(Mark)
        connection.execute(
            update(mark).where(mark.c.id == bindparam("mark_id")).values(state=state, verified_by=verified_by),
            [{"mark_id": mark_id} for mark_id in mark_ids],
        )


def marks_of(connection: Connection, segment_id: int) -> tuple[MarkRow, ...]:
    """Every mark that was ever rendered or tried for a segment, oldest first."""
    rows = connection.execute(
        select(
            Mark.id,
            Mark.segment_id,
            Mark.piece_id,
            Mark.kind,
            Mark.form,
            Mark.text,
            Mark.state,
            Mark.made_at,
            Mark.verified_by,
        )
        .where(Mark.segment_id == segment_id)
        .order_by(Mark.id)
    )
    return tuple(MarkRow(*row) for row in rows)


def made_marks(connection: Connection, segment_ids: Collection[int], kind: str) -> frozenset[tuple[int, int | None]]:
    """The marks of a kind that were made for these segments, by segment and piece."""
    return frozenset(
        (int(row.segment_id), row.piece_id)
        for some in chunks(segment_ids)
        for row in connection.execute(
            select(Mark.segment_id, Mark.piece_id)
            .where(Mark.segment_id.in_(some), Mark.kind == kind, Mark.state == "made")
            .distinct()
        )
    )


def any_mark(connection: Connection, segment_ids: Collection[int]) -> frozenset[int]:
    """Which of these segments may bear a mark: one was made, or was begun and nobody knows how it ended."""
    return frozenset(
        segment_id
        for some in chunks(segment_ids)
        for segment_id in connection.scalars(
            select(Mark.segment_id).where(Mark.segment_id.in_(some), Mark.state != "failed").distinct()
        )
    )
