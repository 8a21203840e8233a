"""Damage reports: found, listed, and added to; nothing of them is ever changed."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import TypeVar

from sqlalchemy import Connection, func, insert, select

from service.store.chunks import chunks
from service.store.database import next_id
from service.store.tables import (
    DamageChoice,
    DamageEnd,
    DamageEvidence,
    DamageLink,
    DamageOrder,
    DamagePhoto,
    DamageReport,
    Numbered,
    Piece,
    Segment,
    table_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewReport:
    """A call as it began."""

    words: str
    mark: str | None
    came_by: str | None
    caller: str
    telephone: str
    follows_reorder_id: int | None
    reported_at: str
    reported_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportRow(NewReport):
    """A report on record."""

    id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEvidence:
    """An answer; ``damage_link_id`` where the caller gave it on the telephone's page."""

    question: str
    answer: str
    tolerance_mm: float | None
    came_by: str | None
    damage_link_id: int | None
    at: str
    actor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow(NewEvidence):
    """An answer on record."""

    damage_report_id: int
    ordinal: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPhoto:
    """A photograph whose bytes lie in the vault; ``reading`` is JSON text."""

    sha256: str
    media_type: str
    size_bytes: int
    width_px: int
    height_px: int
    typed: str | None
    mark: str | None
    reading: str
    at: str
    actor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRow(NewPhoto):
    """A photograph on record."""

    damage_report_id: int
    ordinal: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NewChoice:
    """A segment that was decided on; ``rejected`` and ``shown`` are JSON lists."""

    segment_id: int
    piece_id: int | None
    set_number: int | None
    rejected: str
    shown: str
    reason: str | None
    at: str
    actor: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceRow(NewChoice):
    """A choice on record, with the number of its segment and the key of its piece."""

    damage_report_id: int
    ordinal: int
    number: str
    key: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRow:
    """A link to pictures; ``numbers`` is a JSON list."""

    id: int
    damage_report_id: int
    numbers: str
    expires_at: str
    made_at: str
    made_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportOrderRow:
    """An order that a report is about."""

    damage_report_id: int
    reorder_id: int
    duplicate: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class EndRow:
    """Why nothing comes of a report."""

    damage_report_id: int
    reason: str
    at: str
    actor: str


_REPORT = tuple(getattr(DamageReport, name) for name in (*NewReport.__slots__, "id"))
_LINK = tuple(getattr(DamageLink, name) for name in LinkRow.__slots__)
R = TypeVar("R", EvidenceRow, PhotoRow, ReportOrderRow, EndRow)


def add_report(connection: Connection, new: NewReport) -> int:
    """Put a report on record; its id."""
    id_ = next_id(connection, DamageReport)
    values = {name: getattr(new, name) for name in NewReport.__slots__}
    connection.execute(insert(table_of(DamageReport)), {"id": id_, **values})
    return id_


def find_report(connection: Connection, report_id: int) -> ReportRow | None:
    """A report by its id."""
    row = connection.execute(select(*_REPORT).where(DamageReport.id == report_id)).one_or_none()
    return None if row is None else ReportRow(**row._mapping)


def report_page(connection: Connection, *, after: int | None, limit: int) -> tuple[ReportRow, ...]:
    """Reports, the newest first; ``after`` is the id of the last one of the page before."""
    query = select(*_REPORT).order_by(DamageReport.id.desc()).limit(limit)
    if after is not None:
        query = query.where(DamageReport.id < after)
    return tuple(ReportRow(**row._mapping) for row in connection.execute(query))


def add_evidence(connection: Connection, report_id: int, new: NewEvidence) -> int:
    """Add an answer; which one of its report it is."""
    return _add(connection, DamageEvidence, report_id, {name: getattr(new, name) for name in NewEvidence.__slots__})


def add_photo(connection: Connection, report_id: int, new: NewPhoto) -> int:
    """Add a photograph; which one of its report it is."""
    return _add(connection, DamagePhoto, report_id, {name: getattr(new, name) for name in NewPhoto.__slots__})


def add_choice(connection: Connection, report_id: int, new: NewChoice) -> int:
    """Add a choice; which one of its report it is."""
    return _add(connection, DamageChoice, report_id, {name: getattr(new, name) for name in NewChoice.__slots__})


def _add(
    connection: Connection,
    model: type[DamageEvidence | DamagePhoto | DamageChoice],
    report_id: int,
    values: dict[str, object],
) -> int:
    table = table_of(model)
    last = connection.scalar(select(func.max(table.c.ordinal)).where(table.c.damage_report_id == report_id))
    ordinal = int(last or 0) + 1
    connection.execute(
        insert(table),
        {"id": next_id(connection, model), "damage_report_id": report_id, "ordinal": ordinal, **values},
    )
    return ordinal


