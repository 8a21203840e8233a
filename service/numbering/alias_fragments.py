"""Which legacy marks are worth comparing with a fragment sign by sign, and how many slips are reckoned with.

Whoever reads a mark with at most k slips leaves part of it whole: cut what was read into k + 1 pieces, and one slip
harms one piece at most, so that some piece stands in the mark on record as it was read. Two swapped neighbours may lie
astride a cut and harm two pieces; so the text is cut a second time one sign farther on, where that swap harms but one.
So every mark with at most k slips, at most one of them a swap, holds a piece of the one cutting or of the other.
"""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

from service.numbering.alignment import Alignment

__all__ = ["few_enough", "pieces_of", "slips_reckoned_with"]

_NO_SLIPS = frozenset({"same", "unknown", "run", "head", "tail"})
_TWO_FROM, _ONE_FROM = 9, 5


def slips_reckoned_with(runs: Collection[str]) -> int:
    """How many slips a fragment may hold: none below 5 signs in a run, one below 9, two from there on.

    With pieces of two or three signs most legacy marks of a shop hold none of them.

    Args:
        runs: what was read without a gap.
    """
    longest = max(map(len, runs), default=0)
    return 2 if longest >= _TWO_FROM else 1 if longest >= _ONE_FROM else 0


def pieces_of(runs: Collection[str], slips: int) -> tuple[str, ...]:
    """The pieces of which one stands whole in every mark that was read with no more slips than these.

    Args:
        runs: what was read without a gap.
        slips: no more than :func:`slips_reckoned_with` says.
    """
    longest = max(runs, key=len, default="")
    if not longest:
        return ()
    count = slips + 1
    even = [n * len(longest) // count for n in range(count + 1)]
    moved = [0, *(cut + 1 for cut in even[1:-1]), len(longest)]
    return tuple(dict.fromkeys(longest[start:stop] for cuts in (even, moved) for start, stop in pairwise(cuts)))


def few_enough(alignment: Alignment, slips: int) -> bool:
    """Whether the likeliest way to read a mark so holds no more slips than these, one swap at most."""
    found = [step.slip for step in alignment.steps if step.slip not in _NO_SLIPS]
    return len(found) <= slips and found.count("swapped") <= 1
