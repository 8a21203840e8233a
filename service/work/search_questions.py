"""What to ask next, the question that is expected to leave the fewest first."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import Connection

from schemas.search import QUESTIONS, ExpectedAnswer, Question, QuestionAnswer
from service.rules.evidence import worth
from service.rules.evidence_table import ASK, unsure, wrong
from service.rules.next_question import Worth, named
from service.rules.picture_evidence import MOST_SHOWN, picture_worth
from service.rules.segment_space import Posterior, SegmentSpace
from service.store.alias_subjects import designations

MOST_ANSWERS = 8
"""How many of the answers to expect are told."""

_LEAST_BITS = 1e-4


def ranked_questions(
    connection: Connection,
    space: SegmentSpace,
    posterior: Posterior,
    likeliest: Sequence[int],
    *,
    asked: Collection[Question],
) -> tuple[QuestionAnswer, ...]:
    """Every question from which something is to be gained, the best one first.

    Args:
        connection: a read transaction.
        space: all segments.
        posterior: how likely each is.
        likeliest: where the likeliest stand in the columns.
        asked: what was asked already.
    """
    masses = space.masses(posterior)
    found: list[tuple[Question, Worth]] = []
    for question in QUESTIONS:
        if question in asked:
            continue
        if question == "neighbour":
            kits = space.kit_shares(masses)
            found.append((question, named(kits, wrong=wrong(question), unsure=unsure(question))))
        elif question == "picture":
            found.append((question, picture_worth(space, posterior, _pictures(connection, space, likeliest))))
        else:
            facts, unknown = space.fact_shares(question, masses)
            found.append((question, worth(question, facts, space.tables, unknown=unknown)))
    found = [(question, one) for question, one in found if one.gain_bits > _LEAST_BITS]
    found.sort(key=lambda item: -item[1].gain_bits)
    return tuple(
        QuestionAnswer(
            question=question,
            ask=ASK[question],
            answers=tuple(
                ExpectedAnswer(answer=answer, share=round(share, 4)) for answer, share in one.answers[:MOST_ANSWERS]
            ),
            gain_bits=round(one.gain_bits, 4),
        )
        for question, one in found
    )


def _pictures(connection: Connection, space: SegmentSpace, likeliest: Sequence[int]) -> dict[int, str]:
    """For the likeliest outlines the likeliest segment that is cut to each: its place and its number."""
    chosen: dict[int, int] = {}
    for place in likeliest:
        chosen.setdefault(int(space.revisions[place]), place)
        if len(chosen) == MOST_SHOWN:
            break
    numbers = designations(connection, "segment", [int(space.ids[place]) for place in chosen.values()])
    return {place: numbers[int(space.ids[place])] for place in chosen.values()}
