"""Candidates of a search as they cross the edge: what is on record of each, and what speaks for it and against it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, cast

from sqlalchemy import Connection

from schemas.search import Question, SearchCandidate, WeighedAnswer
from service.rules.evidence import expected, likelihood, speaks
from service.rules.segment_space import Posterior, SegmentSpace
from service.store import kits, segments
from service.store.values import KitRow, SegmentRow
from service.work.search_evidence import Told
from service.work.search_mark import MarkWeighed


@dataclass(frozen=True, slots=True)
class Shown:
    """What candidates are shown from: all segments, how likely each is, and what was said.

    Attributes:
        space: all segments.
        posterior: how likely each is.
        told: the caller's answers.
        usual: by question how likely its answer is in all.
        mark: what is left of the mark; None without one.
    """

    space: SegmentSpace
    posterior: Posterior
    told: Told
    usual: Mapping[Question, float]
    mark: MarkWeighed | None


def shown_candidates(connection: Connection, shown: Shown, places: Sequence[int]) -> tuple[SearchCandidate, ...]:
    """The segments at these places of the columns, in this order."""
    ids = [int(shown.space.ids[at]) for at in places]
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
            probability=shown.posterior.share_of(at),
            assumed=shown.mark.assumed(id_, rows[id_].kit_number) if shown.mark else (),
            evidence=_verdicts(shown, at),
        )
        for at, id_ in zip(places, ids, strict=True)
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


def _verdicts(shown: Shown, at: int) -> tuple[WeighedAnswer, ...]:
    """What each answer says about one segment."""
    space, told = shown.space, shown.told
    found = []
    for question, said in told.answers:
        fact = space.fact(question, at)
        recorded = None if fact is None else expected(question, fact)
        verdict = "silent"
        if fact is not None:
            verdict = speaks(likelihood(question, said, fact, space.tables), shown.usual[question])
        found.append(_weighed(question, told.words[question], recorded, verdict))
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
