"""What is left of a mark, joined with what else was said of every segment."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from service.rules.evidence_table import VALUES
from service.rules.segment_space import Floats, Posterior, SegmentSpace

LITTLE = 0.2
"""Less of the likelihood than this is left out, and said, where it lies with segments that were not looked at."""


@dataclass(frozen=True, slots=True)
class Joint:
    """Mark and evidence together.

    Attributes:
        logs: for each segment the logarithm of how likely it is.
        unweighed: the share of the likelihood with segments that were not held against the mark one by one.
        open: the likeliest of them, by their places in the columns.
    """

    logs: Floats
    unweighed: float
    open: tuple[int, ...]


def join_mark(
    space: SegmentSpace,
    logs: Floats,
    costs: Mapping[int, float],
    *,
    rest: float | None,
    kits: Mapping[str, float] | None = None,
    wanted: int,
) -> Joint:
    """The costs of a mark, put to what else is known.

    A mark may always be that of another part (``mark.other``), and then it says of this one what it says of any.

    Args:
        space: all segments.
        logs: for each segment the logarithm of how likely it is by all else.
        costs: by row id what it costs that its mark was so read.
        rest: what it costs for one of all others, on average; None when they are as unlikely as a mark of another part.
        kits: by number what it costs that a mark of the whole kit was so read.
        wanted: how many of the likeliest are looked through for such that were not held against the mark.
    """
    where = np.asarray(space.places_of(list(costs)), dtype=np.int64)
    likely = np.zeros(len(space)) if rest is None else np.full(len(space), math.exp(-rest))
    likely[where] = np.exp([-costs[int(space.ids[at])] for at in where])
    if kits:
        rows = np.asarray([math.exp(-kits[number]) if number in kits else 0.0 for number in space.kit_numbers])
        likely += rows[space.levels["kit"].codes]
    usual = float(likely.mean())
    if usual <= 0:
        return Joint(logs, 0.0, ())
    other = VALUES["mark.other"]
    joined = logs + np.log((1 - other) * likely + other * usual)
    if rest is None:
        return Joint(joined, 0.0, ())
    weighed: npt.NDArray[np.bool_] = np.zeros(len(space), dtype=bool)
    weighed[where] = True
    posterior = Posterior(joined)
    there = weighed if posterior.live is None else weighed[posterior.live]
    unweighed = max(0.0, 1 - float(posterior.shares[there].sum()))
    open_ = tuple(at for at in posterior.first(wanted) if not weighed[at])
    if unweighed < LITTLE:
        # Each of them alone is as unlikely as all of them are on average: told apart they would look like many.
        joined = np.where(weighed, joined, -np.inf)
    return Joint(joined, unweighed, open_)


def mean_cost(costs: list[float]) -> float:
    """The cost of what is as likely as these are on average."""
    least = min(costs)
    return least - math.log(sum(math.exp(least - cost) for cost in costs) / len(costs))


def either_cost(one: float, share: float, other: float) -> float:
    """The cost of what is, with this share, as likely as the one, and else as the other."""
    least = min(one, other)
    return least - math.log(share * math.exp(least - one) + (1 - share) * math.exp(least - other))
