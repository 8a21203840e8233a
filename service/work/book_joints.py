"""The joints in the paper book of a kit: at each segment, and all together with what was built on either side."""

from __future__ import annotations

from collections.abc import Sequence

from service.marks.book_joint import BookJoint, JointSide, KitJoint, Levels, form_words
from service.rules.joints import JointHistory, Member, joint_history
from service.store.values import JointRow, PieceRow, SegmentRow
from service.work.book_facts import BookFacts


def segment_joints(facts: BookFacts, row: SegmentRow) -> tuple[BookJoint, ...]:
    """The joints of one segment, those to places that were given up left out."""
    found = []
    for joint in facts.joints.get(row.id, ()):
        there = facts.members.get(joint.other(row.id).id)
        if there is None:
            continue
        here = facts.members[row.id]
        history = joint_history(here, there)
        found.append(
            BookJoint(
                number=there.number,
                place=there.place,
                form=_form(joint),
                here=_levels(history, here),
                there=_levels(history, there),
                neighbour_built=_built_words(facts.built[joint.other(row.id).id]),
            )
        )
    return tuple(found)


def kit_joints(facts: BookFacts) -> tuple[KitJoint, ...]:
    """Every joint of the kit once, in the order of its first segment in the machine."""
    order = {row.id: at for at, row in enumerate(facts.rows)}
    found = {
        joint.id: joint
        for row in facts.rows
        for joint in facts.joints.get(row.id, ())
        if joint.first.id in facts.members and joint.second.id in facts.members
    }
    last = len(order)
    return tuple(
        _kit_joint(facts, joint, *sorted((joint.first.id, joint.second.id), key=lambda id_: order.get(id_, last)))
        for joint in found.values()
    )


def _kit_joint(facts: BookFacts, joint: JointRow, first_id: int, second_id: int) -> KitJoint:
    first, second = facts.members[first_id], facts.members[second_id]
    history = joint_history(first, second)
    return KitJoint(
        first=_side(history, first, facts.built[first_id]),
        second=_side(history, second, facts.built[second_id]),
        form=_form(joint),
        locks=_locks(history, (first, facts.built[first_id]), (second, facts.built[second_id])),
    )


def _side(history: JointHistory, member: Member, fitted: Sequence[PieceRow]) -> JointSide:
    return JointSide(
        number=member.number, place=member.place, levels=_levels(history, member), built=_built_words(fitted)
    )


def _locks(
    history: JointHistory, one: tuple[Member, Sequence[PieceRow]], other: tuple[Member, Sequence[PieceRow]]
) -> str:
    """Whether the fitted pieces lock; set by set where the sets differ."""
    first, second = _carried(history, *one), _carried(history, *other)
    words = {
        number: _pair_words(first.get(number, frozenset()), second.get(number, frozenset()))
        for number in sorted({*first, *second})
    }
    if len(set(words.values())) > 1:
        return "; ".join(f"set {number}: {some}" for number, some in words.items())
    return next(iter(words.values()), "not known")


def _carried(history: JointHistory, member: Member, fitted: Sequence[PieceRow]) -> dict[int, frozenset[int | None]]:
    """The joint revisions that the fitted pieces of each set carry; None for one of unknown build."""
    found: dict[int, frozenset[int | None]] = {}
    for piece in fitted:
        level = None if piece.revision is None else history.level(member, piece.revision)
        found[piece.set_number] = found.get(piece.set_number, frozenset()) | {level}
    return found


def _pair_words(first: frozenset[int | None], second: frozenset[int | None]) -> str:
    levels = first | second
    if not first or not second or None in levels:
        return "not known"
    if len(levels) == 1:
        return f"lock, both carry {next(iter(levels))}"
    return "LOOK: the pieces carry different joint revisions"


def _form(joint: JointRow) -> str:
    return form_words(joint.form or "", joint.clearance_mm, inferred=joint.inferred)


def _built_words(fitted: Sequence[PieceRow]) -> str:
    """What the fitted pieces were cut from; set by set where the sets differ."""
    letters = {piece.set_number: set[str]() for piece in fitted}
    for piece in fitted:
        letters[piece.set_number].add(f"revision {piece.revision}" if piece.revision else "not on record")
    words = {number: ", ".join(sorted(some)) for number, some in letters.items()}
    if len(set(words.values())) > 1:
        return "; ".join(f"set {number}: {some}" for number, some in sorted(words.items()))
    return next(iter(words.values()), "not on record")


def _levels(history: JointHistory, member: Member) -> Levels:
    return tuple((release.letter, history.level(member, release.letter)) for release in member.releases)