def add_order(connection: Connection, *, report_id: int, reorder_id: int, duplicate: bool, at: str, actor: str) -> None:
    """Say that an order came of a report, or was there before."""
    connection.execute(
        insert(table_of(DamageOrder)),
        {
            "id": next_id(connection, DamageOrder),
            "damage_report_id": report_id,
            "reorder_id": reorder_id,
            "duplicate": duplicate,
            "at": at,
            "actor": actor,
        },
    )


def end_report(connection: Connection, *, report_id: int, reason: str, at: str, actor: str) -> None:
    """Say that nothing comes of a report."""
    connection.execute(
        insert(table_of(DamageEnd)),
        {
            "id": next_id(connection, DamageEnd),
            "damage_report_id": report_id,
            "reason": reason,
            "at": at,
            "actor": actor,
        },
    )


def add_link(
    connection: Connection, *, report_id: int, token_sha256: str, numbers: str, expires_at: str, at: str, actor: str
) -> None:
    """Put a link on record; ``numbers`` is a JSON list."""
    connection.execute(
        insert(table_of(DamageLink)),
        {
            "id": next_id(connection, DamageLink),
            "damage_report_id": report_id,
            "token_sha256": token_sha256,
            "numbers": numbers,
            "expires_at": expires_at,
            "made_at": at,
            "made_by": actor,
        },
    )


def find_link(connection: Connection, token_sha256: str) -> LinkRow | None:
    """A link by the SHA-256 of its token."""
    row = connection.execute(select(*_LINK).where(DamageLink.token_sha256 == token_sha256)).one_or_none()
    return None if row is None else LinkRow(**row._mapping)


def evidence_of(connection: Connection, report_ids: Collection[int]) -> dict[int, tuple[EvidenceRow, ...]]:
    """Every answer in its order, by report."""
    return _by_report(connection, EvidenceRow, DamageEvidence, report_ids, "ordinal")


def photos_of(connection: Connection, report_ids: Collection[int]) -> dict[int, tuple[PhotoRow, ...]]:
    """Every photograph in its order, by report."""
    return _by_report(connection, PhotoRow, DamagePhoto, report_ids, "ordinal")


def orders_of(connection: Connection, report_ids: Collection[int]) -> dict[int, tuple[ReportOrderRow, ...]]:
    """Every order in its order, by report."""
    return _by_report(connection, ReportOrderRow, DamageOrder, report_ids, "id")


def ends_of(connection: Connection, report_ids: Collection[int]) -> dict[int, EndRow]:
    """Why nothing came of them, by report; those that were not given up are left out."""
    found = _by_report(connection, EndRow, DamageEnd, report_ids, "id")
    return {id_: rows[0] for id_, rows in found.items()}


def choices_of(connection: Connection, report_ids: Collection[int]) -> dict[int, tuple[ChoiceRow, ...]]:
    """Every choice in its order, by report; the last one stands."""
    columns = [getattr(DamageChoice, name) for name in (*NewChoice.__slots__, "damage_report_id", "ordinal")]
    found: dict[int, list[ChoiceRow]] = {}
    for some in chunks(report_ids):
        query = (
            select(*columns, Segment.number, Piece.key)
            .join(Segment, Segment.id == DamageChoice.segment_id)
            .outerjoin(Piece, Piece.id == DamageChoice.piece_id)
            .where(DamageChoice.damage_report_id.in_(some))
            .order_by(DamageChoice.damage_report_id, DamageChoice.ordinal)
        )
        for row in connection.execute(query):
            choice = ChoiceRow(**row._mapping)
            found.setdefault(choice.damage_report_id, []).append(choice)
    return {id_: tuple(rows) for id_, rows in found.items()}


def _by_report(
    connection: Connection, kind: type[R], model: type[Numbered], report_ids: Collection[int], order: str
) -> dict[int, tuple[R, ...]]:
    table = table_of(model)
    # A frozen row names the columns that it is made of; those of its base too.
    names = [name for base in reversed(kind.__mro__) for name in getattr(base, "__slots__", ())]
    found: dict[int, list[R]] = {}
    for some in chunks(report_ids):
        query = select(*(table.c[name] for name in names)).where(table.c.damage_report_id.in_(some))
        for row in connection.execute(query.order_by(table.c.damage_report_id, table.c[order])):
            made = kind(**row._mapping)
            found.setdefault(made.damage_report_id, []).append(made)
    return {id_: tuple(rows) for id_, rows in found.items()}
