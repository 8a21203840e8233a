"""A candidate's number sign by sign: heard as it stands there, not heard and filled in, or heard otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import repeat
from typing import Literal

from service.numbering.alignment import RUN, UNKNOWN, Alignment, align, has_signs
from service.numbering.error_model import CameBy, error_model

State = Literal["agrees", "filled", "other", "plain", "dash"]

_AGREES = frozenset({"same"})
_FILLED = frozenset({"unknown", "run", "head", "tail"})

_LEAST_AGREEING = 0.5
"""Of the signs that were heard so many have to stand in the number; else something else of the part was read, such as
its key, and nothing in the number is worth pointing at."""


@dataclass(frozen=True, slots=True)
class HeardSymbol:
    """A sign of a number, and what became of it on the way to the desk."""

    char: str
    state: State


def heard_symbols(read: str, came_by: str, number: str) -> tuple[HeardSymbol, ...]:
    """The signs of a number, hyphens among them, each with what was heard of it.

    Args:
        read: what was heard, tidied to capital letters and digits, ``?`` and ``*``.
        came_by: how it came in; empty when nobody said.
        number: the candidate's number as it is printed.
    """
    states = _states(read, came_by, number)
    return tuple(
        HeardSymbol(char, "dash" if char == "-" else next(states, "plain" if not read else "filled")) for char in number
    )


def _states(read: str, came_by: str, number: str) -> Iterator[State]:
    if not has_signs(read):
        return iter(())
    plain: State = "plain"
    model = error_model(CameBy(came_by) if came_by else None)
    found = align(read, number.replace("-", ""), model)
    if found is None or _agreeing(found, read) < _LEAST_AGREEING:
        return repeat(plain, len(number))
    return _signs(found)


def _agreeing(found: Alignment, read: str) -> float:
    heard = sum(sign not in (UNKNOWN, RUN) for sign in read)
    return sum(step.slip in _AGREES for step in found.steps) / heard


def _signs(found: Alignment) -> Iterator[State]:
    for step in found.steps:
        state: State = "agrees" if step.slip in _AGREES else "filled" if step.slip in _FILLED else "other"
        for _ in step.true:
            yield state
