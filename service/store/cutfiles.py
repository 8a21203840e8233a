"""Cut files and their released revisions; the bytes themselves lie in the vault."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Select, bindparam, func, insert, select, update

from service.errors import BadRequest
from service.store.chunks import chunks
from service.store.database import next_id
from service.store.pieces import PIECES
from service.store.segments import MACHINE_ORDER, SEGMENTS, segment_rows, segments_by_ids
from service.store.tables import CutFile, Piece, Revision, RevisionChange, Segment, table_of
from service.store.values import CutFileSummary, PieceRow, RevisionRow, SegmentRow

_REVISIONS = (
    select(
        Revision.id,
        Revision.cut_file_id,
        CutFile.name,
        Revision.letter,
        Revision.ordinal,
        Revision.sha256,
        Revision.size_bytes,
        Revision.note,
        Revision.units,
        Revision.area_mm2,
        Revision.width_mm,
        Revision.height_mm,
        Revision.released_at,
        Revision.withdrawn_at,
        Revision.withdrawn_reason,
    )
    .join(CutFile, CutFile.id == Revision.cut_file_id)
    .order_by(Revision.cut_file_id, Revision.ordinal)
)
_CHANGES = select(RevisionChange.revision_id, RevisionChange.kind, RevisionChange.name)
_USERS = SEGMENTS.where(Segment.cut_file_id == bindparam("cut_file_id")).order_by(Segment.kit_id, *MACHINE_ORDER)

_REVISION_COUNT = select(func.count()).where(Revision.cut_file_id == CutFile.id).correlate(CutFile).scalar_subquery()
_CURRENT = (
    select(Revision.letter)
    .where(Revision.cut_file_id == CutFile.id, Revision.withdrawn_at.is_(None))
    .order_by(Revision.ordinal.desc())
    .limit(1)
    .correlate(CutFile)
    .scalar_subquery()
)
_RELEASED = (
    select(func.max(Revision.released_at))
    .where(Revision.cut_file_id == CutFile.id)
    .correlate(CutFile)
    .scalar_subquery()
)
_USER_COUNT = (
    select(func.count())
    .where(Segment.cut_file_id == CutFile.id, Segment.status == "active")
    .correlate(CutFile)
    .scalar_subquery()
)


def find_cut_file(connection: Connection, name: str) -> int | None:
    """The row id of a cut file, None when no revision of that name was ever released."""
    return connection.scalar(select(CutFile.id).where(CutFile.name == name))


def cut_file_page(connection: Connection, *, after: str | None, limit: int) -> tuple[CutFileSummary, ...]:
    """Cut files, the one registered last first. ``after`` is the name of the last one of the page before.

    Raises:
        BadRequest: ``after`` is no cut file on record.
    """
    query = (
        select(CutFile.id, CutFile.name, _CURRENT, _REVISION_COUNT, _RELEASED, _USER_COUNT)
        .order_by(CutFile.id.desc())
        .limit(limit)
    )
    if after is not None:
        last = find_cut_file(connection, after)
        if last is None:
            raise BadRequest(
                "no cut file of this name is on record", field="after", value=after, todo="Begin at the first page"
            )
        query = query.where(CutFile.id < last)
    return tuple(CutFileSummary(*row) for row in connection.execute(query))


def add_revision(
    connection: Connection,
    *,
    name: str,
    letter: str,
    ordinal: int,
    sha256: str,
    size_bytes: int,
    note: str,
    units: str,
    area_mm2: float,
    width_mm: float,
    height_mm: float,
    drawing: bytes,
    released_at: str,
    joints_changed: Collection[str] = (),
    interfaces_changed: Collection[str] = (),
) -> RevisionRow:
    """Release a revision, of a new cut file if the name is new. The bytes must lie in the vault already.

    Args:
        connection: inside ``Database.write``.
        name: the cut file's name, unique in the shop.
        letter: ``-`` or the revision letters.
        ordinal: 0 for ``-``, then one more for each release.
        sha256: of the bytes, 64 hexadecimal digits.
        size_bytes: of the bytes.
        note: what changed, in a person's words.
        units: those of the drawing.
        area_mm2: of the closed outlines.
        width_mm: of the outline's bounding box.
        height_mm: of the outline's bounding box.
        drawing: the outlines as they were read, in the form that the outlines room gives them.
        released_at: when, ISO 8601 in UTC.
        joints_changed: each by the neighbour's number or place.
        interfaces_changed: hub bore, bolt pattern, pocket, outside contour, thickness.
    """
    cut_file_id = find_cut_file(connection, name)
    if cut_file_id is None:
        cut_file_id = next_id(connection, CutFile)
        connection.execute(insert(table_of(CutFile)), {"id": cut_file_id, "name": name})
    revision_id = next_id(connection, Revision)
    connection.execute(
        insert(table_of(Revision)),
        {
            "id": revision_id,
            "cut_file_id": cut_file_id,
            "letter": letter,
            "ordinal": ordinal,
            "sha256": sha256,
            "size_bytes": size_bytes,
            "note": note,
            "units": units,
            "area_mm2": area_mm2,
            "width_mm": width_mm,
            "height_mm": height_mm,
            "drawing": drawing,
            "released_at": released_at,
            "withdrawn_at": None,
            "withdrawn_reason": None,
        },
    )
    changes = [
        {"revision_id": revision_id, "kind": kind, "name": changed}
        for kind, names in (("joint", joints_changed), ("interface", interfaces_changed))
        for changed in sorted(set(names))
    ]
    if changes:
        connection.execute(insert(table_of(RevisionChange)), changes)
    return revision_by_ids(connection, [revision_id])[revision_id]


def revisions(connection: Connection, cut_file: int | str) -> tuple[RevisionRow, ...]:
    """Every revision of a cut file (row id or name) in the order of release, withdrawn ones too."""
    condition = CutFile.name == cut_file if isinstance(cut_file, str) else CutFile.id == cut_file
    return _revision_rows(connection, _REVISIONS.where(condition))


def revisions_of(connection: Connection, cut_file_ids: Collection[int]) -> dict[int, tuple[RevisionRow, ...]]:
    """The revisions of several cut files by row id, each in the order of release; every id asked for is a key."""
    found: defaultdict[int, list[RevisionRow]] = defaultdict(list)
    for some in chunks(cut_file_ids):
        for row in _revision_rows(connection, _REVISIONS.where(Revision.cut_file_id.in_(some))):
            found[row.cut_file_id].append(row)
    return {cut_file_id: tuple(found[cut_file_id]) for cut_file_id in cut_file_ids}


def revisions_by_name(connection: Connection, names: Collection[str]) -> dict[str, tuple[RevisionRow, ...]]:
    """The revisions of several cut files in order of release; a name that is not on record is left out."""
    found: defaultdict[str, list[RevisionRow]] = defaultdict(list)
    for some in chunks(names):
        for row in _revision_rows(connection, _REVISIONS.where(CutFile.name.in_(some))):
            found[row.cut_file].append(row)
    return {name: tuple(rows) for name, rows in found.items()}


def find_revision(connection: Connection, name: str, letter: str) -> RevisionRow | None:
    """The revision of a cut file with a letter, withdrawn or not."""
    rows = _revision_rows(connection, _REVISIONS.where(CutFile.name == name, Revision.letter == letter))
    return next(iter(rows), None)


def revision_by_id(connection: Connection, revision_id: int) -> RevisionRow | None:
    """The revision with a row id."""
    return revision_by_ids(connection, [revision_id]).get(revision_id)


def revision_by_ids(connection: Connection, revision_ids: Collection[int]) -> dict[int, RevisionRow]:
    """Revisions by row id; ids that are not on record are left out."""
    return {
        row.id: row
        for some in chunks(revision_ids)
        for row in _revision_rows(connection, _REVISIONS.where(Revision.id.in_(some)))
    }


def _revision_rows(connection: Connection, query: Select[*tuple[Any, ...]]) -> tuple[RevisionRow, ...]:
    rows = connection.execute(query).all()
    changes = _changes(connection, [row[0] for row in rows])
    return tuple(_revision(row, changes) for row in rows)


def _revision(row: Sequence[Any], changes: Mapping[tuple[int, str], tuple[str, ...]]) -> RevisionRow:
    columns = (*row, changes.get((row[0], "joint"), ()), changes.get((row[0], "interface"), ()))
    return RevisionRow(*columns)


def _changes(connection: Connection, revision_ids: Collection[int]) -> Mapping[tuple[int, str], tuple[str, ...]]:
    found: defaultdict[tuple[int, str], list[str]] = defaultdict(list)
    for some in chunks(revision_ids):
        for revision_id, kind, name in connection.execute(_CHANGES.where(RevisionChange.revision_id.in_(some))):
            found[revision_id, kind].append(name)
    return {key: tuple(sorted(names)) for key, names in found.items()}


def drawing_bytes(connection: Connection, revision_ids: Iterable[int]) -> dict[int, bytes]:
    """The outlines of revisions as they were kept at their release, by row id."""
    return {
        id_: bytes(drawing)
        for some in chunks(tuple(revision_ids))
        for id_, drawing in connection.execute(select(Revision.id, Revision.drawing).where(Revision.id.in_(some)))
    }


def withdraw_revision(connection: Connection, revision_id: int, at: str, reason: str) -> None:
    """Say that a revision must not be cut any more. The first withdrawal stands; a second changes nothing."""
    revision = table_of(Revision)
    connection.execute(
        update(revision)
        .where(revision.c.id == revision_id, revision.c.withdrawn_at.is_(None))
        .values(withdrawn_at=at, withdrawn_reason=reason)
    )


def pieces_cut_from(connection: Connection, revision_id: int) -> tuple[tuple[SegmentRow, PieceRow], ...]:
    """Every piece that was cut from a revision, whatever became of it, with its segment."""
    rows = connection.execute(
        PIECES.where(Piece.revision_id == revision_id).order_by(Piece.segment_id, Piece.set_number, Piece.id)
    )
    pieces = [PieceRow(*row) for row in rows]
    segments = segments_by_ids(connection, [piece.segment_id for piece in pieces])
    return tuple((segments[piece.segment_id], piece) for piece in pieces)


def users_of(connection: Connection, cut_file_id: int) -> tuple[SegmentRow, ...]:
    """Every segment that is cut from a cut file, kit by kit; voided ones too."""
    return segment_rows(connection, _USERS, {"cut_file_id": cut_file_id})
