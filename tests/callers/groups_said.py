"""A second way in which a number reaches the desk: group by group, as people say what they see, not sign by sign.

Groups are lost at either end, others are passed over without a word or called ``something``. A group that is said may
be said by its letters or by its digits alone, a number of two digits may be turned round (forty-two for twenty-four),
and of each sign it is said, taken for any other sign at all or for one that looks alike, called unreadable, or left
out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from random import Random

import numpy as np
from numpy.typing import NDArray

from tests.callers.confusions import PLACE, SIGNS, taken_for
from tests.callers.said import Shares
from tests.callers.worn_mark import RUN, UNKNOWN

GROUPS = 6
"""Plant and line, machine, container, assembly, place, check."""


@dataclass(frozen=True, kw_only=True)
class Habits:
    """Shares of what happens to groups and to signs.

    Attributes:
        head: shares of 0, 1, 2 … groups lost at the head; ``tail`` likewise. Together fewer than there are groups.
        skipped: a group is passed over without a word; ``named`` the share that is called something.
        letters: only the letters of a group are said; ``digits`` only its digits.
        turned: the last two digits of a group are said in the other order, where it ends in two or more.
        anyhow: a sign is taken for any other; ``alike`` for one that looks or sounds like it.
    """

    head: Sequence[float]
    tail: Sequence[float]
    skipped: float
    named: float
    letters: float
    digits: float
    turned: float
    anyhow: float
    alike: float
    unknown: float
    dropped: float

    def table(self) -> Shares:
        """Of a sign that is said, what it is said as."""
        alike = taken_for("eye", 1.0) / 2 + taken_for("ear", 1.0) / 2
        table = self.alike * alike + self.anyhow * (1 - np.eye(len(SIGNS))) / (len(SIGNS) - 1)
        return np.asarray(table + (1 - self.alike - self.anyhow) * np.eye(len(SIGNS)))


def said_by_groups(draw: Random, number: str, habits: Habits) -> str:
    """What is said of a number, groups parted by blanks."""
    groups = number.split("-")
    head = draw.choices(range(len(habits.head)), habits.head)[0]
    tail = draw.choices(range(len(habits.tail)), habits.tail)[0]
    said = []
    for group in groups[head : len(groups) - tail]:
        which = draw.random()
        if which < habits.named:
            said.append(RUN)
        elif which >= habits.named + habits.skipped:
            said.append(_garbled(draw, draw.choices(*zip(*_forms(group, habits), strict=True))[0], habits))
    return " ".join(group for group in said if group)


def _garbled(draw: Random, group: str, habits: Habits) -> str:
    said = ""
    for sign in group:
        which = draw.random()
        if which < habits.unknown:
            said += UNKNOWN
        elif which >= habits.unknown + habits.dropped:
            said += draw.choices(SIGNS, habits.table()[PLACE[sign]].tolist())[0]
    return said


def _forms(group: str, habits: Habits) -> list[tuple[str, float]]:
    """What of a group is said at all, with shares that add up to 1; a form may stand there twice."""
    letters = group.rstrip("0123456789")
    digits = group[len(letters) :]
    forms = []
    if letters and digits:
        forms = [(letters, habits.letters), (digits, habits.digits)]
    if len(digits) >= 2:
        forms.append((f"{group[:-2]}{group[-1]}{group[-2]}", habits.turned))
    return [*forms, (group, 1 - sum(share for _, share in forms))]


class GroupAlignment:
    """The probability of texts for all numbers of a shop: over all ways in which what is said can belong to groups."""

    def __init__(self, numbers: Sequence[str], habits: Habits) -> None:
        self._habits = habits
        self._table = habits.table()
        columns = zip(*(number.split("-") for number in numbers), strict=True)
        self._groups: list[tuple[list[str], NDArray[np.int64]]] = []
        for column in columns:
            found, inverse = np.unique(np.array(column), return_inverse=True)
            self._groups.append((found.tolist(), inverse.astype(np.int64)))
        self._count = len(numbers)
        # Kept, since a shop has few different groups and callers say the same of them again and again.
        self._of = cache(self._probability_of)

    def probability(self, text: str) -> Shares:
        """For every number the probability that just this text is said of it."""
        tokens = text.split()
        total = np.zeros(self._count)
        for head, first in enumerate(self._habits.head):
            for tail, last in enumerate(self._habits.tail):
                total += first * last * self._between(head, GROUPS - tail, tokens)
        return total

    def _between(self, start: int, stop: int, tokens: Sequence[str]) -> Shares:
        habits = self._habits
        said = np.zeros((len(tokens) + 1, self._count))
        said[0] = 1
        for group in range(start, stop):
            silent = habits.skipped + (1 - habits.skipped - habits.named) * self._column(group, "")
            # From the last one on, so that what is read was not yet written.
            for at in range(len(tokens), 0, -1):
                share = (1 - habits.skipped - habits.named) * self._column(group, tokens[at - 1])
                share += habits.named * (tokens[at - 1] == RUN)
                said[at] = said[at] * silent + said[at - 1] * share
            said[0] = said[0] * silent
        return np.asarray(said[-1])

    def _column(self, group: int, token: str) -> Shares:
        found, inverse = self._groups[group]
        return np.asarray(self._of(group, token)[inverse]) if found else np.zeros(self._count)

    def _probability_of(self, group: int, token: str) -> Shares:
        return np.array([self._said_of(one, token) for one in self._groups[group][0]])

    def _said_of(self, group: str, token: str) -> float:
        return sum(share * self._signs(form, token) for form, share in _forms(group, self._habits) if share)

    def _signs(self, form: str, token: str) -> float:
        """Over all ways in which the signs of a form, some left out, give the token."""
        habits = self._habits
        said = [1.0] + [0.0] * len(token)
        for sign in form:
            for at in range(len(token), 0, -1):
                heard = token[at - 1]
                share = habits.unknown if heard == UNKNOWN else 0.0
                if heard in PLACE:
                    share = (1 - habits.unknown - habits.dropped) * self._table[PLACE[sign], PLACE[heard]]
                said[at] = said[at] * habits.dropped + said[at - 1] * share
            said[0] *= habits.dropped
        return said[-1]
