"""What the paper book of a kit reads off the records, once for the whole kit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.numbering.tables import CodeTables
from service.rules.joints import Member
from service.store import codes, cutfiles, kits, pieces, segments
from service.store.values import JointRow, KitRow, PieceRow, RevisionRow, SegmentRow
from service.work.mark_facts import segment_of, segment_positions
from service.work.members import member_of, only_revision


@dataclass(frozen=True, slots=True)
class BookFacts:
    """What is read once for the whole kit; ``rows`` are its own segments and those that serve here too.

    Attributes:
        kit: the kit.
        tables: the code tables.
        rows: the segments that the kit uses.
        spent: its places that were given up.
        made: pieces by the segment's row id.
        revisions: by the cut file's row id.
        shown: the revision whose outline stands for a segment: the as-built one, else the one it was issued with.
        members: the segments and their neighbours as the rules see them, by row id.
        built: their fitted pieces.
        joints: of the kit's own segments and of those that serve here.
        positions: which segment of how many on its deck.
    """

    kit: KitRow
    tables: CodeTables
    rows: tuple[SegmentRow, ...]
    spent: tuple[SegmentRow, ...]
    made: Mapping[int, tuple[PieceRow, ...]]
    revisions: Mapping[int, tuple[RevisionRow, ...]]
    shown: Mapping[int, RevisionRow]
    members: Mapping[int, Member]
    built: Mapping[int, tuple[PieceRow, ...]]
    joints: Mapping[int, tuple[JointRow, ...]]
    positions: Mapping[int, str]

    @classmethod
    def of(cls, connection: Connection, kit: KitRow) -> BookFacts:
        """Read everything, in as many queries whatever the size of the kit, but for shared segments."""
        own = kits.kit_segments(connection, kit.id)
        shared = kits.shared_into(connection, kit.id)
        rows = (*(row for row in own if not row.voided), *(row for row in shared if not row.voided))
        joints = _by_end(
            (*segments.kit_joints(connection, kit.id), *_joints_of_shared(connection, shared)),
        )
        ends = {end.id for some in joints.values() for joint in some for end in (joint.first, joint.second)}
        around = segments.segments_by_ids(connection, ends | {row.id for row in rows})
        revisions = cutfiles.revisions_of(connection, {row.cut_file_id for row in around.values()})
        built = pieces.as_built(connection, around)
        made = {**pieces.pieces_of_kit(connection, kit.id)}
        made |= {row.id: pieces.pieces_of(connection, row.id) for row in shared}
        return cls(
            kit=kit,
            tables=codes.code_tables(connection),
            rows=rows,
            spent=tuple(row for row in own if row.voided),
            made=made,
            revisions=revisions,
            shown={row.id: _shown(row, only_revision(built[row.id]), revisions[row.cut_file_id]) for row in rows},
            members={
                id_: member_of(row, revisions[row.cut_file_id], as_built=only_revision(built[id_]), survives=True)
                for id_, row in around.items()
                if not row.voided
            },
            built=built,
            joints=joints,
            positions=_positions(connection, kit, rows),
        )


def _joints_of_shared(connection: Connection, shared: Iterable[SegmentRow]) -> Iterable[JointRow]:
    return (joint for row in shared for joint in segments.joints_of(connection, row.id))


def _by_end(joints: Iterable[JointRow]) -> dict[int, tuple[JointRow, ...]]:
    """Each joint once under either of its segments, in the order of the records."""
    found: dict[int, dict[int, JointRow]] = {}
    for joint in joints:
        for end in (joint.first, joint.second):
            found.setdefault(end.id, {})[joint.id] = joint
    return {id_: tuple(some[joint_id] for joint_id in sorted(some)) for id_, some in found.items()}


def _positions(connection: Connection, kit: KitRow, rows: Sequence[SegmentRow]) -> dict[int, str]:
    """``segment 3 of 4`` for every segment, counted in the kit that numbered it."""
    homes = {kit.id, *(row.kit_id for row in rows)}
    places = segment_positions(
        (row.assembly_id, row.deck, row.ordinal)
        for home in sorted(homes)
        for row in kits.kit_segments(connection, home)
        if not row.voided
    )
    return {row.id: segment_of(places.get((row.assembly_id, row.deck, row.ordinal))) for row in rows}


def _shown(row: SegmentRow, built: str | None, released: Sequence[RevisionRow]) -> RevisionRow:
    """The revision whose outline is drawn."""
    by_letter = {one.letter: one for one in released}
    return by_letter[built if built is not None else row.revision]
