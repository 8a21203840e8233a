"""Legacy marks on record: added, marked wrong, never changed or deleted; looked for whole and by a part."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Connection, Select, insert, select

from service.store.batches import insert_batch
from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import Alias, AliasWrong, table_of

SubjectKind = Literal["plant", "line", "machine", "container", "kit", "segment"]
"""What an alias may name."""

SUBJECT_KINDS: tuple[SubjectKind, ...] = ("plant", "line", "machine", "container", "kit", "segment")
_COLUMNS = {kind: getattr(Alias, f"{kind}_id") for kind in SUBJECT_KINDS}


@dataclass(frozen=True, slots=True)
class WrongRow:
    """Why an alias was marked wrong, who did it and when."""

    reason: str
    by: str
    at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NewAlias:
    """What somebody calls a thing.

    Attributes:
        kind: what sort of thing.
        subject_id: its row id in the table of that sort.
        text: as it was written.
        folded: as it is looked for (``rules/legacy_marks.py``).
        source: who says so, or where it stood.
        note: anything else.
    """

    kind: SubjectKind
    subject_id: int
    text: str
    folded: str
    source: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AliasRow(NewAlias):
    """An alias on record: ``said`` counts how often the same was said of the same thing; ``wrong`` None as it holds."""

    id: int
    said: int
    by: str
    at: str
    wrong: WrongRow | None


_ALIASES: Select[*tuple[Any, ...]] = select(
    Alias.id, *_COLUMNS.values(), Alias.text, Alias.folded, Alias.said, Alias.source, Alias.note,
    Alias.recorded_by, Alias.recorded_at, AliasWrong.reason, AliasWrong.marked_by, AliasWrong.marked_at,
).outerjoin(AliasWrong, AliasWrong.alias_id == Alias.id)  # fmt: skip


def _rows(connection: Connection, query: Select[*tuple[Any, ...]]) -> tuple[AliasRow, ...]:
    return tuple(_row(row) for row in connection.execute(query))


def _row(row: Sequence[Any]) -> AliasRow:
    count = len(SUBJECT_KINDS)
    kind, subject_id = next((kind, id_) for kind, id_ in zip(SUBJECT_KINDS, row[1:], strict=False) if id_ is not None)
    text, folded, said, source, note, by, at, reason, wrong_by, wrong_at = row[1 + count :]
    return AliasRow(
        id=row[0],
        kind=kind,
        subject_id=subject_id,
        text=text,
        folded=folded,
        said=said,
        source=source,
        note=note,
        by=by,
        at=at,
        wrong=None if reason is None else WrongRow(reason, wrong_by, wrong_at),
    )


_INSERTED = (
    "id", *(f"{kind}_id" for kind in SUBJECT_KINDS), "text", "folded", "said", "source", "note", "recorded_by",
    "recorded_at",
)  # fmt: skip


def add_aliases(
    connection: Connection, new: Sequence[tuple[NewAlias, int]], *, by: str, at: str
) -> tuple[AliasRow, ...]:
    """Put aliases on record, each with how often it was said by now; their rows, in the same order."""
    first = next_id(connection, Alias)
    made = tuple(
        AliasRow(
            id=id_,
            kind=one.kind,
            subject_id=one.subject_id,
            text=one.text,
            folded=one.folded,
            said=said,
            source=one.source,
            note=one.note,
            by=by,
            at=at,
            wrong=None,
        )
        for id_, (one, said) in enumerate(new, first)
    )
    rows = [
        (
            row.id,
            *(row.subject_id if kind == row.kind else None for kind in SUBJECT_KINDS),
            row.text,
            row.folded,
            row.said,
            row.source,
            row.note,
            row.by,
            row.at,
        )
        for row in made
    ]
    insert_batch(connection, Alias, _INSERTED, rows)
    return made


def last_said(
    connection: Connection, kind: SubjectKind, named: Iterable[tuple[int, str]]
) -> dict[tuple[int, str], AliasRow]:
    """For pairs of a subject's row id and a folded text the last alias that says so; pairs nobody said are left out."""
    wanted = set(named)
    column = _COLUMNS[kind]
    found: dict[tuple[int, str], AliasRow] = {}
    for some in chunks(sorted({folded for _, folded in wanted})):
        query = _ALIASES.where(Alias.folded.in_(some), column.is_not(None)).order_by(Alias.id)
        for row in _rows(connection, query):
            if (row.subject_id, row.folded) in wanted:
                found[row.subject_id, row.folded] = row
    return found


def alias_by_id(connection: Connection, alias_id: int) -> AliasRow | None:
    """The alias with a row id."""
    return next(iter(_rows(connection, _ALIASES.where(Alias.id == alias_id))), None)


def aliases_by_ids(connection: Connection, alias_ids: Collection[int]) -> dict[int, AliasRow]:
    """The aliases with these row ids, by row id."""
    return {row.id: row for some in chunks(alias_ids) for row in _rows(connection, _ALIASES.where(Alias.id.in_(some)))}


def aliases_named(connection: Connection, foldings: Collection[str]) -> tuple[AliasRow, ...]:
    """The aliases that hold and whose whole text folds to one of these, in the order in which they were recorded."""
    if not foldings:
        return ()
    query = _ALIASES.where(Alias.folded.in_(foldings), AliasWrong.alias_id.is_(None)).order_by(Alias.id)
    return _rows(connection, query)


def aliases_of(
    connection: Connection, kind: SubjectKind, subject_ids: Collection[int]
) -> Mapping[int, tuple[AliasRow, ...]]:
    """The aliases of each of these things, those marked wrong too, in the order in which they were recorded."""
    column = _COLUMNS[kind]
    found: dict[int, list[AliasRow]] = {subject_id: [] for subject_id in subject_ids}
    for some in chunks(subject_ids):
        for row in _rows(connection, _ALIASES.where(column.in_(some)).order_by(Alias.id)):
            found[row.subject_id].append(row)
    return {subject_id: tuple(rows) for subject_id, rows in found.items()}


def alias_page(
    connection: Connection,
    *,
    part: str | None,
    kind: SubjectKind | None,
    subject_id: int | None,
    after: int,
    limit: int,
) -> tuple[AliasRow, ...]:
    """Aliases in the order in which they were recorded, those after a row id.

    Args:
        connection: inside a transaction.
        part: folded text that stands anywhere in theirs.
        kind: of things of this sort.
        subject_id: of this one thing; ``kind`` says of which sort.
        after: row id of the last alias of the part before, 0 for the first part.
        limit: at most so many.
    """
    ids = select(Alias.id).where(Alias.id > after).order_by(Alias.id).limit(limit)
    if part is not None:
        ids = ids.where(Alias.folded.contains(part, autoescape=True))
    if kind is not None:
        column = _COLUMNS[kind]
        ids = ids.where(column.is_not(None) if subject_id is None else column == subject_id)
    return _rows(connection, _ALIASES.where(Alias.id.in_(ids)).order_by(Alias.id))


def mark_wrong(connection: Connection, alias_id: int, wrong: WrongRow) -> None:
    """An alias does not hold: it stays on record and finds nothing any more."""
    connection.execute(
        insert(table_of(AliasWrong)),
        {"alias_id": alias_id, "reason": wrong.reason, "marked_by": wrong.by, "marked_at": wrong.at},
    )
