"""What callers answer when they are asked about a part: right mostly, and wrong in ways that people are wrong in.

Each question draws an answer for a segment, and gives for an answer its probability under every segment of the shop.
The shares are the judgement of whoever wrote the callers and know nothing of the service's own table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from random import Random
from typing import Protocol

import numpy as np
from scipy.special import ndtr

from tests.callers.facts import (
    DECK_WORDS,
    HANDS,
    KIND_WORDS,
    Facts,
    Ids,
    line_name,
    machine_name,
    plant_name,
)
from tests.callers.said import Shares


class Question(Protocol):
    """One question and how it is answered."""

    def answer(self, draw: Random, segment: int) -> str:
        """What is said of a segment."""
        ...

    def likelihood(self, answer: str) -> Shares:
        """For every segment the probability that just this is said of it."""
        ...


@dataclass(frozen=True, eq=False)
class Word:
    """A question that is answered by one of some words: ``taken`` holds a row of shares for each true word."""

    true: Ids
    words: Sequence[str]
    taken: Shares

    def answer(self, draw: Random, segment: int) -> str:
        """A word, drawn by the row of the true one."""
        return draw.choices(self.words, self.taken[self.true[segment]].tolist())[0]

    def likelihood(self, answer: str) -> Shares:
        """The column of the word."""
        return np.asarray(self.taken[self.true, self.words.index(answer)])


def confused(words: Sequence[str], near: Mapping[str, str], *, nearly: float, anything: float) -> Shares:
    """Shares by true word: ``nearly`` goes to the words that are near it, ``anything`` to all, itself among them."""
    table = np.full((len(words), len(words)), anything / len(words))
    for row, word in enumerate(words):
        beside = [words.index(other) for other in near.get(word, "").split(",") if other in words]
        table[row, row] += 1 - anything - (nearly if beside else 0)
        for other in beside:
            table[row, other] += nearly / len(beside)
    return table


@dataclass(frozen=True, eq=False)
class LineSaid:
    """Which line: where the machine stands now, or where it stood when the number was given, or any of the plant."""

    facts: Facts
    then: float
    wrong: float

    def answer(self, draw: Random, segment: int) -> str:
        """The name of a line."""
        which = draw.random()
        if which < self.wrong:
            return line_name(draw.randint(1, int(self.facts.lines_of_plant[segment])))
        return line_name(
            int((self.facts.line_born if which < self.wrong + self.then else self.facts.line_now)[segment])
        )

    def likelihood(self, answer: str) -> Shares:
        """By the number in the name."""
        facts, ordinal = self.facts, int(answer.rsplit(maxsplit=1)[-1])
        return np.asarray(
            self.wrong * (facts.lines_of_plant >= ordinal) / facts.lines_of_plant
            + self.then * (facts.line_born == ordinal)
            + (1 - self.wrong - self.then) * (facts.line_now == ordinal)
        )


@dataclass(frozen=True, eq=False)
class Running:
    """What runs: the kit's own container or another one of the register, by its code or by its size alone."""

    facts: Facts
    wrong: float
    size_alone: float

    def _said(self, container: int) -> tuple[str, str]:
        one = self.facts.shop.containers[container]
        return one.code, f"{one.nominal} {one.unit}"

    def answer(self, draw: Random, segment: int) -> str:
        """A code or a size."""
        container = int(self.facts.container[segment])
        if draw.random() < self.wrong:
            container = draw.choice(self.facts.register_of(container))
        return self._said(container)[draw.random() < self.size_alone]

    def likelihood(self, answer: str) -> Shares:
        """Right, or one of the register that is called so."""
        form = " " in answer
        meant = np.array([self._said(at)[form] == answer for at in range(len(self.facts.shop.containers))], float)
        owner = np.array([one.customer for one in self.facts.shop.containers])
        customers = np.bincount(owner)
        register = np.bincount(owner, weights=meant) / np.maximum(customers, 1)
        share = (1 - self.wrong) * meant + self.wrong * register[owner]
        return np.asarray((self.size_alone if form else 1 - self.size_alone) * share[self.facts.container])


