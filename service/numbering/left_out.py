"""Numbers of which whole parts were left out without a word: ``FC1 A500 U3``, ``OSV4 1 A500``.

Who reads a number aloud passes over a group, or says of a group the digits alone. Sign by sign that is a long row of
losses, each as unlikely as any; as one slip it is common. Where groups were parted in what is left, any run of signs
may be missing, at one price for all of it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cached_property

from service.numbering.error_model import ErrorModel
from service.numbering.fragment import HYPHEN, RUN, Fragment
from service.numbering.matches import Match
from service.numbering.number_index import NumberIndex

__all__ = ["PARTS_LEFT_OUT", "MatchLeftOut", "search_left_out", "with_runs"]

PARTS_LEFT_OUT = math.log(50)
"""What it costs that parts are left out without a word, however many. Common practice, no source."""

_WORTH_TRYING = 6.0
"""A number that explains all that was said at less than this needs no parts to be left out."""


class MatchLeftOut(Match):
    """An issued number that a fragment may come from if parts were left out where it parts groups."""

    @cached_property
    def assumed(self) -> tuple[str, ...]:
        """What has to be true, the parts that were left out first."""
        return ("parts left out between groups", *super().assumed)


def with_runs(fragment: Fragment) -> Fragment | None:
    """The same with a run of unknown signs wherever groups were parted; None where they were parted nowhere."""
    tidy: list[tuple[str, int]] = []
    for sign, at in zip(fragment.signs, fragment.at, strict=True):
        run = RUN if sign == HYPHEN else sign
        if not (run == RUN and tidy and tidy[-1][0] == RUN):
            tidy.append((run, at))
    inner = fragment.signs.strip(HYPHEN)
    if HYPHEN not in inner:
        return None
    return replace(fragment, signs="".join(sign for sign, _ in tidy), at=tuple(at for _, at in tidy))


def search_left_out(
    index: NumberIndex, fragment: Fragment, model: ErrorModel, limit: int, *, within: float, best: float
) -> list[Match]:
    """The cheapest issued numbers if parts were left out; none where nothing needs it.

    Args:
        index: the issued numbers.
        fragment: what is left of one.
        model: the costs of what can go wrong.
        limit: how many at most.
        within: those that cost so much more than the cheapest are left out.
        best: what the cheapest number costs of which no part was left out.
    """
    runs = with_runs(fragment) if best > _WORTH_TRYING else None
    if runs is None:
        return []
    found = index.search(runs, model, limit, within=within)
    return [MatchLeftOut(match.number, match.cost + PARTS_LEFT_OUT, match.fragment, match.model) for match in found]
