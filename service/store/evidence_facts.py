"""Everything that a caller can be asked about, of all segments, kept in memory and following the records.

What is kept is one picture of one moment. Every change of an identity leaves a line in the journal, so the newest line
tells whether the picture still holds, and the version of each kit which of its segments have to be read again; a change
that another process made is seen the same way. Rows are only ever added, so new segments are those with higher ids.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from sqlalchemy import Connection, Select, func, select

from service.rules.evidence import NO_HAND, Fact, Tables
from service.rules.evidence_figures import Thickness
from service.rules.evidence_kinds import Kind
from service.rules.segment_space import Codes, Column, Floats, Level, SegmentSpace, status_weight
from service.store import codes
from service.store.chunks import chunks
from service.store.database import Database
from service.store.kit_evidence import KitEvidence, kit_evidence
from service.store.tables import Assembly, Event, OutlineFigures, Segment

_BLOCK = 20_000

_LENGTH_STEP_MM = 1.0
"""Lengths are told apart no finer than this, half of what a tape is out by; it keeps the different ones few."""

_SEGMENTS = select(
    Segment.id,
    Segment.kit_id,
    Segment.revision_id,
    Segment.assembly_id,
    Segment.deck,
    Segment.hand,
    Segment.stock_colour,
    Segment.thickness_mm,
    Segment.measured_thickness_mm,
    Segment.status,
)
_FIGURES = select(OutlineFigures.revision_id, OutlineFigures.length_mm, OutlineFigures.pockets).order_by(
    OutlineFigures.revision_id
)
_NEWEST = select(
    select(func.coalesce(func.max(Event.id), 0)).scalar_subquery(),
    select(func.coalesce(func.max(Segment.id), 0)).scalar_subquery(),
)
_NOT_ASKED = frozenset(
    {
        "bind", "cancelled", "check", "damage", "engrave", "fitted", "inspect", "override", "print", "print answer",
        "print job", "reorder", "rework", "same interface", "scrap", "survey", "track",
    }
)  # fmt: skip
"""Verbs of the journal after which everything that callers are asked about stands as before."""

Profile = tuple[str, str, str | None, str, float, float | None, str]
"""Assembly, deck, hand, stock colour, nominal and measured thickness, status."""
Columns = tuple[Codes, Codes, Codes, Codes]
"""Of all segments: ids, kits, revisions, profiles."""


@dataclass(frozen=True)
class _Picture:
    """What was read at one moment."""

    newest_event: int
    newest_segment: int
    kits: KitEvidence
    assemblies: dict[int, str]
    profiles: tuple[Profile, ...]
    columns: Columns
    space: SegmentSpace


class EvidenceFacts:
    """The picture of all segments of one database; any number of threads may ask for it.

    Args:
        database: the records.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._picture: _Picture | None = None
        self._turn = threading.Lock()

    def current(self) -> SegmentSpace:
        """All segments as they stand now; what did not change since the last time is not read again.

        A transaction that is opened afterwards finds every segment of it on record, since none is ever deleted.

        Raises:
            DatabaseUnavailable: the database does not answer.
        """
        with self._database.read() as connection:
            now = _marks(connection)
            picture = self._picture
            # Another thread's picture may be newer than this transaction: it is as good as its own.
            if picture is None or now > _marks_of(picture):
                with self._turn:
                    picture = self._picture
                    if picture is None or now > _marks_of(picture):
                        picture = _followed(connection, now, picture)
                        self._picture = picture
        return picture.space


def _marks(connection: Connection) -> tuple[int, int]:
    """What tells whether anything changed: the newest line of the journal and the newest segment."""
    row = connection.execute(_NEWEST).one()
    return int(row[0]), int(row[1])


def _marks_of(picture: _Picture) -> tuple[int, int]:
    return picture.newest_event, picture.newest_segment


def _followed(connection: Connection, marks: tuple[int, int], before: _Picture | None) -> _Picture:
    """The picture of this moment, from the one before."""
    if before is not None and marks[1] == before.newest_segment and _says_nothing(connection, before.newest_event):
        return replace(before, newest_event=marks[0])
    return _read(connection, marks, before)


def _says_nothing(connection: Connection, after: int) -> bool:
    """Whether all that the journal holds since is about marks, pieces and orders, which nobody is asked about."""
    verbs = connection.scalars(select(Event.verb).where(Event.id > after).distinct())
    return all(verb in _NOT_ASKED for verb in verbs)


def _read(connection: Connection, marks: tuple[int, int], before: _Picture | None) -> _Picture:
    kits = kit_evidence(connection)
    assemblies = _assemblies(connection, before)
    profiles = {profile: at for at, profile in enumerate(before.profiles)} if before else {}
    since = before.newest_segment if before else 0
    new = (_SEGMENTS.where(Segment.id > low, Segment.id <= low + _BLOCK) for low in range(since, marks[1], _BLOCK))
    parts = [_columns(_raw(connection, new), assemblies, profiles)]
    if before is not None:
        parts.insert(0, _kept(connection, before, kits, assemblies, profiles))
    ids, kit_ids, revision_ids, profile_codes = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    order = np.argsort(ids, kind="stable")
    columns = (ids[order], kit_ids[order], revision_ids[order], profile_codes[order])
    names = tuple(profiles)
    return _Picture(*marks, kits, assemblies, names, columns, _space(connection, kits, names, columns))