@dataclass(frozen=True, eq=False)
class MachineSaid:
    """Which machine, by its kind alone or with its number; wrong is any kind with any number from 1 to 3."""

    facts: Facts
    wrong: float
    kind_alone: float

    def answer(self, draw: Random, segment: int) -> str:
        """A name such as ``labeller`` or ``labeller 2``."""
        facts = self.facts
        kind, ordinal = int(facts.machine_class[segment]), int(facts.machine_ordinal[segment])
        if draw.random() < self.wrong:
            kind, ordinal = draw.randrange(len(facts.classes)), draw.randint(1, 3)
        name = machine_name(facts.classes[kind], ordinal)
        return name.rsplit(" ", 1)[0] if draw.random() < self.kind_alone else name

    def likelihood(self, answer: str) -> Shares:
        """By kind, and by number where one was said."""
        facts, last = self.facts, answer.rsplit(" ", 1)[-1]
        numbered = last.isdigit()
        kind = answer.rsplit(" ", 1)[0] if numbered else answer
        place = next(at for at, code in enumerate(facts.classes) if machine_name(code, 1) == f"{kind} 1")
        right = facts.machine_class == place
        if not numbered:
            return np.asarray(self.kind_alone * ((1 - self.wrong) * right + self.wrong / len(facts.classes)))
        by_chance = (int(last) <= 3) / (3 * len(facts.classes))
        right = right & (facts.machine_ordinal == int(last))
        return np.asarray((1 - self.kind_alone) * ((1 - self.wrong) * right + self.wrong * by_chance))


@dataclass(frozen=True, eq=False)
class Counted:
    """How many pockets: right, out by one or two, or any number up to 12; of a part without any nearly always 0."""

    true: Ids
    by_one: float
    by_two: float
    wrong: float

    def answer(self, draw: Random, segment: int) -> str:
        """A count."""
        counts = np.arange(61)
        return str(draw.choices(counts.tolist(), self._share(counts, int(self.true[segment])).tolist())[0])

    def likelihood(self, answer: str) -> Shares:
        """The share of the count, for the true count of every segment."""
        by_true = np.array([self._share(np.array([int(answer)]), true)[0] for true in range(int(self.true.max()) + 1)])
        return np.asarray(by_true[self.true])

    def _share(self, counted: Ids, true: int) -> Shares:
        any_number = self.wrong * ((counted >= 1) & (counted <= 12)) / 12
        if true == 0:
            return np.asarray(any_number + (1 - self.wrong) * (counted == 0))
        total = any_number + (1 - self.wrong - self.by_one - self.by_two) * (counted == true)
        for steps, share in ((1, self.by_one), (2, self.by_two)):
            # Too few by more than there are comes out as none.
            total = total + share / 2 * (counted == true + steps) + share / 2 * (counted == max(true - steps, 0))
        return np.asarray(total)


@dataclass(frozen=True, eq=False)
class Measured:
    """A length to the next whole step: with the spread of the tool, roughly, of what is left only, or anything."""

    true_mm: Shares
    step_mm: float
    spread_mm: float
    spread_share: float
    rough: float
    rough_mm: float
    broken: float
    wrong: float
    largest_mm: float

    def answer(self, draw: Random, segment: int) -> str:
        """A length in millimetres."""
        true, which = float(self.true_mm[segment]), draw.random()
        if which < self.wrong:
            said = draw.uniform(0, self.largest_mm)
        elif which < self.wrong + self.broken:
            said = draw.uniform(0.4 * true, true)
        elif which < self.wrong + self.broken + self.rough:
            said = draw.gauss(true, self.rough_mm)
        else:
            said = draw.gauss(true, self.spread_mm + self.spread_share * true)
        return f"{max(round(said / self.step_mm), 1) * self.step_mm:g}"

    def likelihood(self, answer: str) -> Shares:
        """The probability of all that is rounded to the answer."""
        said = float(answer)
        low = -np.inf if said <= self.step_mm else said - self.step_mm / 2
        high, true = said + self.step_mm / 2, self.true_mm

        def within(spread: Shares | float) -> Shares:
            return np.asarray(ndtr((high - true) / spread) - ndtr((low - true) / spread))

        def even(least: Shares | float, most: Shares | float) -> Shares:
            return np.asarray(np.clip(np.minimum(high, most) - np.maximum(low, least), 0, None) / (most - least))

        return np.asarray(
            self.wrong * even(0.0, self.largest_mm)
            + self.broken * even(0.4 * true, true)
            + self.rough * within(self.rough_mm)
            + (1 - self.wrong - self.broken - self.rough) * within(self.spread_mm + self.spread_share * true)
        )


