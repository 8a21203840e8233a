"""How an order goes: which state may follow which.

An order is taken in at the desk (reported, identified, decided), goes through the shop (released to cut, cut,
inspected), and to the plant (shipped, fitted). A state is reached one after another, with three exceptions. A piece
that is in the machine was made, whoever forgot to say so: any order that has something to cut may be ``fitted``. An
order may be given up before it is fitted. And the shop may take a step back, for which it gives a reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

State = Literal[
    "reported",
    "identified",
    "decided",
    "released_to_cut",
    "cut",
    "inspected",
    "shipped",
    "fitted",
    "cancelled",
]

STATES: tuple[State, ...] = (
    "reported",
    "identified",
    "decided",
    "released_to_cut",
    "cut",
    "inspected",
    "shipped",
    "fitted",
    "cancelled",
)
"""Every state, in the order in which an order goes through them."""

CLOSED: frozenset[State] = frozenset({"fitted", "cancelled"})
"""States that nothing follows."""

ASK_FITTED_AFTER_DAYS = 7
"""So long after it was shipped, and after each "not yet", somebody asks whether the piece is in the machine."""

_AHEAD: Mapping[State, State] = MappingProxyType(
    {
        "reported": "identified",
        "identified": "decided",
        "decided": "released_to_cut",
        "released_to_cut": "cut",
        "cut": "inspected",
        "inspected": "shipped",
        "shipped": "fitted",
    }
)
_BACK: Mapping[State, State] = MappingProxyType(
    {"released_to_cut": "decided", "cut": "released_to_cut", "inspected": "released_to_cut"}
)


def next_states(state: State) -> tuple[State, ...]:
    """The states that may follow, in the order of ``STATES``; none after a closed one."""
    if state in CLOSED:
        return ()
    follow = {_AHEAD[state], "cancelled"}
    if state != "reported":
        follow.add("fitted")
    if state in _BACK:
        follow.add(_BACK[state])
    return tuple(one for one in STATES if one in follow)


def is_step_back(before: State, after: State) -> bool:
    """Whether a step undoes what was done; it needs a reason."""
    return _BACK.get(before) == after
