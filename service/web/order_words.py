"""The states of an order in words, and what there is to do at each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.rules.order_states import STATES, State


@dataclass(frozen=True, slots=True)
class StateWords:
    """A state in words.

    Attributes:
        name: as a heading and in a list.
        waits: what has to happen to what stands there.
        button: takes an order to this state; empty where no plain button does.
    """

    name: str
    waits: str
    button: str


STATE_WORDS: Mapping[State, StateWords] = {
    "reported": StateWords("Reported", "Find the segment", ""),
    "identified": StateWords("Identified", "Decide the revision and order it", ""),
    "decided": StateWords("Decided", "Release it to be cut", "Back to decided"),
    "released_to_cut": StateWords("Released to cut", "Cut it", "Release it to be cut"),
    "cut": StateWords("Cut", "Inspect it", "It is cut"),
    "inspected": StateWords("Inspected", "Ship it", "It is inspected"),
    "shipped": StateWords("Shipped", "Fit it", "It is shipped"),
    "fitted": StateWords("Fitted", "", "The new piece is fitted"),
    "cancelled": StateWords("Cancelled", "", ""),
}

ON_THE_WAY: tuple[State, ...] = tuple(state for state in STATES if state != "cancelled")
"""The states that an order goes through when nothing comes between."""


def state_name(state: str) -> str:
    """A state in words; one that is not known here as it is."""
    found = {str(name): words.name for name, words in STATE_WORDS.items()}
    return found.get(state, state.replace("_", " "))
