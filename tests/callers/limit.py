"""The limit: nobody can name the right segment among the first three more often than who knows how callers err.

Every segment of the shop is as likely as any other before the call. Then the ranking by the exact likelihood of what
was said is the best one there is. Equal segments stand in no order, so a place among them counts as the share of
orders in which the right one is early enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np

from tests.callers.said import Call, Caller, Shares

_EQUAL = 1e-9


def draw_calls(caller: Caller, segments: int, *, count: int, seed: int) -> list[Call]:
    """Calls about segments that are drawn evenly from the shop."""
    draw = Random(seed)
    return [caller.call(draw, draw.randrange(segments)) for _ in range(count)]


def share_among_first(scores: Shares, true: int, places: int) -> float:
    """How surely the true one is among the first so many of a ranking by falling scores, ties in any order."""
    own = scores[true]
    better = int((scores > own + _EQUAL).sum())
    equal = int((np.abs(scores - own) <= _EQUAL).sum())
    return float(np.clip((places - better) / equal, 0, 1))


def limit(caller: Caller, calls: Sequence[Call], *, places: int = 3) -> float:
    """The share of calls in which the right segment is among the first of the exhaustive ranking."""
    return limits(caller, calls, (places,))[0]


def limits(caller: Caller, calls: Sequence[Call], places: Sequence[int]) -> list[float]:
    """The same for several numbers of first places."""
    totals = np.zeros(len(places))
    for call in calls:
        scores = caller.log_likelihood(call)
        totals += [share_among_first(scores, call.segment, most) for most in places]
    return [float(total) / len(calls) for total in totals]


def posterior(caller: Caller, call: Call) -> Shares:
    """How likely each segment is after a call."""
    scores = caller.log_likelihood(call)
    weights = np.exp(scores - scores.max())
    return np.asarray(weights / weights.sum())
