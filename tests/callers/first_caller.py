"""The first caller: reads a worn mark, dictates it, or types it, and knows this and that about the part."""

from __future__ import annotations

from random import Random

import numpy as np

from tests.callers.answers import Question, first_questions
from tests.callers.every_alignment import Beginnings, EveryAlignment
from tests.callers.facts import Facts
from tests.callers.said import Call, Said, Shares
from tests.callers.worn_mark import Rates, said_of

_HEAD = (0.62, 0.05, 0.05, 0.04, 0.04, 0.04, 0.03, 0.03, 0.03, 0.03, 0.02, 0.02)
_TAIL = (0.55, 0.04, 0.06, 0.06, 0.06, 0.06, 0.05, 0.04, 0.04, 0.04)

RATES = {
    "eye": Rates(
        came_by="eye", wrong=0.05, unknown=0.10, passed_over=0.006, twice=0.002, swapped=0.003, followed=0.003,
        gone=0.02, hyphens=0.9, silent=0.4, head=_HEAD, tail=_TAIL,
    ),
    "ear": Rates(
        came_by="ear", wrong=0.06, unknown=0.05, passed_over=0.015, twice=0.006, swapped=0.01, followed=0.003,
        gone=0.02, hyphens=0.7, silent=0.85, head=_HEAD, tail=_TAIL,
    ),
    "keyboard": Rates(
        came_by="keyboard", wrong=0.03, unknown=0.04, passed_over=0.015, twice=0.015, swapped=0.02, followed=0.008,
        gone=0.01, hyphens=0.95, silent=0.5, head=_HEAD, tail=_TAIL,
    ),
}  # fmt: skip
_WAYS = {"eye": 0.45, "ear": 0.4, "keyboard": 0.15}
_ASKED = {
    "plant": 0.6, "line": 0.4, "running": 0.3, "machine": 0.3, "stock_colour": 0.6, "shape_family": 0.4, "pockets":
    0.25, "overall_length_mm": 0.25, "thickness_mm": 0.2, "hand": 0.15, "deck": 0.2, "neighbour": 0.08,
}  # fmt: skip


class FirstCaller:
    """The habits above, over the segments of one shop. What is asked does not depend on the part."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._questions: dict[str, Question] = first_questions(facts)
        tree = Beginnings(facts.shop.numbers)
        self._alignments = {way: EveryAlignment(tree, rates) for way, rates in RATES.items()}

    def call(self, draw: Random, segment: int) -> Call:
        """What is said of a segment."""
        way = draw.choices(list(_WAYS), list(_WAYS.values()))[0]
        mark = said_of(draw, self._facts.shop.numbers[segment], RATES[way])
        asked = [question for question, share in _ASKED.items() if draw.random() < share]
        answers = tuple(Said(question, self._questions[question].answer(draw, segment)) for question in asked)
        return Call(segment, mark, way, answers)

    def log_likelihood(self, call: Call) -> Shares:
        """Mark and answers are said independently of each other once the segment is given."""
        with np.errstate(divide="ignore"):
            total = np.log(self._alignments[call.came_by].probability(call.mark))
            for said in call.answers:
                total += np.log(self._questions[said.question].likelihood(said.answer))
        return total
