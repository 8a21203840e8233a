"""What a release says it changed, held against what its outline changes: the two are said where they differ.

Released bytes and what was declared with them stay as they are; a finding tells whoever releases, and the service desk
meets the same contradiction again before it orders anything (``work/fit_decision.py``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from sqlalchemy import Connection

from service.findings import Finding
from service.outlines.drawing import Drawing
from service.outlines.revision_difference import Difference, revision_differences
from service.outlines.stored import from_bytes
from service.store import cutfiles, segments
from service.store.values import RevisionRow, SegmentRow
from service.work.disputes import INTERFACES_HELD

_SOURCE = "the two outlines"


def release_findings(
    connection: Connection,
    name: str,
    letter: str,
    drawing: Drawing,
    *,
    joints: Collection[str],
    interfaces: Collection[str],
) -> tuple[Finding, ...]:
    """Changes that are declared and not drawn, or drawn and not declared, against the revision before.

    Args:
        connection: one moment of the records.
        name: of the cut file.
        letter: that the release gets.
        drawing: its outline.
        joints: the neighbours, by number or place, to whom it declares the joint changed.
        interfaces: what else it declares changed.
    """
    earlier = cutfiles.revisions(connection, name)
    if not earlier:
        return ()
    users = [row for row in cutfiles.users_of(connection, earlier[-1].cut_file_id) if not row.voided]
    before = from_bytes(cutfiles.drawing_bytes(connection, [earlier[-1].id])[earlier[-1].id])
    if not users:
        return tuple(_of_interfaces(revision_differences(before, drawing), interfaces, earlier[-1]))
    found: dict[tuple[str, str | None], Finding] = {}
    for user in users:
        ends = [joint.other(user.id) for joint in segments.joints_of(connection, user.id)]
        rows = segments.segments_by_ids(connection, [end.id for end in ends])
        beside = {row.place: row for row in rows.values() if not row.voided}
        drawn = cutfiles.drawing_bytes(connection, {row.revision_id for row in beside.values()})
        neighbours = {place: from_bytes(drawn[row.revision_id]) for place, row in beside.items()}
        differences = revision_differences(before, drawing, neighbours)
        for finding in (
            *_of_joints(differences, joints, user, beside, letter),
            *_of_interfaces(differences, interfaces, earlier[-1]),
        ):
            found.setdefault((finding.rule, finding.place or str(finding.value)), finding)
    return tuple(found.values())


def _of_joints(
    differences: Collection[Difference],
    declared: Collection[str],
    user: SegmentRow,
    beside: dict[str, SegmentRow],
    letter: str,
) -> Iterator[Finding]:
    changed = {found.neighbour: found for found in differences if found.interface == "joint"}
    for place, row in sorted(beside.items()):
        said = place in declared or row.number in declared
        seen = changed.get(place)
        picture = f"/api/segments/{user.number}/locking/{letter}/{row.number}.svg"
        if seen is not None and not said:
            yield Finding(
                rule="change_not_declared",
                level="warning",
                message=f"the joint to {place} ({row.number}) changes by {seen.size_mm:.2f} mm at {_spot(seen)}, and "
                "this release does not declare it",
                field="joints_changed",
                value=place,
                todo=f"Look at {picture}; if the change is meant, release it once more with joints_changed={place}",
                place=row.number,
                source=_SOURCE,
            )
        if said and seen is None:
            yield Finding(
                rule="change_not_drawn",
                level="warning",
                message=f"this release declares that the joint to {place} ({row.number}) changed, and the outline of "
                f"{user.place} is the same there",
                field="joints_changed",
                value=place,
                todo=f"Look at {picture}; if nothing changed, release it once more without joints_changed={place}",
                place=row.number,
                source=_SOURCE,
            )


def _of_interfaces(
    differences: Collection[Difference], declared: Collection[str], before: RevisionRow
) -> Iterator[Finding]:
    changed = {found.interface: found for found in differences if found.interface in INTERFACES_HELD}
    for interface, seen in changed.items():
        if interface not in declared:
            yield Finding(
                rule="change_not_declared",
                level="warning",
                message=f"the {interface} changes by {seen.size_mm:.2f} mm at {_spot(seen)} from revision "
                f"{before.letter}, and this release does not declare it",
                field="interfaces_changed",
                value=interface,
                todo=f"If the change is meant, release it once more with interfaces_changed={interface}",
                source=_SOURCE,
            )
    for missing in sorted(INTERFACES_HELD.intersection(declared).difference(changed)):
        yield Finding(
            rule="change_not_drawn",
            level="warning",
            message=f"this release declares that the {missing} changed, and the outline shows no such change from "
            f"revision {before.letter}",
            field="interfaces_changed",
            value=missing,
            todo="If nothing changed, release it once more without it",
            source=_SOURCE,
        )


def _spot(found: Difference) -> str:
    return f"({found.at[0]:.1f}, {found.at[1]:.1f})"
