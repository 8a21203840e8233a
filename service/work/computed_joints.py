"""What the outlines say of joints, in the form that the rules of revisions ask for."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import UnknownCode
from service.outlines.revision_difference import Difference
from service.rules.joints import Member
from service.rules.locking import JointMeasure, JointState, joint_state
from service.rules.materials import growth, material
from service.rules.neighbours import DeclaredJoints
from service.rules.revisions import declared_joints
from service.store import cutfiles
from service.store.values import RevisionRow, SegmentRow
from service.work.members import Around
from service.work.outlines_compared import AS_DRAWN, Conditions, Cut, Outline, differences, measure


@dataclass(frozen=True, slots=True)
class ComputedJoints:
    """The joints round a broken segment as the outlines show them.

    Where outlines cannot say whether two revisions lock, the declared joint revisions are taken instead.

    Attributes:
        damaged: the number of the broken segment.
        members: the segments, by number.
        rows: the same as they are on record.
        releases: the revisions of each cut file, by its row id.
        outlines: the outlines, by the row id of the revision.
        declared: what the releases declare.
        conditions: under which the pieces have to lock.
    """

    damaged: str
    members: Mapping[str, Member]
    rows: Mapping[str, SegmentRow]
    releases: Mapping[int, Sequence[RevisionRow]]
    outlines: Mapping[int, Outline]
    declared: DeclaredJoints
    conditions: Conditions = AS_DRAWN

    def pairs(self) -> Collection[frozenset[str]]:
        """The joints, each by the two numbers that it ties."""
        return self.declared.pairs()

    def locks(self, one: Member, letter: str, other: Member, other_letter: str) -> bool:
        """Whether two segments cut from these revisions lock, by their outlines where these can say."""
        said = self.state(one, letter, other, other_letter).locks
        return self.declared.locks(one, letter, other, other_letter) if said is None else said

    def same_edge(self, member: Member, letter: str, towards: Member) -> bool:
        """Whether the edge of the joint is that of the as-built revision, as far as the outlines tell."""
        if member.as_built is None:
            return False
        return not any(found.neighbour == towards.place for found in self.differs(member, member.as_built, letter))

    def state(self, one: Member, letter: str, other: Member, other_letter: str) -> JointState:
        """What the outlines say of two segments cut from these revisions."""
        return joint_state(self.measured(one, letter, other, other_letter), self.fitted(one, other))

    def measured(self, one: Member, letter: str, other: Member, other_letter: str) -> JointMeasure | None:
        """How two segments cut from these revisions meet."""
        # What is cut for this order is as warm as the new piece; what stays is as warm as the machine.
        stays = other.survives and other_letter == other.as_built and other.number != self.damaged
        first = self.cut(one, letter, self.conditions.piece_temperature_c)
        warm = self.conditions.temperature_c if stays else self.conditions.piece_temperature_c
        return measure(*alike(first, self.cut(other, other_letter, warm)))

    def fitted(self, one: Member, other: Member) -> JointMeasure | None:
        """How the two met that were fitted together, as drawn; None where it is not known what they were cut from."""
        if one.as_built is None or other.as_built is None:
            return None
        return measure(Cut(self.outline(one, one.as_built)), Cut(self.outline(other, other.as_built)))

    def differs(self, member: Member, before: str, after: str) -> tuple[Difference, ...]:
        """In what two revisions of a segment differ."""
        beside = {}
        for pair in self.pairs():
            if member.number in pair:
                (other,) = pair - {member.number}
                neighbour = self.members[other]
                beside[neighbour.place] = self.outline(neighbour, neighbour.as_built or self.rows[other].revision)
        return differences(self.outline(member, before), self.outline(member, after), beside)

    def cut(self, member: Member, letter: str, temperature_c: float) -> Cut:
        """A segment as it is cut from a revision, at a temperature."""
        return Cut(
            self.outline(member, letter),
            self.conditions.cutter_mm,
            self.conditions.oversize_mm,
            _growth(self.rows[member.number].material, temperature_c),
        )

    def outline(self, member: Member, letter: str) -> Outline:
        """The outline of a revision of a segment."""
        return self.outlines[self.release(member, letter).id]

    def release(self, member: Member, letter: str) -> RevisionRow:
        """A revision of a segment as it is on record."""
        return next(row for row in self.releases[self.rows[member.number].cut_file_id] if row.letter == letter)


def computed_joints(
    connection: Connection, damaged: str, around: Around, conditions: Conditions = AS_DRAWN
) -> ComputedJoints:
    """The joints round a broken segment, by the outlines that were kept at each release."""
    releases = cutfiles.revisions_of(connection, {row.cut_file_id for row in around.rows.values()})
    wanted = [row.id for rows in releases.values() for row in rows]
    return ComputedJoints(
        damaged=damaged,
        members=around.members,
        rows=around.rows,
        releases=releases,
        outlines={id_: Outline.of(data) for id_, data in cutfiles.drawing_bytes(connection, wanted).items()},
        declared=declared_joints(around.members, around.joints),
        conditions=conditions,
    )


def alike(one: Cut, other: Cut) -> tuple[Cut, Cut]:
    """Two pieces that grow alike keep meeting as they were drawn; their gap grows with them, by nothing to speak of."""
    if one.growth != other.growth:
        return one, other
    return (
        Cut(one.outline, one.cutter_mm, one.oversize_mm),
        Cut(other.outline, other.cutter_mm, other.oversize_mm),
    )


def _growth(name: str, temperature_c: float) -> float:
    try:
        return growth(material(name), temperature_c)
    except UnknownCode:
        # A legacy part of a material that nobody tabled: nothing is known of its growth.
        return 1.0
