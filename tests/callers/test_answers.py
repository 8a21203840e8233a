"""Whatever a caller may answer to a question adds up to one under every segment, and is drawn as often as computed."""

from __future__ import annotations

from collections import Counter
from functools import cache
from random import Random

import numpy as np
import pytest

from tests.callers.answers import Measured, Question, Word, confused, first_questions
from tests.callers.facts import Facts, line_name
from tests.callers.other_caller import other_questions
from tests.shop_of_a_million import make_shop

_DRAWS = 2000


@cache
def facts() -> Facts:
    return Facts(make_shop(1500, seed=2))


@cache
def questions(whose: str) -> dict[str, Question]:
    return (first_questions if whose == "first" else other_questions)(facts())


NAMES = sorted(questions("first"))


@pytest.mark.parametrize("whose", ["first", "other"])
@pytest.mark.parametrize("name", NAMES)
def test_answers_are_drawn_as_often_as_computed(name: str, whose: str) -> None:
    question = questions(whose)[name]
    draw = Random(name)
    for segment in draw.sample(range(len(facts())), 4):
        drawn = Counter(question.answer(draw, segment) for _ in range(_DRAWS))
        for answer, times in drawn.most_common(8):
            share = float(question.likelihood(answer)[segment])
            assert times / _DRAWS == pytest.approx(share, abs=5 * (share / _DRAWS) ** 0.5), answer


@pytest.mark.parametrize("whose", ["first", "other"])
@pytest.mark.parametrize("name", NAMES)
def test_all_answers_add_up_to_one_under_every_segment(name: str, whose: str) -> None:
    question = questions(whose)[name]
    said = {question.answer(Random(seed), seed % len(facts())) for seed in range(6000)}
    if isinstance(question, Measured):
        steps = round(3000 / question.step_mm)
        said = {f"{step * question.step_mm:g}" for step in range(1, steps)}
    elif isinstance(question, Word):
        said = set(question.words)
    elif name == "pockets":
        said = {str(count) for count in range(61)}
    elif name == "line":
        said = {line_name(ordinal) for ordinal in range(1, 20)}
    total = sum((question.likelihood(answer) for answer in said), np.zeros(len(facts())))
    # What is left out of the draws is rare: wrong machines, containers of other customers.
    least = 0.9 if name in ("machine", "running", "neighbour") else 1 - 1e-6
    assert total.max() <= 1 + 1e-9
    assert np.median(total) >= least


def test_confused_words_keep_their_shares() -> None:
    table = confused(("red", "orange", "blue"), {"red": "orange"}, nearly=0.2, anything=0.03)
    assert table.sum(axis=1) == pytest.approx(1)
    assert table[0] == pytest.approx([0.78, 0.21, 0.01])
    assert table[2] == pytest.approx([0.01, 0.01, 0.98])
