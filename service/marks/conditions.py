"""Whether a conditional text stands on a mark: the states of ``schemas.label_conditions`` read off the mark's facts."""

from __future__ import annotations

from collections.abc import Iterable

from schemas.label_conditions import CONDITIONS, Condition, State, Subject
from service.marks.content import MarkFacts
from service.rules.lifting import LIFTING_AID_KG, TWO_PERSON_KG


def holds(when: Iterable[Condition], facts: MarkFacts) -> bool:
    """Whether all of some conditions hold on a mark; none always does."""
    return all(state_of(CONDITIONS[condition].subject, facts) in CONDITIONS[condition].states for condition in when)


def state_of(subject: Subject, facts: MarkFacts) -> State:
    """The one state of a subject in which a mark is."""
    if subject == "mass":
        return _mass_state(facts.mass_kg)
    yes = {
        "hand": bool(facts.hand),
        "quantity": facts.quantity > 1,
        "serves": bool(facts.serves),
        "colour": bool(facts.stock_colour),
        "revision": bool(facts.revision),
        "segment": bool(facts.segment_of),
    }
    return "yes" if yes[subject] else "no"


def _mass_state(mass_kg: float | None) -> State:
    if mass_kg is None:
        return "unknown"
    return "light" if mass_kg < TWO_PERSON_KG else "two_people" if mass_kg < LIFTING_AID_KG else "lifting_aid"
