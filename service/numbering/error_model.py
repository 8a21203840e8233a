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

from service.numbering.ear_confusions import heard_as
from service.numbering.eye_confusions import COPIES, TAKEN_FOR
from service.numbering.keyboard_slips import mistyped
from service.numbering.weights import SIGNS

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


@dataclass(frozen=True, slots=True)
class _Way:
    """What is not counted or computed of a way in, as probabilities. Common practice, no source, unless said.

    Attributes:
        taken: how a sign is taken for another.
        lost: a sign is not there.
        doubled: a sign is there twice.
        added: in a gap between signs there is one too many, whichever.
        swapped: two neighbours are in the other order.
        head: the beginning is not there.
        tail: the end is not there.
        hyphen: a hyphen is not there.
    """

    taken: str
    lost: float
    doubled: float
    added: float
    swapped: float
    head: float
    tail: float
    hyphen: float


_WAYS: Mapping[CameBy, _Way] = {
    CameBy.EYE: _Way("read", 0.015, 0.002, 0.004, 0.003, 0.15, 0.2, 0.3),
    CameBy.EAR: _Way("heard", 0.012, 0.008, 0.006, 0.01, 0.08, 0.15, 0.6),
    CameBy.KEYBOARD: _Way("typed", 0.006, 0.005, 0.004, 0.008, 0.03, 0.06, 0.4),
}
_MIXED = "taken"

_AS_DAMAGED = 0.5
"""Share of the signs read off a part that are as damaged as those that were counted. Common practice, no source."""
_BLIND = 0.015
"""Share of signs read off wrongly whatever they look like. Common practice, no source."""
_MISTYPED = 0.012
"""Share of keys that are hit instead of another: a practised typist hits one to three of a hundred wrong, slips of all
kinds together (J. T. Grudin 1983, from memory)."""


@cache
def error_model(came_by: CameBy | None) -> ErrorModel:
    """The model for a way in; for None the mean of all three, where nobody said which."""
    among = (came_by,) if came_by else tuple(CameBy)
    ways = [_WAYS[one] for one in among]
    rows = {true: _mean([_row(true, one) for one in among]) for true in SIGNS}
    lost = sum(way.lost for way in ways) / len(ways)
    added = sum(way.added for way in ways) / len(ways) / len(SIGNS)
    right = sum(row[true] for true, row in rows.items()) / len(rows)

    def cost(name: str) -> float:
        return -math.log(sum(getattr(way, name) for way in ways) / len(ways))

    return ErrorModel(
        came_by=came_by,
        readings=MappingProxyType({true: _costs(row) for true, row in rows.items()}),
        losses=MappingProxyType(dict.fromkeys(SIGNS, -math.log(lost))),
        doublings=MappingProxyType(dict.fromkeys(SIGNS, cost("doubled"))),
        added=-math.log(added),
        swapped=cost("swapped"),
        lost_head=cost("head"),
        lost_tail=cost("tail"),
        lost_hyphen=cost("hyphen"),
        other_same=-math.log(right),
        other_wrong=-math.log((1 - right) / len(SIGNS)),
        taken=ways[0].taken if came_by else _MIXED,
    )


def _row(true: str, way: CameBy) -> Mapping[str, float]:
    """The probability of each sign as read, given a true one; they add up to 1 less that of its loss."""
    there = 1 - _WAYS[way].lost
    row: dict[str, float]
    match way:
        case CameBy.EYE:
            counted = TAKEN_FOR[true]
            row = {read: _AS_DAMAGED * counted.get(read, 0) / COPIES for read in SIGNS}
            row[true] += 1 - _AS_DAMAGED
            row = {read: (1 - _BLIND) * share + _BLIND / len(SIGNS) for read, share in row.items()}
        case CameBy.EAR:
            row = dict(heard_as(true))
        case _:
            row = {read: _MISTYPED * share for read, share in mistyped(true).items()}
            row[true] = 1 - _MISTYPED
    return {read: there * share for read, share in row.items()}


def _mean(rows: list[Mapping[str, float]]) -> dict[str, float]:
    return {read: sum(row[read] for row in rows) / len(rows) for read in SIGNS}


def _costs(row: Mapping[str, float]) -> Mapping[str, float]:
    return MappingProxyType({read: -math.log(share) for read, share in row.items()})
