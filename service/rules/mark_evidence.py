"""What is left of a mark, joined with what else was said of every segment."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from service.rules.evidence_table import VALUES
from service.rules.segment_space import Floats, Posterior, SegmentSpace


@dataclass(frozen=True, slots=True)
class Joint:
    """Mark and evidence together.

    Attributes:
        logs: for each segment the logarithm of how likely it is.
        unweighed: the share of the likelihood with segments whose numbers were not held against the mark; it is an
            upper bound, since each of them is taken to cost no more than the dearest that was.
        open: the likeliest of them, by their places in the columns.
    """

    logs: Floats
    unweighed: float
    open: tuple[int, ...]


def join_mark(
    space: SegmentSpace, logs: Floats, costs: Mapping[int, float], *, beyond: float | None, wanted: int
) -> Joint:
    """The costs of a mark, put to what else is known.

    A mark may always be that of another part (``mark.other``), and then it says of this one what it says of any.

    Args:
        space: all segments.
        logs: for each segment the logarithm of how likely it is by all else.
        costs: by row id what it costs that its number was so read.
        beyond: what all others cost at least; None when they cost so much that the mark is rather that of another part.
        wanted: how many of the likeliest are looked through for such that were not held against the mark.
    """
    found = [(space.index_of(id_), cost) for id_, cost in costs.items()]
    where = np.asarray([at for at, _ in found if at is not None], dtype=np.int64)
    cost = np.asarray([cost for at, cost in found if at is not None], dtype=np.float64)
    rest = 0.0 if beyond is None else math.exp(-beyond) * (len(space) - len(where))
    usual = (float(np.exp(-cost).sum()) + rest) / len(space)
    if usual <= 0:
        return Joint(logs, 0.0, ())
    other = VALUES["mark.other"]
    floor = math.log(other) + math.log(usual)
    mark = np.full(len(space), floor if beyond is None else np.logaddexp(floor, -beyond))
    mark[where] = np.logaddexp(math.log(1 - other) - cost, floor)
    joined = logs + mark
    if beyond is None:
        return Joint(joined, 0.0, ())
    weighed: npt.NDArray[np.bool_] = np.zeros(len(space), dtype=bool)
    weighed[where] = True
    posterior = Posterior(joined)
    there = weighed if posterior.live is None else weighed[posterior.live]
    unweighed = float(posterior.shares[~there].sum())
    return Joint(joined, unweighed, tuple(at for at in posterior.first(wanted) if not weighed[at]))
