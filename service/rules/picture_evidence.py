"""What a caller says of outlines that he was shown: which it is, or that it is none of them."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import numpy.typing as npt

from service.rules.evidence_table import VALUES, unsure, wrong
from service.rules.next_question import Worth, channel_of, told
from service.rules.segment_space import Floats, Level, SegmentSpace

MOST_SHOWN = 6
"""How many outlines are put side by side at most."""

NEARLY = 0.03
"""Most that the lengths of two outlines differ, as a share, that are taken for each other."""

NONE_OF_THESE = "none of these"


def picked(space: SegmentSpace, outline: int) -> Floats:
    """The logarithm of how likely this outline is to be picked, for each outline there is."""
    level = space.levels["outline"]
    alike, miss = VALUES["picture.alike"], wrong("picture")
    found = np.full(len(level.weights), miss / MOST_SHOWN)
    found[_nearly(level, outline)] += (1 - miss) * alike / 2
    found[outline] = (1 - miss) * (1 - alike) + miss / MOST_SHOWN
    return np.asarray(np.log(found))


def refused(space: SegmentSpace, outlines: Collection[int]) -> Floats:
    """The logarithm of how likely it is that none of these is picked, for each outline there is."""
    level = space.levels["outline"]
    alike, miss = VALUES["picture.alike"], wrong("picture")
    found = np.full(len(level.weights), (1 - miss) * (1 - alike / 2))
    for outline in outlines:
        found[outline] = miss + (1 - miss) * alike / 2
    return np.asarray(np.log(found))


def picture_worth(space: SegmentSpace, masses: Floats, numbers: dict[int, str]) -> Worth:
    """What it is worth to show the likeliest outlines.

    Args:
        space: all segments.
        masses: how likely each outline is; they add up to 1.
        numbers: for some outlines the number of a segment that is cut to it; these are shown.
    """
    shown = sorted(numbers, key=lambda outline: -masses[outline])[:MOST_SHOWN]
    shares = [float(masses[outline]) for outline in shown]
    rest = max(0.0, 1 - sum(shares))
    level = space.levels["outline"]
    alike, miss = VALUES["picture.alike"], wrong("picture")
    answers = [*(numbers[outline] for outline in shown), NONE_OF_THESE]
    rows = []
    for outline in shown:
        near = _nearly(level, outline)
        row = [miss / len(answers) + (alike / 2 if other != outline and near[other] else 0.0) for other in shown]
        row[shown.index(outline)] += 1 - miss - alike
        rows.append([*row, miss / len(answers) + alike / 2])
    rows.append([*[(alike / 2 + miss) / len(shown)] * len(shown), 1 - alike / 2 - miss])
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
