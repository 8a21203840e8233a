"""From records to what the rule of revisions looks at: a segment among all that hang together with it by joints."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import BadRequest
from service.rules.joints import Member, Release
from service.store import cutfiles, pieces, segments
from service.store.values import PieceRow, RevisionRow, SegmentRow
from service.work.read import find_active


@dataclass(frozen=True, slots=True)
class Around:
    """Segments by number, and the joints between them."""

    members: dict[str, Member]
    joints: tuple[tuple[str, str], ...]
    rows: dict[str, SegmentRow]


def members_around(
    connection: Connection,
    segment: SegmentRow,
    *,
    damaged: PieceRow | None = None,
    set_number: int | None = None,
    survivors: Collection[str] | None = None,
    reach: int = 1_000,
) -> Around:
    """The segment and everything joined to it, directly or through others.

    Args:
        connection: one moment of the records.
        segment: where to begin.
        damaged: the broken piece, when it is known; its revision then counts as the segment's as-built one, and of
            the kit's other segments only the pieces of its set count.
        set_number: the set whose pieces count, where that is known and the piece is not.
        survivors: numbers of the direct neighbours that survived; None for all of them.
        reach: over how many joints to go.
    """
    ids = {segment.id}
    direct: set[int] = set()
    pairs: set[tuple[int, int]] = set()
    edge = {segment.id}
    for step in range(reach):
        beyond: set[int] = set()
        for segment_id in edge:
            for joint in segments.joints_of(connection, segment_id):
                pairs.add((joint.first.id, joint.second.id))
                beyond.add(joint.other(segment_id).id)
        edge = beyond - ids
        if step == 0:
            direct = set(edge)
        if not edge:
            break
        ids |= edge
    found = segments.segments_by_ids(connection, ids)
    rows = {id_: row for id_, row in found.items() if not row.voided or id_ == segment.id}
    releases = cutfiles.revisions_of(connection, {row.cut_file_id for row in rows.values()})
    built = pieces.as_built(connection, rows)
    of_set = damaged.set_number if damaged is not None else set_number
    members = {}
    for id_, row in rows.items():
        # A shared segment of another kit stands in the machine whichever set of this kit is in it.
        counts = of_set if row.kit_id == segment.kit_id else None
        as_built = only_revision(tuple(piece for piece in built[id_] if counts in (None, piece.set_number)))
        if id_ == segment.id and damaged is not None:
            as_built = damaged.revision
        members[row.number] = member_of(
            row,
            releases[row.cut_file_id],
            as_built=as_built,
            survives=survivors is None or id_ not in direct or row.number in survivors,
        )
    return Around(
        members=members,
        joints=tuple(
            (rows[first].number, rows[second].number)
            for first, second in sorted(pairs)
            if first in rows and second in rows
        ),
        rows={row.number: row for row in rows.values()},
    )


def member_of(row: SegmentRow, releases: Iterable[RevisionRow], *, as_built: str | None, survives: bool) -> Member:
    """A segment as the rules see it."""
    return Member(
        number=row.number,
        place=row.place,
        cut_file=row.cut_file,
        releases=tuple(_release(release) for release in releases),
        as_built=as_built,
        survives=survives,
    )


def only_revision(fitted: tuple[PieceRow, ...]) -> str | None:
    """The revision of the fitted pieces when all have the same one."""
    letters = {piece.revision for piece in fitted}
    return letters.pop() if len(letters) == 1 else None


def _release(row: RevisionRow) -> Release:
    return Release(
        letter=row.letter,
        sequence=row.id,
        withdrawn=row.withdrawn_at is not None,
        joints_changed=frozenset(row.joints_changed),
        interfaces_changed=frozenset(row.interfaces_changed),
    )


def surviving(connection: Connection, segment: SegmentRow, marks: Sequence[str] | None) -> frozenset[str] | None:
    """Numbers of the neighbours that survived, None for all; every one of them has to be a neighbour.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: a survivor is not settled.
        BadRequest: a survivor shares no joint with the segment.
    """
    if marks is None:
        return None
    neighbours = {joint.other(segment.id).number for joint in segments.joints_of(connection, segment.id)}
    found = set()
    for index, mark in enumerate(marks):
        number = find_active(connection, mark, field=f"survivors[{index}]").segment.number
        if number not in neighbours:
            raise BadRequest(
                f"{number} shares no joint with {segment.number}",
                field=f"survivors[{index}]",
                value=mark,
                todo=f"Name neighbours among {', '.join(sorted(neighbours)) or 'none: this segment has no joints'}",
            )
        found.add(number)
    return frozenset(found)
