"""The revision to cut, decided by the record and by the outlines; where they contradict each other, by a person.

An exact copy of the broken piece stands whatever either source says: the piece was in the machine and locked. Anything
newer has only the two sources to vouch for it, and is not ordered while they differ.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from sqlalchemy import Connection

from schemas.requests import ReorderRequest
from service.errors import BadRequest, FitDisputed
from service.rules.revisions import Decision, Situation, decide
from service.store import events
from service.work.computed_joints import ComputedJoints, computed_joints
from service.work.disputes import disputes_over
from service.work.members import Around
from service.work.workshop import Actor

Source = Literal["declared", "computed"]

_EXACT = ("exact", "exact_with_deviations", "no_record")


@dataclass(frozen=True, slots=True)
class Choice:
    """Which source a person follows where the two contradict each other, and why; nothing while nobody has looked."""

    follow: Source | None = None
    reason: str | None = None


def choice_of(request: ReorderRequest) -> Choice:
    """What a request says of which source to follow.

    Raises:
        BadRequest: a choice without a reason, or a reason without a choice.
    """
    if (request.decide is None) != (request.decide_reason is None):
        missing = "decide_reason" if request.decide_reason is None else "decide"
        raise BadRequest(
            "who follows one source against the other says which and why",
            field=missing,
            value=None,
            todo="Give decide (declared or computed) and decide_reason together",
        )
    return Choice(request.decide, request.decide_reason)


def decided_fit(
    connection: Connection, situation: Situation, around: Around, choice: Choice, *, actor: Actor, now: str
) -> Decision:
    """The decision on a reorder.

    Args:
        connection: inside ``Database.write``: what a person chose goes on record.
        situation: what is known of the broken segment.
        around: the segments of the situation as they are on record.
        choice: which source is followed where they contradict each other.
        actor: who orders.
        now: the moment.

    Raises:
        FitDisputed: the sources contradict each other over what would be cut, and nobody has chosen.
    """
    by_record = decide(situation)
    if by_record.outcome == "no_record":
        return by_record
    joints = computed_joints(connection, situation.damaged, around)
    if by_record.outcome in _EXACT:
        return _with(by_record, _look_first(joints, by_record))
    by_outlines = decide(replace(situation, by=joints))
    letters = dict.fromkeys(found.revision for found in (by_record, by_outlines) if found.revision is not None)
    said = tuple(dict.fromkeys(said for letter in letters for said in disputes_over(joints, letter)))
    same = (by_record.revision, by_record.also_cut) == (by_outlines.revision, by_outlines.also_cut)
    if not said and same:
        return by_record
    if choice.follow is None:
        raise FitDisputed(
            " ".join((*said, f"By the record: {_words(by_record)}. By the outlines: {_words(by_outlines)}")),
            field="decide",
            value=None,
            todo="Look at the joint and at the pictures of it, then order again with decide (declared or computed) and "
            "decide_reason, or order the as-built revision",
        )
    followed = by_record if choice.follow == "declared" else by_outlines
    events.record(
        connection,
        at=now,
        actor=actor.name,
        verb="decide fit",
        subject=situation.damaged,
        before={"declared": _words(by_record), "computed": _words(by_outlines), "disputes": list(said)},
        after={"decide": choice.follow, "reason": choice.reason, "revision": followed.revision},
    )
    source = "declared joint revisions" if choice.follow == "declared" else "outlines"
    return _with(followed, [*said, f"{actor.name} decided to follow the {source}: {choice.reason}"])


def _look_first(joints: ComputedJoints, decision: Decision) -> list[str]:
    """What the outlines have against an exact copy: it is cut all the same, and the joint looked at."""
    letter = decision.revision
    assert letter is not None
    member = joints.members[joints.damaged]
    found = []
    for pair in sorted(joints.pairs(), key=sorted):
        if member.number not in pair:
            continue
        (number,) = pair - {member.number}
        other = joints.members[number]
        if other.survives and other.as_built is not None:
            state = joints.state(member, letter, other, other.as_built)
            if state.locks is False:
                found.append(f"The outlines have {state.sentence} ({other.place}): look at that joint before cutting.")
    return found


def _with(decision: Decision, more: list[str]) -> Decision:
    return replace(decision, reasons=(*decision.reasons, *more))


def _words(decision: Decision) -> str:
    if decision.revision is None:
        return "nothing that is released locks"
    also = "".join(f", {cut.place} at {cut.revision}" for cut in decision.also_cut)
    return f"cut revision {decision.revision}{also}"
