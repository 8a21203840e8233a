"""What a caller says of outlines that he was shown: which it is, or that it is none of them."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

import numpy as np
import numpy.typing as npt

from service.rules.evidence_table import VALUES, unsure, wrong
from service.rules.next_question import Worth, channel_of, told
from service.rules.segment_space import Floats, Level, Posterior, SegmentSpace

MOST_SHOWN = 6
"""How many outlines are put side by side at most."""

NEARLY = 0.03
"""Most that the lengths of two outlines differ, as a share, that are taken for each other."""

NONE_OF_THESE = "none of these"


def picked(space: SegmentSpace, place: int) -> Floats:
    """The logarithm of how likely the outline of one segment is to be picked, for each segment.

    Args:
        space: all segments.
        place: where that segment stands in the columns.
    """
    level = space.levels["outline"]
    alike, miss = VALUES["picture.alike"], wrong("picture")
    rows = np.full(len(level.weights), miss / MOST_SHOWN)
    rows[_nearly(level, int(level.codes[place]))] += (1 - miss) * alike / 2
    found = np.log(rows)[level.codes]
    found[space.revisions == space.revisions[place]] = math.log((1 - miss) * (1 - alike) + miss / MOST_SHOWN)
    return np.asarray(found)


def refused(space: SegmentSpace, places: Collection[int]) -> Floats:
    """The logarithm of how likely it is that none of these segments' outlines is picked, for each segment."""
    alike, miss = VALUES["picture.alike"], wrong("picture")
    found = np.full(len(space), math.log((1 - miss) * (1 - alike / 2)))
    shown = space.revisions[np.asarray(list(places), dtype=np.int64)]
    found[np.isin(space.revisions, shown)] = math.log(miss + (1 - miss) * alike / 2)
    return np.asarray(found)


def picture_worth(space: SegmentSpace, posterior: Posterior, shown: Mapping[int, str]) -> Worth:
    """What it is worth to show the outlines of some segments.

    Args:
        space: all segments.
        posterior: how likely each segment is.
        shown: by place in the columns the numbers of segments of different outlines, the likeliest first.
    """
    revisions = space.revisions if posterior.live is None else space.revisions[posterior.live]
    level = space.levels["outline"]
    shares = [float(posterior.shares[revisions == space.revisions[place]].sum()) for place in shown]
    rest = max(0.0, 1 - sum(shares))
    alike, miss = VALUES["picture.alike"], wrong("picture")
    answers = [*shown.values(), NONE_OF_THESE]
    rows = []
    for at, place in enumerate(shown):
        near = _nearly(level, int(level.codes[place]))
        row = [
            miss / len(answers) + (alike / 2 if other != place and near[level.codes[other]] else 0.0) for other in shown
        ]
        row[at] += 1 - miss - alike
        rows.append([*row, miss / len(answers) + alike / 2])
    rows.append([*[(alike / 2 + miss) / max(1, len(shown))] * len(shown), 1 - alike / 2 - miss])
    return told([*shares, rest], answers, channel_of(rows), unsure=unsure("picture"))


def _nearly(level: Level, outline: int) -> npt.NDArray[np.bool_]:
    """Which outlines are as long as this one, nearly, and have as many pockets; this one among them."""
    lengths = level.columns["overall_length_mm"]
    pockets = level.columns["pockets"]
    length = lengths.facts[int(lengths.rows[outline])]
    if not isinstance(length, float):
        alone: npt.NDArray[np.bool_] = np.arange(len(level.weights)) == outline
        return alone
    near = np.array([isinstance(one, float) and abs(one - length) <= NEARLY * length for one in lengths.facts])
    found: npt.NDArray[np.bool_] = near[lengths.rows] & (pockets.rows == pockets.rows[outline])
    return found
