"""Whether the pieces of a further set lock into each other: every joint needs one revision on both its sides."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from service.findings import Finding
from service.rules.joints import JointHistory, Member, joint_history
from service.store.values import JointRow, RevisionRow, SegmentRow
from service.work.members import member_of


def joints_that_do_not_lock(
    rows: Sequence[SegmentRow],
    releases: Mapping[int, Sequence[RevisionRow]],
    letters: Mapping[int, str | None],
    joints: Iterable[JointRow],
    *,
    own: Collection[int],
) -> list[Finding]:
    """The joints whose two sides carry different revisions, and those of which nobody can say.

    Args:
        rows: the segments of the set and those that it shares.
        releases: of each cut file by its row id, oldest first.
        letters: the revision of each segment by its row id; None where what is fitted is not known.
        joints: the joints of the kit.
        own: the segments of the set, whose revisions may be chosen.
    """
    members = {
        row.id: member_of(row, releases[row.cut_file_id], as_built=letters[row.id], survives=True)
        for row in rows
        if row.id in letters
    }
    findings = []
    for joint in joints:
        first, second = members.get(joint.first.id), members.get(joint.second.id)
        if first is None or second is None:
            continue
        where = f"{first.place} and {second.place}"
        if first.as_built is None or second.as_built is None:
            unknown = first if first.as_built is None else second
            findings.append(
                Finding(
                    rule="joint_not_known",
                    level="warning",
                    message=f"what {unknown.number} was cut from is not known, so nobody can say whether it locks",
                    field="joint",
                    value=where,
                    todo="Compare the two edges before the set leaves the shop",
                    place=unknown.number,
                )
            )
            continue
        history = joint_history(first, second)
        if history.level(first, first.as_built) != history.level(second, second.as_built):
            free = (joint.first.id in own, joint.second.id in own)
            findings.append(_does_not_lock(first, second, history, free))
    return findings


def _does_not_lock(first: Member, second: Member, history: JointHistory, free: tuple[bool, bool]) -> Finding:
    pair = next(_pairs_that_lock(first, second, history, free), None)
    todo = (
        f"Name revisions that lock: {first.place} {pair[0]} with {second.place} {pair[1]}"
        if pair
        else "Release the side that has not caught up with the joint"
    )
    return Finding(
        rule="joint_does_not_lock",
        level="error",
        message=f"{first.place} at revision {first.as_built} and {second.place} at revision {second.as_built} carry "
        "different revisions of the joint between them",
        field="revisions",
        value=f"{first.place} {first.as_built}, {second.place} {second.as_built}",
        todo=todo,
        place=f"{first.place} and {second.place}",
    )


def _pairs_that_lock(
    first: Member, second: Member, history: JointHistory, free: tuple[bool, bool]
) -> Iterator[tuple[str, str]]:
    """Letters of both sides that lock, the newest first; a side that is not free is fitted and keeps its letter."""
    firsts, seconds = (
        [release.letter for release in reversed(member.releases) if not release.withdrawn]
        if may_change
        else [member.as_built or ""]
        for member, may_change in zip((first, second), free, strict=True)
    )
    for one in firsts:
        for other in seconds:
            if history.level(first, one) == history.level(second, other):
                yield one, other
