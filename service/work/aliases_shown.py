"""Legacy marks as they cross the edge."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection

from schemas.answers.aliases import AliasAnswer
from service.store import aliases
from service.store.alias_subjects import named_by
from service.store.aliases import AliasRow, SubjectKind


def aliases_of(connection: Connection, kind: SubjectKind, subject_id: int) -> tuple[AliasAnswer, ...]:
    """The aliases of one thing, those marked wrong too."""
    return alias_answers(connection, aliases.aliases_of(connection, kind, [subject_id])[subject_id])


def alias_answers(connection: Connection, rows: Iterable[AliasRow]) -> tuple[AliasAnswer, ...]:
    """Aliases as they cross the edge."""
    told = tuple(rows)
    names = named_by(connection, told)
    return tuple(alias_answer(row, names[row.kind, row.subject_id]) for row in told)


def alias_answer(row: AliasRow, designation: str) -> AliasAnswer:
    """An alias as it crosses the edge."""
    return AliasAnswer(
        id=row.id,
        kind=row.kind,
        of=designation,
        text=row.text,
        source=row.source,
        note=row.note,
        recorded_by=row.by,
        recorded_at=row.at,
        wrong_reason=row.wrong.reason if row.wrong else None,
        wrong_by=row.wrong.by if row.wrong else None,
        wrong_at=row.wrong.at if row.wrong else None,
    )
