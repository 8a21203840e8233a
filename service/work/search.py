"""Search: from half a number and what the caller knows to the segments that may be meant, and what to ask next.

Every segment is weighed: how likely the mark was so read if its number is the right one, and how likely the caller's
answers are if what is on record of it is the truth. The product, scaled to add up to 1, is how likely it is this one.
None is picked and none is ruled out.
"""

from __future__ import annotations

from sqlalchemy import Connection

from schemas.search import IgnoredAnswer, SearchAnswer, SearchRequest
from service.errors import BadInput
from service.numbering.error_model import CameBy
from service.numbering.number_index import NumberIndex
from service.rules.segment_space import Posterior, SegmentSpace
from service.store.reorders import ordered_again
from service.work.search_evidence import read_evidence
from service.work.search_mark import MarkWeighed, weigh_mark
from service.work.search_questions import ranked_questions
from service.work.search_shown import Shown, shown_candidates
from service.work.workshop import Workshop

HELD = 0.95
"""``left`` counts the segments that hold this much of the likelihood."""

_LOOKED_THROUGH = 200
"""Of how many of the likeliest segments the outlines are looked at for a question about pictures."""

_FEWER_BITS = 0.005
"""A question that is expected to take off less is not worth asking."""


def search(workshop: Workshop, request: SearchRequest) -> SearchAnswer:
    """The segments that may be meant, the likeliest first, and what to ask next.

    An answer that cannot be used is left aside and named in ``ignored`` with the reason; so is a mark of which nothing
    can be read.
    """
    space, index = workshop.evidence.current(), workshop.numbers.current()
    if not len(space):
        return _nothing(request)
    with workshop.database.read() as connection:
        told = read_evidence(connection, index, space, request.evidence)
        evidence = space.weighed(told.answers)
        logs = evidence.logs
        if request.prior == "breakages":
            logs = logs + space.broke(ordered_again(connection))
        for other in told.elsewhere:
            logs = logs + other.logs
        mark, ignored = _mark(connection, index, space, request)
        unlooked = 0.0
        if mark is not None:
            logs, unlooked = mark.joined(connection, space, logs, wanted=request.limit)
        posterior = Posterior(logs)
        likeliest = posterior.first(max(request.limit, _LOOKED_THROUGH))
        questions = ranked_questions(connection, space, posterior, likeliest, asked=told.asked)
        shown = Shown(space, posterior, told, evidence.usual, mark)
        return SearchAnswer(
            candidates=shown_candidates(connection, shown, likeliest[: request.limit]),
            left=posterior.holding(HELD),
            consistent=len(space) if mark is None else mark.consistent,
            entropy_bits=round(posterior.entropy_bits, 4),
            unlooked=round(unlooked, 6),
            next_question=questions[0] if questions and questions[0].gain_bits >= _FEWER_BITS else None,
            questions=questions,
            ignored=(*ignored, *told.ignored),
            prior=request.prior,
        )


def _mark(
    connection: Connection, index: NumberIndex, space: SegmentSpace, request: SearchRequest
) -> tuple[MarkWeighed | None, tuple[IgnoredAnswer, ...]]:
    """The mark as it was weighed; None, and the reason, where there is none or nothing of it can be used."""
    if request.mark is None or not request.mark.strip():
        return None, ()
    try:
        came_by = CameBy(request.came_by) if request.came_by else None
        return weigh_mark(connection, index, space, request.mark, came_by), ()
    except BadInput as error:
        return None, (IgnoredAnswer(question="mark", answer=request.mark, reason=f"{error.what}. {error.todo}"),)


def _nothing(request: SearchRequest) -> SearchAnswer:
    """The answer of a shop that issued no number yet."""
    return SearchAnswer(
        candidates=(),
        left=0,
        consistent=0,
        entropy_bits=0.0,
        unlooked=0.0,
        next_question=None,
        questions=(),
        ignored=(),
        prior=request.prior,
    )
