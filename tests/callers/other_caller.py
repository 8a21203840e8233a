"""Another caller, to whom no figure was ever tuned: says groups, errs in other ways, and is wrong more often."""

from __future__ import annotations

from random import Random

import numpy as np

from tests.callers.answers import (
    NEAR_KINDS,
    Counted,
    LineSaid,
    MachineSaid,
    Measured,
    NeighbourRead,
    Question,
    Running,
    Word,
    confused,
)
from tests.callers.facts import DECK_WORDS, HANDS, KIND_WORDS, Facts, plant_name
from tests.callers.groups_said import GroupAlignment, Habits, said_by_groups
from tests.callers.said import Call, Said, Shares

HABITS = Habits(
    head=(0.6, 0.25, 0.15),
    tail=(0.5, 0.25, 0.15, 0.1),
    skipped=0.06,
    named=0.08,
    letters=0.04,
    digits=0.06,
    turned=0.08,
    anyhow=0.04,
    alike=0.05,
    unknown=0.08,
    dropped=0.03,
)
_WAYS = {"eye": 0.3, "ear": 0.5, "keyboard": 0.2}
_FEWEST, _MOST = 2, 7


def other_questions(facts: Facts) -> dict[str, Question]:
    """The same questions with other habits: any colour or deck is taken for any other, tapes are read roughly."""
    plants = [plant_name(one.code) for one in facts.shop.plants]
    return {
        "plant": Word(facts.plant, plants, confused(plants, {}, nearly=0, anything=0.08)),
        "line": LineSaid(facts, then=0.2, wrong=0.2),
        "running": Running(facts, wrong=0.3, size_alone=0.5),
        "machine": MachineSaid(facts, wrong=0.15, kind_alone=0.7),
        "stock_colour": Word(facts.colour, facts.colours, confused(facts.colours, {}, nearly=0, anything=0.28)),
        "shape_family": Word(
            facts.kind,
            KIND_WORDS,
            confused(KIND_WORDS, NEAR_KINDS, nearly=0.15, anything=0.08),
        ),
        "pockets": Counted(facts.shop.pockets.astype(np.int64), by_one=0.2, by_two=0.08, wrong=0.06),
        "overall_length_mm": Measured(
            facts.shop.length_mm.astype(float), step_mm=5, spread_mm=4, spread_share=0.01, rough=0.1, rough_mm=30,
            broken=0.12, wrong=0.05, largest_mm=1500,
        ),
        "thickness_mm": Measured(
            facts.shop.thickness_mm.astype(float), step_mm=1, spread_mm=0.8, spread_share=0, rough=0.2, rough_mm=4,
            broken=0, wrong=0.06, largest_mm=50,
        ),
        "hand": Word(facts.shop.hand.astype(np.int64), HANDS, confused(HANDS, {}, nearly=0, anything=0.4)),
        "deck": Word(facts.deck, DECK_WORDS, confused(DECK_WORDS, {}, nearly=0, anything=0.25)),
        "neighbour": NeighbourRead(facts, whole=0.4),
    }  # fmt: skip


class OtherCaller:
    """Two to seven questions, any of them, and a mark said group by group."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._questions = other_questions(facts)
        self._alignment = GroupAlignment(facts.shop.numbers, HABITS)

    def call(self, draw: Random, segment: int) -> Call:
        """What is said of a segment."""
        way = draw.choices(list(_WAYS), list(_WAYS.values()))[0]
        mark = said_by_groups(draw, self._facts.shop.numbers[segment], HABITS)
        # A neighbour's mark gives the kit away; few callers find one.
        asked = [
            name
            for name in draw.sample(sorted(self._questions), draw.randint(_FEWEST, _MOST))
            if name != "neighbour" or draw.random() < 0.2
        ]
        answers = tuple(Said(name, self._questions[name].answer(draw, segment)) for name in asked)
        return Call(segment, mark, way, answers)

    def log_likelihood(self, call: Call) -> Shares:
        """Of the mark and of each answer, which are said independently once the segment is given."""
        with np.errstate(divide="ignore"):
            total = np.log(self._alignment.probability(call.mark))
            for said in call.answers:
                total += np.log(self._questions[said.question].likelihood(said.answer))
        return total
