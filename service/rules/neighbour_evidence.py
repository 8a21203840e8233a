"""What the mark of a part beside it says of a segment: one that locks into it, or one of the same kit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from service.rules.evidence_table import VALUES, wrong
from service.rules.segment_space import Floats, SegmentSpace

_NO_JOINTS = 0.1
"""How much less likely a part is that is not on record as locking into the one that was read."""


def neighbour_logs(
    space: SegmentSpace,
    likely: Mapping[int, float],
    joined: Mapping[int, Sequence[int]],
    degrees: Mapping[int, int],
) -> Floats | None:
    """The logarithm of how likely a caller reads such a mark beside each segment; None where no part bears one like it.

    Args:
        space: all segments.
        likely: by row id how likely the mark is that of a segment, against others; those left out as good as not.
        joined: by row id of these the segments that lock into them.
        degrees: of those how many lock into each.
    """
    usual = sum(likely.values()) / len(space)
    if usual <= 0:
        return None
    kit = space.levels["kit"]
    in_kit, touching = np.zeros(len(kit.weights)), np.zeros(len(space))
    for at in space.places_of(list(likely)):
        id_ = int(space.ids[at])
        share = likely[id_]
        in_kit[kit.codes[at]] += share
        for there in space.places_of(joined.get(id_, ())):
            touching[there] += share / max(1, degrees[int(space.ids[there])])
    in_kit /= np.maximum(kit.counts, 1)
    kin = in_kit[kit.codes]
    miss, locks = wrong("neighbour"), VALUES["neighbour.joined"]
    beside = (1 - locks) * kin + locks * np.where(touching > 0, touching, _NO_JOINTS * kin)
    return np.asarray(np.log(miss * usual + (1 - miss) * beside))


def likely_of(costs: Mapping[int, float]) -> dict[int, float]:
    """Likelihoods from costs, the cheapest 1."""
    least = min(costs.values(), default=0.0)
    return {id_: math.exp(least - cost) for id_, cost in costs.items()}
