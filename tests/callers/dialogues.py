"""How many questions it takes until one segment is left, when the caller answers rightly what he can answer.

Asked in the order that the search proposes, or in any order. What somebody cannot answer is drawn, by shares that are
the judgement of whoever wrote the callers; having asked it counts all the same. Pictures are not asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from random import Random
from typing import get_args

from schemas.search import EvidencePart, Question, SearchAnswer, SearchRequest
from tests.callers.facts import DECK_WORDS, HANDS, KIND_WORDS, Facts, line_name, machine_name, plant_name

Ask = Callable[[SearchRequest], SearchAnswer]
PICTURE = "picture"
_UNKNOWN: Mapping[Question, float] = {
    "neighbour": 0.4, "date": 0.6, "overall_length_mm": 0.15, "thickness_mm": 0.1, "pockets": 0.05, "hand": 0.15,
    "deck": 0.1, "machine": 0.05, "line": 0.05, "running": 0.05, "shape_family": 0.05,
}  # fmt: skip
"""How often somebody cannot answer."""


def true_answers(facts: Facts, segment: int, draw: Random) -> Mapping[Question, str]:
    """What somebody says who has the part in his hands and the machine before him; empty where he cannot answer."""
    shop = facts.shop
    container = shop.containers[int(facts.container[segment])]
    beside = [int(some[segment]) for some in facts.beside if some[segment] >= 0]
    answers: dict[Question, str] = {
        "plant": plant_name(shop.plants[int(facts.plant[segment])].code),
        "line": line_name(int(facts.line_now[segment])),
        "running": container.code,
        "machine": machine_name(facts.classes[int(facts.machine_class[segment])], int(facts.machine_ordinal[segment])),
        "stock_colour": facts.colours[int(facts.colour[segment])],
        "shape_family": KIND_WORDS[int(facts.kind[segment])],
        "pockets": str(int(shop.pockets[segment])),
        "overall_length_mm": f"{shop.length_mm[segment]:.0f}",
        "thickness_mm": f"{shop.thickness_mm[segment]:g}",
        "hand": HANDS[int(shop.hand[segment])],
        "deck": DECK_WORDS[int(facts.deck[segment])],
        "neighbour": shop.numbers[beside[0]] if beside else "",
        "date": shop.kits[int(shop.kit[segment])].issued[:4],
    }
    assert set(answers) | {PICTURE} == set(get_args(Question))
    return {name: "" if draw.random() < _UNKNOWN.get(name, 0.0) else answer for name, answer in answers.items()}


def questions_needed(
    ask: Ask, answers: Mapping[Question, str], *, left: int, draw: Random | None, mark: str = ""
) -> int:
    """How many questions until at most so many segments hold nearly all of the likelihood.

    Args:
        ask: the search.
        answers: what the caller says; each question is asked once at most.
        left: how few segments are few enough.
        draw: asks in any order; None asks what the search proposes.
        mark: what is left of the mark.
    """
    said: list[EvidencePart] = []
    while True:
        answer = ask(SearchRequest(mark=mark or None, evidence=tuple(said), limit=1))
        open_ = [name for name in answers if name not in {part.question for part in said}]
        if answer.left <= left or not open_:
            return len(said)
        proposed = [question.question for question in answer.questions if question.question in open_]
        # What the search holds to be worth nothing is asked last.
        following = draw.choice(open_) if draw else (proposed or open_)[0]
        said.append(EvidencePart(question=following, answer=answers[following]))
