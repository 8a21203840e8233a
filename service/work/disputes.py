"""Where the declared joint revisions and the outlines contradict each other, and who decides.

An exact copy of the broken piece is never held up by a dispute: that piece was in the machine and locked, which is
better evidence than a record or a drawing. Anything newer is held until a person has said which source to follow.
"""

from __future__ import annotations

from service.rules.joints import Member
from service.work.computed_joints import ComputedJoints

INTERFACES_HELD = frozenset({"hub bore", "bolt pattern", "pocket", "outside contour"})
"""What a release has to declare when it changes it."""


def disputes_over(joints: ComputedJoints, letter: str) -> tuple[str, ...]:
    """Every contradiction over one revision of the broken segment, a sentence each."""
    member = joints.members[joints.damaged]
    said = []
    for pair in sorted(joints.pairs(), key=sorted):
        if member.number not in pair:
            continue
        (number,) = pair - {member.number}
        other = joints.members[number]
        if other.as_built is None or not other.survives:
            continue
        declared = joints.declared.locks(member, letter, other, other.as_built)
        state = joints.state(member, letter, other, other.as_built)
        if state.locks is not None and state.locks != declared:
            said.append(
                f"Revision {letter} and {other.place} at {other.as_built}: by the declared joint revisions they "
                f"{'lock' if declared else 'do not lock'}, by the outlines they "
                f"{'lock' if state.locks else 'do not'}: {state.sentence}."
            )
    return (*said, *_not_declared(joints, member, letter))


def declared_changes(member: Member, built: str, letter: str) -> tuple[frozenset[str], frozenset[str]]:
    """The neighbours and the other interfaces that releases between two revisions declare changed."""
    low, high = sorted((member.release(built).sequence, member.release(letter).sequence))
    steps = [release for release in member.releases if low < release.sequence <= high]
    return (
        frozenset(name for step in steps for name in step.joints_changed),
        frozenset(name for step in steps for name in step.interfaces_changed),
    )


def _not_declared(joints: ComputedJoints, member: Member, letter: str) -> list[str]:
    """What the outlines show changed and no release declares, joints left out."""
    if member.as_built is None:
        return []
    _, interfaces = declared_changes(member, member.as_built, letter)
    return [
        f"Revision {letter}: no release since {member.as_built} declares that the {found.interface} changed, the "
        f"outlines differ there by {found.size_mm:.2f} mm at ({found.at[0]:.1f}, {found.at[1]:.1f})."
        for found in joints.differs(member, member.as_built, letter)
        if found.interface in INTERFACES_HELD and found.interface not in interfaces
    ]
