"""Candidates of a search as they cross the edge: what is on record of each, and what speaks for it and against it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, cast

from sqlalchemy import Connection

from schemas.search import Question, SearchCandidate, WeighedAnswer
from service.rules.evidence import expected, likelihood, speaks
from service.rules.segment_space import Floats, SegmentSpace
from service.store import kits, segments
from service.store.values import KitRow, SegmentRow
from service.work.search_evidence import Told
from service.work.search_mark import MarkWeighed


def shown_candidates(
    connection: Connection,
    space: SegmentSpace,
    shares: Floats,
    order: Sequence[int],
    told: Told,
    mark: MarkWeighed | None,
) -> tuple[SearchCandidate, ...]:
    """The segments at these places of the columns, in this order."""
    ids = [int(space.ids[at]) for at in order]
    rows = segments.segments_by_ids(connection, ids)
    of_kits: dict[str, KitRow] = {}
    for row in rows.values():
        if row.kit_number not in of_kits:
            kit = kits.find_kit(connection, row.kit_number)
            assert kit is not None
            of_kits[row.kit_number] = kit
    return tuple(
        _candidate(
            rows[id_],
            of_kits[rows[id_].kit_number],
            probability=float(shares[at]),
            assumed=mark.assumed(id_) if mark else (),
            evidence=_verdicts(space, at, told),
        )
        for at, id_ in zip(order, ids, strict=True)
    )


def _candidate(
    row: SegmentRow,
    kit: KitRow,
    *,
    probability: float,
    assumed: tuple[str, ...],
    evidence: tuple[WeighedAnswer, ...],
) -> SearchCandidate:
    return SearchCandidate(
        number=row.number,
        key=row.key,
        place=row.place,
        kit=row.kit_number,
        assembly=row.assembly_name,
        plant=kit.now_plant or kit.plant.name,
        line=kit.now_line.name if kit.now_line else None,
        machine=kit.machine.name,
        container=f"{kit.container.code} {kit.container.name}",
        stock_colour=row.stock_colour,
        status="voided" if row.voided else "retired" if kit.retired else "active",
        probability=round(probability, 6),
        assumed=assumed,
        evidence=evidence,
        picture=f"/api/segments/{row.number}/outline.svg",
    )


def _verdicts(space: SegmentSpace, at: int, told: Told) -> tuple[WeighedAnswer, ...]:
    """What each answer says about one segment, in the order in which they came."""
    found = []
    for question, said in told.answers:
        fact = space.fact(question, at)
        usual = space.usual(question, said)
        verdict = "silent" if fact is None else speaks(likelihood(question, said, fact, space.tables), usual)
        found.append(
            _weighed(question, told.words[question], None if fact is None else expected(question, fact), verdict)
        )
    for other in told.elsewhere:
        likely = math.exp(float(other.logs[at]))
        found.append(_weighed(other.question, other.words, None, speaks(likely, other.usual)))
    return tuple(found)


def _weighed(question: Question, answer: str, recorded: str | None, verdict: str) -> WeighedAnswer:
    return WeighedAnswer(
        question=question,
        answer=answer,
        recorded=recorded,
        speaks=cast("Literal['for', 'against', 'silent']", verdict),
    )
