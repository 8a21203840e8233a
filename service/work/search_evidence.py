"""What the caller said, read: answers that the records of a segment speak to, and marks of its neighbours."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from schemas.search import EvidencePart, IgnoredAnswer, Question
from service.errors import BadInput
from service.numbering.number_index import NumberIndex
from service.rules.evidence import Heard, NotUnderstood, heard
from service.rules.neighbour_evidence import likely_of, neighbour_logs
from service.rules.picture_evidence import picked, refused
from service.rules.segment_space import Floats, SegmentSpace, usual_of
from service.store.alias_subjects import segment_ids
from service.store.segments import joined_to
from service.work.search_mark import weigh_mark

_SEVERAL: tuple[Question, ...] = ("neighbour", "picture")
"""Questions that have several answers at once; of all others the last answer counts."""

_LEAST = 1e-4
"""Of a neighbour that is less likely than this, against the likeliest, the joints are not looked at."""

_MOST_NEIGHBOURS = 500
"""How many numbers a neighbour's mark is held against."""

_MOST_NEIGHBOURS = 500
"""How many numbers a neighbour's mark is held against."""

_NUMBER = re.compile(r"[A-Z0-9]+(?:-[A-Z0-9]+){4,}", re.IGNORECASE)
_NOT = re.compile(r"\s*(?:not|none|no)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """An answer that other records than those of the segment itself speak to.

    Attributes:
        question: what was asked.
        words: what the caller said.
        logs: for each segment the logarithm of how likely he says so.
        usual: how likely that is in all.
    """

    question: Question
    words: str
    logs: Floats
    usual: float


@dataclass(frozen=True, slots=True)
class Told:
    """Everything that a caller said.

    Attributes:
        answers: what the records of a segment speak to.
        words: the same in the caller's words, by question.
        elsewhere: what else he said, of neighbours and pictures.
        asked: what was asked already, whatever came of it.
        ignored: what could not be used.
    """

    answers: tuple[tuple[Question, Heard], ...]
    words: dict[Question, str]
    elsewhere: tuple[Elsewhere, ...]
    asked: frozenset[Question]
    ignored: tuple[IgnoredAnswer, ...]


def read_evidence(
    connection: Connection, index: NumberIndex, space: SegmentSpace, evidence: Sequence[EvidencePart]
) -> Told:
    """The caller's answers, as far as they can be understood; the last one to each question counts."""
    answers: dict[Question, Heard] = {}
    words: dict[Question, str] = {}
    elsewhere: list[Elsewhere] = []
    ignored: list[IgnoredAnswer] = []
    for part in evidence:
        said = " ".join(part.answer.split())
        if not said:
            continue
        if part.question in words and part.question not in _SEVERAL:
            ignored.append(_ignored(part.question, words[part.question], "he said otherwise later"))
        understood = heard(part.question, said, part.tolerance_mm, space.tables)
        found: Floats | NotUnderstood | None = None
        match part.question:
            case "neighbour":
                found = _neighbour(connection, index, space, said)
            case "picture":
                found = _picture(connection, space, said)
        if isinstance(found, NotUnderstood) or isinstance(understood, NotUnderstood):
            reason = found.reason if isinstance(found, NotUnderstood) else ""
            reason = understood.reason if isinstance(understood, NotUnderstood) else reason
            ignored.append(_ignored(part.question, said, reason))
            continue
        words[part.question] = said
        if found is None:
            answers[part.question] = understood
        else:
            elsewhere.append(Elsewhere(part.question, said, found, usual_of(found)))
    return Told(
        answers=tuple(answers.items()),
        words=words,
        elsewhere=tuple(elsewhere),
        # Who refused some outlines can be shown others.
        asked=frozenset(
            part.question for part in evidence if part.question != "picture" or not _NOT.match(part.answer)
        ),
        ignored=tuple(ignored),
    )


def _ignored(question: Question, answer: str, reason: str) -> IgnoredAnswer:
    return IgnoredAnswer(question=question, answer=answer, reason=reason)


def _neighbour(connection: Connection, index: NumberIndex, space: SegmentSpace, said: str) -> Floats | NotUnderstood:
    """How likely a caller reads this mark on a part beside each segment: one that locks into it, or one of its kit."""
    try:
        mark = weigh_mark(connection, index, space, said, None, most=_MOST_NEIGHBOURS)
    except BadInput as error:
        return NotUnderstood(f"{error.what}. {error.todo}")
    likely = likely_of(mark.costs())
    near = joined_to(connection, [id_ for id_, share in likely.items() if share > _LEAST])
    degrees = {id_: len(others) for id_, others in joined_to(connection, _ends(near)).items()}
    logs = neighbour_logs(space, likely, near, degrees)
    return NotUnderstood("no part on record bears a mark like it") if logs is None else logs


def _ends(beside: dict[int, tuple[int, ...]]) -> list[int]:
    return sorted({other for others in beside.values() for other in others})


def _picture(connection: Connection, space: SegmentSpace, said: str) -> Floats | NotUnderstood:
    """How likely a caller picks this outline, or refuses these, for each segment."""
    numbers = [number.upper() for number in _NUMBER.findall(said)]
    found = segment_ids(connection, numbers)
    places = [at for at in map(space.index_of, found.values()) if at is not None]
    if not places:
        return NotUnderstood("it names no number on record; write the number whose outline it is, or not and numbers")
    return refused(space, places) if _NOT.match(said) else picked(space, places[0])
