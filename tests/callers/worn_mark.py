"""What becomes of a number on its way from a broken part to the desk, drawn step by step.

First the part is broken: some signs at the head and some at the tail are gone. Then the rest is gone through from left
to right, and at each sign one thing happens: it is said (as itself or as another, perhaps with a sign behind it that
nobody sees), it cannot be read (``?``), it is passed over, it is said twice, it changes places with the next one, or a
few signs are gone together (``*``). Hyphens are said or left out, by some people never. If a step would reach past the
end of what is left, all of it is drawn anew. ``every_alignment.py`` sums over all ways in which this gives a text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random

from tests.callers.confusions import PLACE, SIGNS, taken_for
from tests.callers.said import Shares

RUN, UNKNOWN, HYPHEN = "*", "?", "-"


@dataclass(frozen=True, kw_only=True)
class Rates:
    """How often each thing happens, as shares; what is left of 1 at a sign is that it is said.

    Attributes:
        wrong: of the signs that are said, those said as another one.
        hyphens: how often each hyphen is said by those who say hyphens at all, and ``silent`` the share of those who
            don't.
        head: shares of 0, 1, 2 … signs lost at the head; ``tail`` likewise.
        gap: shares by the length of a run of signs that is gone, from 2 on, all of them together adding up to ``gone``.
    """

    came_by: str
    wrong: float
    unknown: float
    passed_over: float
    twice: float
    swapped: float
    followed: float
    gone: float
    hyphens: float
    silent: float
    head: Sequence[float]
    tail: Sequence[float]
    gap: Sequence[float] = (0.4, 0.3, 0.2, 0.1)

    @property
    def said(self) -> float:
        """How often a sign is said, rightly or not."""
        return 1 - self.unknown - self.passed_over - self.twice - self.swapped - self.gone

    def gaps(self) -> Mapping[int, float]:
        """How often so many signs are gone together."""
        return {length: self.gone * share for length, share in enumerate(self.gap, start=2)}

    def table(self) -> Shares:
        """What each sign is said as."""
        return taken_for(self.came_by, self.wrong)


def said_of(draw: Random, number: str, rates: Rates) -> str:
    """What is said of a number."""
    while True:
        head = draw.choices(range(len(rates.head)), rates.head)[0]
        tail = draw.choices(range(len(rates.tail)), rates.tail)[0]
        spoken = 0.0 if draw.random() < rates.silent else rates.hyphens
        text = (
            _gone_through(draw, number[head : len(number) - tail], rates, spoken)
            if head + tail <= len(number)
            else None
        )
        if text is not None:
            return text


def _gone_through(draw: Random, left: str, rates: Rates, spoken: float) -> str | None:
    """What is said of the signs that are left; None if a step reaches past their end."""
    steps = (rates.said, rates.unknown, rates.passed_over, rates.twice, rates.swapped, rates.gone)
    said, at = "", 0
    while at < len(left):
        if left[at] == HYPHEN:
            said += HYPHEN if draw.random() < spoken else ""
            at += 1
            continue
        step = draw.choices(range(6), steps)[0]
        if step == 0:
            said += draw.choices(SIGNS, rates.table()[PLACE[left[at]]].tolist())[0]
            said += draw.choice(SIGNS) if draw.random() < rates.followed else ""
        elif step == 1:
            said += UNKNOWN
        elif step == 3:
            said += 2 * left[at]
        elif step == 4:
            following = left[at + 1 : at + 2]
            if following in ("", HYPHEN):
                return None
            said += following + left[at]
            at += 1
        elif step == 5:
            said += RUN
            at += draw.choices(range(2, 2 + len(rates.gap)), rates.gap)[0] - 1
        at += 1
    return said if at == len(left) else None
