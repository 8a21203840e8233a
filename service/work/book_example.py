"""The worked example of the paper book: one segment of the kit, and which revision is cut when its piece breaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from service.marks.book_revision import WorkedChoice, WorkedExample
from service.rules.revisions import Decision, Outcome, Situation, decide
from service.store.values import PieceRow, SegmentRow
from service.work.book_facts import BookFacts
from service.work.members import only_revision

_OUTCOMES: Mapping[Outcome, str] = {
    "exact": "As built",
    "exact_with_deviations": "As built, with the rework",
    "current_fits": "Newest that fits",
    "current_needs_neighbours": "Newest with neighbours",
    "no_record": "No record",
}
"""The outcomes of the rule as the book's questions name them."""


def worked_example(facts: BookFacts) -> WorkedExample | None:
    """The segment whose way through the questions is the longest; None where no piece of known build is fitted.

    Of a kit with several sets, the first set in which it has a piece of known build is looked at.
    """
    known = [
        (row, numbers[0])
        for row in facts.rows
        if (numbers := [one for one in _sets(facts, row) if _as_built(facts, row.id, one) is not None])
    ]
    if not known:
        return None
    row, number = max(
        known, key=lambda one: (len(facts.revisions[one[0].cut_file_id]), len(facts.joints.get(one[0].id, ())))
    )
    return WorkedExample(
        number=row.number,
        place=row.place,
        piece=f"Its piece of set {number}" if len(_sets(facts, row)) > 1 else "Its piece",
        built=_as_built(facts, row.id, number) or "",
        choices=(
            _choice(row, "An exact copy is asked for", _decide(facts, row, number, newest=False)),
            _choice(row, "The newest is asked for", _decide(facts, row, number, newest=True)),
        ),
    )


def _sets(facts: BookFacts, row: SegmentRow) -> list[int]:
    """The sets of which this segment has fitted pieces."""
    return sorted({piece.set_number for piece in facts.built[row.id]})


def _fitted(facts: BookFacts, segment_id: int, set_number: int) -> tuple[PieceRow, ...]:
    """What stands in the machine with a set: its pieces, and a shared segment of another kit whichever set it is of."""
    own = {row.id for row in facts.rows if row.kit_id == facts.kit.id}
    return tuple(piece for piece in facts.built[segment_id] if segment_id not in own or piece.set_number == set_number)


def _as_built(facts: BookFacts, segment_id: int, set_number: int) -> str | None:
    return only_revision(_fitted(facts, segment_id, set_number))


def _decide(facts: BookFacts, row: SegmentRow, set_number: int, *, newest: bool) -> Decision:
    joints = {joint.id: joint for some in facts.joints.values() for joint in some}
    members = {
        id_: replace(member, as_built=_as_built(facts, id_, set_number)) for id_, member in facts.members.items()
    }
    reworked = (piece.deviations for piece in _fitted(facts, row.id, set_number))
    return decide(
        Situation(
            damaged=row.number,
            members={member.number: member for member in members.values()},
            joints=tuple(
                (joint.first.number, joint.second.number)
                for _, joint in sorted(joints.items())
                if joint.first.id in members and joint.second.id in members
            ),
            deviations="; ".join(dict.fromkeys(filter(None, reworked))),
            prefer="newest" if newest else "as_built",
        )
    )


def _choice(row: SegmentRow, asked: str, decision: Decision) -> WorkedChoice:
    cut = f"{row.place} at revision {decision.revision}" if decision.revision is not None else "nothing"
    also = [f"{one.place} at revision {one.revision}" for one in decision.also_cut]
    return WorkedChoice(
        asked=asked, outcome=_OUTCOMES[decision.outcome], cut=", ".join((cut, *also)), reasons=decision.reasons
    )
