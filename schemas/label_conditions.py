"""On which marks a text stands: the closed list of conditions, and which of them never hold together.

A condition is a set of states of one subject. Of the mass of a piece, for example, every mark is in exactly one of
four states: not on record, light, for two people, for a lifting aid. Two conditions exclude each other when they speak
of one subject and have no state in common; then their texts may share a box.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

Condition = Literal[
    "heavy", "two_people", "lifting_aid", "light", "mass_known", "mass_unknown",
    "handed", "not_handed",
    "several", "single",
    "shared", "not_shared",
    "colour_known", "colour_unknown",
    "revision_known", "revision_unknown",
    "split", "whole",
]  # fmt: skip
"""When a text is printed."""

Subject = Literal["mass", "hand", "quantity", "serves", "colour", "revision", "segment"]
State = Literal["unknown", "light", "two_people", "lifting_aid", "no", "yes"]

#: All states of each subject; a mark is in exactly one of them.
STATES: dict[Subject, frozenset[State]] = {
    "mass": frozenset({"unknown", "light", "two_people", "lifting_aid"}),
    "hand": frozenset({"no", "yes"}),
    "quantity": frozenset({"no", "yes"}),
    "serves": frozenset({"no", "yes"}),
    "colour": frozenset({"no", "yes"}),
    "revision": frozenset({"no", "yes"}),
    "segment": frozenset({"no", "yes"}),
}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a condition asks.

    Attributes:
        subject: of what.
        states: it holds in any of these.
        words: the condition in words.
    """

    subject: Subject
    states: frozenset[State]
    words: str


def _means(subject: Subject, words: str, *states: State) -> Meaning:
    return Meaning(subject, frozenset(states), words)


#: The masses are those of ``service.rules.lifting``: two people from 15 kg, a lifting aid from 30 kg.
CONDITIONS: dict[Condition, Meaning] = {
    "heavy": _means("mass", "one piece weighs what two people or a lifting aid lift", "two_people", "lifting_aid"),
    "two_people": _means("mass", "one piece weighs what two people lift, and needs no lifting aid", "two_people"),
    "lifting_aid": _means("mass", "one piece weighs what only a lifting aid lifts", "lifting_aid"),
    "light": _means("mass", "one piece weighs less than what two people lift", "light"),
    "mass_known": _means("mass", "the mass is on record", "light", "two_people", "lifting_aid"),
    "mass_unknown": _means("mass", "the mass is not on record", "unknown"),
    "handed": _means("hand", "the segment is LEFT or RIGHT", "yes"),
    "not_handed": _means("hand", "the segment has no hand", "no"),
    "several": _means("quantity", "a set holds several pieces of the segment", "yes"),
    "single": _means("quantity", "a set holds one piece of the segment", "no"),
    "shared": _means("serves", "the segment serves other kits as well", "yes"),
    "not_shared": _means("serves", "the segment serves its own kit only", "no"),
    "colour_known": _means("colour", "the stock colour is on record", "yes"),
    "colour_unknown": _means("colour", "the stock colour is not on record", "no"),
    "revision_known": _means("revision", "the revision is on record", "yes"),
    "revision_unknown": _means("revision", "the revision is not on record", "no"),
    "split": _means("segment", "the deck is divided into several segments", "yes"),
    "whole": _means("segment", "the segment is the only one of its deck", "no"),
}
assert set(CONDITIONS) == set(get_args(Condition))


def possible_states(conditions: Iterable[Condition]) -> dict[Subject, frozenset[State]]:
    """The states that are left of each subject when all of some conditions hold; empty where they contradict."""
    left: dict[Subject, frozenset[State]] = {}
    for condition in conditions:
        meaning = CONDITIONS[condition]
        left[meaning.subject] = left.get(meaning.subject, STATES[meaning.subject]) & meaning.states
    return left


def contradict(conditions: Iterable[Condition]) -> bool:
    """Whether some conditions, all of which must hold, never hold together."""
    return not all(possible_states(conditions).values())


def exclude(one: Iterable[Condition], other: Iterable[Condition]) -> bool:
    """Whether two texts with these conditions never stand on one mark."""
    return contradict((*one, *other))


def one_always_holds(choices: Iterable[Iterable[Condition]]) -> bool:
    """Whether on every mark at least one of several texts stands, as far as one subject decides it."""
    covered: dict[Subject, frozenset[State]] = {}
    for conditions in choices:
        left = possible_states(conditions)
        if not left:
            return True
        if len(left) == 1:
            ((subject, states),) = left.items()
            covered[subject] = covered.get(subject, frozenset()) | states
    return any(covered[subject] == STATES[subject] for subject in covered)