def _raw(connection: Connection, queries: Iterable[Select[*tuple[Any, ...]]]) -> Iterator[list[tuple[Any, ...]]]:
    """The rows of one query after another, straight from the driver: a million of them is what takes the time here."""
    for query in queries:
        cursor = connection.execute(query).cursor
        assert cursor is not None
        yield list(cursor.fetchall())


def _columns(
    blocks: Iterable[list[tuple[Any, ...]]], assemblies: dict[int, str], profiles: dict[Profile, int]
) -> Columns:
    """Segments from their rows: their ids, kits, revisions and profiles."""
    found: list[tuple[Codes, ...]] = []
    for rows in blocks:
        if rows:
            ids, kit_ids, revision_ids, assembly_ids, *rest = zip(*rows, strict=True)
            named = zip(map(assemblies.__getitem__, assembly_ids), *rest, strict=True)
            profile_codes = [profiles.setdefault(profile, len(profiles)) for profile in named]
            found.append(
                tuple(np.asarray(column, dtype=np.int32) for column in (ids, kit_ids, revision_ids, profile_codes))
            )
    if not found:
        empty = np.empty(0, np.int32)
        return empty, empty, empty, empty
    first, second, third, fourth = (np.concatenate(columns) for columns in zip(*found, strict=True))
    return first, second, third, fourth


def _kept(
    connection: Connection,
    before: _Picture,
    kits: KitEvidence,
    assemblies: dict[int, str],
    profiles: dict[Profile, int],
) -> Columns:
    """What was read before, the segments of kits that changed since read again."""
    changed = sorted(id_ for id_, version in kits.versions.items() if before.kits.versions.get(id_, version) != version)
    if not changed:
        return before.columns
    stays = ~np.isin(before.columns[1], np.asarray(changed, dtype=np.int32))
    queries = (
        _SEGMENTS.where(Segment.kit_id.in_(some), Segment.id <= before.newest_segment) for some in chunks(changed)
    )
    again = _columns(_raw(connection, queries), assemblies, profiles)
    first, second, third, fourth = (
        np.concatenate([column[stays], other]) for column, other in zip(before.columns, again, strict=True)
    )
    return first, second, third, fourth


def _assemblies(connection: Connection, before: _Picture | None) -> dict[int, str]:
    """The code of every assembly, by row id."""
    known = before.assemblies if before else {}
    query = select(Assembly.id, Assembly.code).where(Assembly.id > max(known, default=0))
    return known | {row[0]: row[1] for rows in _raw(connection, [query]) for row in rows}


def _outlines(connection: Connection, revision_ids: Codes) -> tuple[list[tuple[float, int] | None], Codes]:
    """The different figures of outlines, None for none on record, and for each segment which are its own."""
    different: dict[tuple[float, int] | None, int] = {None: 0}
    measured: list[int] = []
    own: list[int] = []
    for rows in _raw(connection, [_FIGURES]):
        for revision_id, length_mm, pockets in rows:
            figures = (round(length_mm / _LENGTH_STEP_MM) * _LENGTH_STEP_MM, pockets)
            measured.append(revision_id)
            own.append(different.setdefault(figures, len(different)))
    if not measured:
        return [None], np.zeros(len(revision_ids), np.int32)
    known, code = np.asarray(measured, dtype=np.int32), np.asarray(own, dtype=np.int32)
    at = np.minimum(np.searchsorted(known, revision_ids), len(known) - 1)
    return list(different), np.where(known[at] == revision_ids, code[at], 0).astype(np.int32)


def _space(connection: Connection, kits: KitEvidence, profiles: tuple[Profile, ...], columns: Columns) -> SegmentSpace:
    ids, kit_ids, revision_ids, profile_codes = columns
    figures, outline_codes = _outlines(connection, revision_ids)
    tables = codes.code_tables(connection)
    families = {code: Kind(code, name) for code, name in tables.assemblies.items()}
    decks = {code: Kind(code, name) for code, name in tables.decks.items()}
    return SegmentSpace(
        ids=ids,
        revisions=revision_ids,
        levels={
            "kit": Level(
                codes=np.searchsorted(kits.ids, kit_ids).astype(np.int32),
                columns=kits.columns,
                weights=kits.weights,
            ),
            "profile": Level(
                codes=profile_codes,
                columns={
                    "shape_family": column(families.get(profile[0]) for profile in profiles),
                    "deck": column(decks.get(profile[1]) for profile in profiles),
                    "hand": column(profile[2] or NO_HAND for profile in profiles),
                    "stock_colour": column(profile[3] for profile in profiles),
                    "thickness_mm": column(Thickness(profile[4], profile[5]) for profile in profiles),
                },
                weights=_weights("voided" if profile[6] == "voided" else "active" for profile in profiles),
            ),
            "outline": Level(
                codes=outline_codes,
                columns={
                    "overall_length_mm": column(None if one is None else one[0] for one in figures),
                    "pockets": column(None if one is None else one[1] for one in figures),
                },
                weights=np.ones(len(figures)),
            ),
        },
        kit_numbers=kits.numbers,
        tables=Tables(tuple(families.values()), tuple(decks.values())),
    )


def column(facts: Iterable[Fact | None]) -> Column:
    """Facts row by row as a column, each different one once."""
    seen: dict[Fact | None, int] = {}
    rows = [seen.setdefault(fact, len(seen)) for fact in facts]
    return Column(tuple(seen), np.asarray(rows, dtype=np.int32))


def _weights(statuses: Iterable[Literal["active", "voided"]]) -> Floats:
    return np.asarray([status_weight(status) for status in statuses], dtype=np.float64)
