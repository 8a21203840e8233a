"""Reading damage: how likely each wrong sign is, given the true one and the way in which a mark came in.

A mark is read off the part (``eye``), dictated (``ear``) or typed (``keyboard``), and each way goes wrong in its own
manner. A model says, for each true sign, how likely it is to be taken for itself, for each other sign, or to get lost;
these add up to 1. Everything is given as a *cost*, the natural logarithm of one over the probability, so that the costs
of independent slips add up and the cheapest explanation is the likeliest one.

A sign that nobody could read (``?``) is no slip: it costs nothing, and tells only that a sign stands there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from service.numbering.weights import CLEAR, SIGNS, weight_between

__all__ = ["CameBy", "ErrorModel", "error_model"]


class CameBy(StrEnum):
    """How a mark came in."""

    EYE = "eye"
    EAR = "ear"
    KEYBOARD = "keyboard"


@dataclass(frozen=True, slots=True)
class ErrorModel:
    """The costs of what can happen to a true text on its way to the text as it was given.

    Attributes:
        came_by: the way in; None for a mixture of all of them, where nobody said which.
        readings: true sign, then sign as read, then cost; the sign itself is among them.
        losses: what it costs that a true sign is not there at all.
        doublings: what it costs that a true sign is there twice.
        added: what it costs that a sign is there that nothing true stands behind, whichever sign it is.
        swapped: two different neighbours in the other order, both otherwise right.
        lost_head: signs are missing before the first one that is there, however many.
        lost_tail: signs are missing behind the last one that is there, however many.
        lost_hyphen: a hyphen that is printed is not there.
        other_same: a sign that stands in no number (a legacy mark may hold it) is taken for itself.
        other_wrong: what anything else costs that happens to such a sign.
        taken: how a sign is taken for another, as a person says it: ``read``, ``heard`` or ``typed``.
    """

    came_by: CameBy | None
    readings: Mapping[str, Mapping[str, float]]
    losses: Mapping[str, float]
    doublings: Mapping[str, float]
    added: float
    swapped: float
    lost_head: float
    lost_tail: float
    lost_hyphen: float
    other_same: float
    other_wrong: float
    taken: str

    def same(self, true: str) -> float:
        """A sign is taken for itself."""
        return self.substitution(true, true)

    def substitution(self, read: str, true: str) -> float:
        """A true sign is taken for ``read``; for itself where the two are the same."""
        row = self.readings.get(true)
        if row is None or read not in row:
            return self.other_same if read == true else self.other_wrong
        return row[read]

    def lost(self, true: str) -> float:
        """A true sign is not there."""
        return self.losses.get(true, self.other_wrong)

    def extra(self, read: str) -> float:
        """A sign is there that nothing true stands behind; the same for every sign."""
        del read
        return self.added

    def doubled(self, true: str) -> float:
        """A true sign is there twice; this comes on top of the cost of taking it for what is there."""
        return self.doublings.get(true, self.other_wrong)

    def sentence(self, read: str, true: str) -> str:
        """What was assumed, as a person says it: ``5 read as S``."""
        return f"{true} {self.taken} as {read}"


_WRONG = {CameBy.EYE: 0.06, CameBy.EAR: 0.07, CameBy.KEYBOARD: 0.02}
_LOST = {CameBy.EYE: 0.02, CameBy.EAR: 0.01, CameBy.KEYBOARD: 0.01}
_TAKEN = {CameBy.EYE: "read", CameBy.EAR: "heard", CameBy.KEYBOARD: "typed"}


@cache
def error_model(came_by: CameBy | None) -> ErrorModel:
    """The model for a way in; for None the mean of all three."""
    channel = came_by or CameBy.EYE
    readings = {true: MappingProxyType(_row(true, channel)) for true in SIGNS}
    return ErrorModel(
        came_by=came_by,
        readings=MappingProxyType(readings),
        losses=MappingProxyType({sign: -math.log(_LOST[channel]) for sign in SIGNS}),
        doublings=MappingProxyType({sign: -math.log(0.01) for sign in SIGNS}),
        added=-math.log(0.01 / len(SIGNS)),
        swapped=-math.log(0.01),
        lost_head=-math.log(0.1),
        lost_tail=-math.log(0.1),
        lost_hyphen=-math.log(0.3),
        other_same=-math.log(1 - _WRONG[channel]),
        other_wrong=-math.log(_WRONG[channel] / len(SIGNS)),
        taken=_TAKEN[channel],
    )


def _row(true: str, channel: CameBy) -> dict[str, float]:
    nearness = {read: math.exp(-weight_between(read, true) / CLEAR * 5) for read in SIGNS if read != true}
    all_near = sum(nearness.values())
    row = {read: -math.log(_WRONG[channel] * near / all_near) for read, near in nearness.items()}
    row[true] = -math.log(1 - _WRONG[channel] - _LOST[channel])
    return row