@dataclass(frozen=True, eq=False)
class NeighbourRead:
    """The mark of the piece before or behind, whole or up to the place only; of a part that stands alone nothing."""

    facts: Facts
    whole: float

    def answer(self, draw: Random, segment: int) -> str:
        """A number, or what is left of it at the head; empty where there is no neighbour."""
        beside = [int(some[segment]) for some in self.facts.beside if some[segment] >= 0]
        if not beside:
            return ""
        number = self.facts.shop.numbers[draw.choice(beside)]
        return number if draw.random() < self.whole else number.rsplit("-", 2)[0]

    def likelihood(self, answer: str) -> Shares:
        """Half for each neighbour that reads so, or all for an only one."""
        before, behind = self.facts.beside
        count = (before >= 0).astype(float) + (behind >= 0)
        if not answer:
            return np.asarray((count == 0).astype(float))
        is_whole = answer.count("-") == 5
        reads = self._wholes.get(answer, []) if is_whole else self._heads.get(answer, [])
        total = np.zeros(len(self.facts))
        for one in reads:
            for other in (int(before[one]), int(behind[one])):
                if other >= 0:
                    total[other] += 1 / count[other]
        return total * (self.whole if is_whole else 1 - self.whole)

    @cached_property
    def _wholes(self) -> dict[str, list[int]]:
        return {number: [at] for at, number in enumerate(self.facts.shop.numbers)}

    @cached_property
    def _heads(self) -> dict[str, list[int]]:
        heads: dict[str, list[int]] = {}
        for at, number in enumerate(self.facts.shop.numbers):
            heads.setdefault(number.rsplit("-", 2)[0], []).append(at)
        return heads


NEAR_COLOURS = {
    "natural": "white,grey", "white": "natural,grey", "black": "grey,brown,blue", "grey": "white,natural,black",
    "red": "orange,brown,pink", "orange": "red,yellow", "yellow": "orange,natural", "green": "blue,grey",
    "blue": "green,purple,black", "purple": "blue,pink", "pink": "red,purple", "brown": "black,red",
}  # fmt: skip
NEAR_DECKS = {
    "lower": "middle,none",
    "middle": "lower,upper",
    "upper": "middle,neck",
    "neck": "upper",
    "none": "lower,upper",
}
NEAR_HANDS = {"LEFT": "RIGHT", "RIGHT": "LEFT", "none": "LEFT,RIGHT"}
NEAR_KINDS = {
    "star wheel": "plate,guide", "screw": "rail", "guide": "rail", "rail": "guide,strip", "strip": "rail",
    "plate": "star wheel", "chute": "guide", "chuck": "plate", "magazine": "bracket", "bracket": "plate",
    "pusher": "bracket",
}  # fmt: skip


def first_questions(facts: Facts) -> dict[str, Question]:
    """The questions with the habits of the first caller."""
    plants = [plant_name(one.code) for one in facts.shop.plants]
    return {
        "plant": Word(facts.plant, plants, confused(plants, {}, nearly=0, anything=0.03)),
        "line": LineSaid(facts, then=0.12, wrong=0.08),
        "running": Running(facts, wrong=0.15, size_alone=0.3),
        "machine": MachineSaid(facts, wrong=0.08, kind_alone=0.5),
        "stock_colour": Word(facts.colour, facts.colours, confused(facts.colours, NEAR_COLOURS, nearly=0.1,
        anything=0.04)), "shape_family": Word(
            facts.kind, KIND_WORDS, confused(KIND_WORDS, NEAR_KINDS, nearly=0.08,
            anything=0.03)
        ),
        "pockets": Counted(facts.shop.pockets.astype(np.int64), by_one=0.12, by_two=0.02, wrong=0.04),
        "overall_length_mm": Measured(
            facts.shop.length_mm.astype(float), step_mm=1, spread_mm=1.5, spread_share=0.003, rough=0.05, rough_mm=12,
            broken=0.05, wrong=0.03, largest_mm=2000,
        ),
        "thickness_mm": Measured(
            facts.shop.thickness_mm.astype(float), step_mm=0.5, spread_mm=0.3, spread_share=0, rough=0.1, rough_mm=1.5,
            broken=0, wrong=0.05, largest_mm=60,
        ),
        "hand": Word(facts.shop.hand.astype(np.int64), HANDS, confused(HANDS, NEAR_HANDS, nearly=0.1, anything=0.03)),
        "deck": Word(facts.deck, DECK_WORDS, confused(DECK_WORDS, NEAR_DECKS, nearly=0.08, anything=0.04)),
        "neighbour": NeighbourRead(facts, whole=0.7),
    }  # fmt: skip
