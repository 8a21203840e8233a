"""The worked example of the paper book: one segment of the kit, and which revision is cut when its piece breaks."""

from __future__ import annotations

from collections.abc import Mapping

from service.marks.book_revision import WorkedChoice, WorkedExample
from service.rules.revisions import Decision, Outcome, Situation, decide
from service.store.values import SegmentRow
from service.work.book_facts import BookFacts

_OUTCOMES: Mapping[Outcome, str] = {
    "exact": "As built",
    "exact_with_deviations": "As built, with the rework",
    "current_fits": "Newest that fits",
    "current_needs_neighbours": "Newest with neighbours",
    "no_record": "No record",
}
"""The outcomes of the rule as the book's questions name them."""


def worked_example(facts: BookFacts) -> WorkedExample | None:
    """The segment whose way through the questions is the longest; None where no piece of known build is fitted."""
    known = [row for row in facts.rows if facts.members[row.id].as_built is not None]
    if not known:
        return None
    row = max(known, key=lambda one: (len(facts.revisions[one.cut_file_id]), len(facts.joints.get(one.id, ()))))
    return WorkedExample(
        number=row.number,
        place=row.place,
        built=facts.members[row.id].as_built or "",
        choices=(
            _choice(row, "An exact copy is asked for", _decide(facts, row, newest=False)),
            _choice(row, "The newest is asked for", _decide(facts, row, newest=True)),
        ),
    )


def _decide(facts: BookFacts, row: SegmentRow, *, newest: bool) -> Decision:
    ids = facts.members
    joints = {joint.id: joint for some in facts.joints.values() for joint in some}
    return decide(
        Situation(
            damaged=row.number,
            members={member.number: member for member in facts.members.values()},
            joints=tuple(
                (joint.first.number, joint.second.number)
                for _, joint in sorted(joints.items())
                if joint.first.id in ids and joint.second.id in ids
            ),
            deviations="; ".join(dict.fromkeys(piece.deviations for piece in facts.built[row.id] if piece.deviations)),
            prefer="newest" if newest else "as_built",
        )
    )


def _choice(row: SegmentRow, asked: str, decision: Decision) -> WorkedChoice:
    cut = f"{row.place} at revision {decision.revision}" if decision.revision is not None else "nothing"
    also = [f"{one.place} at revision {one.revision}" for one in decision.also_cut]
    return WorkedChoice(
        asked=asked, outcome=_OUTCOMES[decision.outcome], cut=", ".join((cut, *also)), reasons=decision.reasons
    )
