"""All segments with what is on record of them, in columns, and the likelihood of each given what was said.

A shop has a million segments but few different facts: those of a kit are shared by its segments, and the rest make some
thousands of combinations of place and plate, and of length and pockets. An answer is weighed once for each different
fact; what follows for a million segments is a few additions of columns. So every segment is weighed, none is left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt

from schemas.search import Question
from service.rules.evidence import Fact, Heard, Tables, likelihood
from service.rules.evidence_table import VALUES

Codes = npt.NDArray[np.int32]
Places = npt.NDArray[np.int64]
"""Where segments stand in the columns."""
Floats = npt.NDArray[np.float64]
LevelName = Literal["kit", "profile", "outline"]
Status = Literal["active", "voided", "retired"]

_LEAST = 1e-7
"""A fact that holds less of the likelihood than this is not told."""


@dataclass(frozen=True)
class Column:
    """What is on record in answer to one question.

    Attributes:
        facts: the different facts; None, where it is among them, stands for nothing on record.
        rows: for each row of the level its fact.
    """

    facts: tuple[Fact | None, ...]
    rows: Codes


@dataclass(frozen=True)
class Level:
    """Facts that many segments share: those of a kit, of a combination of place and plate, of an outline.

    Attributes:
        codes: for each segment its row.
        columns: by question what is on record, row by row.
        weights: for each row how likely its segments are taken to be beforehand, against others.
    """

    codes: Codes
    columns: Mapping[Question, Column]
    weights: Floats

    @cached_property
    def counts(self) -> Floats:
        """How many segments each row has."""
        return np.bincount(self.codes, minlength=len(self.weights)).astype(np.float64)


@dataclass(frozen=True, eq=False)
class SegmentSpace:
    """All segments at one moment. Nothing in it ever changes; a newer moment is a new one.

    Attributes:
        ids: row ids of the segments, ascending.
        revisions: for each the row id of the revision of its cut file.
        levels: their facts.
        kit_numbers: for each row of the level of kits its number.
        tables: the shop's code tables.
    """

    ids: Codes
    revisions: Codes
    levels: Mapping[LevelName, Level]
    kit_numbers: tuple[str, ...]
    tables: Tables

    def __len__(self) -> int:
        return len(self.ids)

    @cached_property
    def log_prior(self) -> Floats:
        """The logarithm of how likely each segment is before anything is said.

        All are alike but for places that were given up and kits out of use.
        """
        found = np.zeros(len(self.ids))
        for level in self.levels.values():
            if np.any(level.weights != 1):
                found += np.log(level.weights)[level.codes]
        return found

    def level_of(self, question: Question) -> Level | None:
        """The level that answers a question from the records; None for those that need a look at other segments."""
        return next((level for level in self.levels.values() if question in level.columns), None)

    def index_of(self, segment_id: int) -> int | None:
        """Where a segment stands in the columns; None for one that is not there."""
        (at,) = self.places_of([segment_id]) or (None,)
        return at

    def places_of(self, segment_ids: Sequence[int]) -> list[int]:
        """Where segments stand in the columns, in the order asked; those that are not there are left out."""
        # Of the columns' own type: any other would have all of them converted for each question.
        asked = np.asarray(segment_ids, dtype=np.int32)
        at = np.minimum(np.searchsorted(self.ids, asked), len(self.ids) - 1)
        return [int(one) for one in at[self.ids[at] == asked]]

    def fact(self, question: Question, segment: int) -> Fact | None:
        """What is on record of one segment, by its place in the columns."""
        level = self.level_of(question)
        if level is None:
            return None
        column = level.columns[question]
        return column.facts[int(column.rows[int(level.codes[segment])])]

    def broke(self, times: Mapping[int, int]) -> Floats:
        """The logarithm of how likely each segment breaks, against others, by how often it was ordered again.

        The mean of a gamma-Poisson rate: what is usual counts as ``breakages.shape`` breakages, so that a place that
        broke once is not taken for one that always breaks.

        Args:
            times: by row id how often; never for those left out.
        """
        shape = VALUES["breakages.shape"]
        usual = sum(times.values()) / max(1, len(self))
        found = np.zeros(len(self))
        if usual > 0:
            exposed = shape / usual
            found += np.log(shape / (exposed + 1) / usual)
            there = [id_ for id_ in times if self.index_of(id_) is not None]
            counts = np.asarray([times[id_] for id_ in there], dtype=np.float64)
            found[self.places_of(there)] = np.log((shape + counts) / (exposed + 1) / usual)
        return found

    def weighed(self, answers: Sequence[tuple[Question, Heard]]) -> Evidence:
        """These answers, weighed for each segment."""
        logs = self.log_prior.copy()
        usual: dict[Question, float] = {}
        for level in self.levels.values():
            total: Floats | None = None
            for question, said in answers:
                if question in level.columns:
                    column = level.columns[question]
                    likely = self._likely(question, said, column)
                    # Nothing on record makes an answer neither likelier nor less likely than it is in all.
                    usual[question] = _usual(likely, level, column)
                    row = np.log([usual[question] if one is None else one for one in likely])[column.rows]
                    total = row if total is None else total + row
            if total is not None:
                logs += total[level.codes]
        return Evidence(logs, usual)

    def _likely(self, question: Question, said: Heard, column: Column) -> list[float | None]:
        return [None if fact is None else likelihood(question, said, fact, self.tables) for fact in column.facts]

    def masses(self, posterior: Posterior) -> dict[LevelName, Floats]:
        """How much of the likelihood lies in each row of each level."""
        live = posterior.live
        return {
            name: np.bincount(
                level.codes if live is None else level.codes[live],
                weights=posterior.shares,
                minlength=len(level.weights),
            ).astype(np.float64)
            for name, level in self.levels.items()
        }

    def kit_shares(self, masses: Mapping[LevelName, Floats]) -> dict[str, float]:
        """How likely each kit is, by its number; they add up to 1."""
        held = masses["kit"]
        some = np.flatnonzero(held > held.sum() * _LEAST)
        total = float(held[some].sum())
        return {self.kit_numbers[int(row)]: float(held[row]) / total for row in some} if total else {}

    def fact_shares(self, question: Question, masses: Mapping[LevelName, Floats]) -> tuple[dict[Fact, float], float]:
        """How likely each fact is, scaled to add up to 1, and the share that lies where nothing is on record."""
        name, level = next((name, level) for name, level in self.levels.items() if question in level.columns)
        column = level.columns[question]
        held = np.bincount(column.rows, weights=masses[name], minlength=len(column.facts))
        total = float(held.sum())
        found: dict[Fact, float] = {}
        for at in np.flatnonzero(held > total * _LEAST):
            fact = column.facts[int(at)]
            if fact is not None:
                found[fact] = found.get(fact, 0.0) + float(held[at])
        known = sum(found.values())
        if known <= 0 or total <= 0:
            return {}, 1.0
        return {fact: share / known for fact, share in found.items()}, max(0.0, 1 - known / total)


@dataclass(frozen=True, slots=True)
class Evidence:
    """Answers weighed.

    Attributes:
        logs: for each segment the logarithm of how likely it is, by what is known beforehand and the answers.
        usual: by question how likely its answer is in all, over the segments of which something is on record.
    """

    logs: Floats
    usual: Mapping[Question, float]


def _usual(likely: Sequence[float | None], level: Level, column: Column) -> float:
    counts = np.bincount(column.rows, weights=level.counts, minlength=len(column.facts))
    known = [(one, float(count)) for one, count in zip(likely, counts, strict=True) if one is not None]
    total = sum(count for _, count in known)
    return sum(one * count for one, count in known) / total if total else 1.0


class Posterior:
    """How likely each segment is after all that was said.

    Segments that are less likely than one in ten million of the likeliest are counted together and left out of what
    follows: a million of them hold less than a tenth of what it holds alone, and as a rule next to nothing.

    Attributes:
        live: the places of those that are left, None for all of them.
        shares: how likely each of those is; they add up to 1.
        entropy_bits: how uncertain it still is.
    """

    def __init__(self, logs: Floats) -> None:
        raised = logs - logs.max()
        some = np.flatnonzero(raised > _LOG_LEFT_OUT)
        self.live: Places | None = None if len(some) > len(logs) // 2 else some
        chosen = raised if self.live is None else raised[self.live]
        likely = np.exp(chosen)
        total = float(likely.sum())
        self.shares: Floats = likely / total
        # What cannot be it at all adds nothing, and nothing times infinity is no number.
        held = self.shares > 0
        self.entropy_bits = max(0.0, float(np.log(total) - self.shares[held] @ chosen[held]) / float(np.log(2)))

    def first(self, count: int) -> list[int]:
        """The places of the likeliest segments, the likeliest first; of equals the one that was issued first."""
        count = min(count, len(self.shares))
        if count == 0:
            return []
        # Many may be alike at the border: those that were issued first are taken.
        least = -np.partition(-self.shares, count - 1)[count - 1]
        some = np.flatnonzero(self.shares >= least)
        chosen = some[np.argsort(-self.shares[some], kind="stable")][:count]
        return [int(one) for one in (chosen if self.live is None else self.live[chosen])]

    def share_of(self, place: int) -> float:
        """How likely one segment is, by its place in the columns; 0 for one that is left out."""
        if self.live is None:
            return float(self.shares[place])
        at = int(np.searchsorted(self.live, place))
        return float(self.shares[at]) if at < len(self.live) and int(self.live[at]) == place else 0.0

    def holding(self, share: float) -> int:
        """How few segments hold this much of the likelihood."""
        held = np.cumsum(np.sort(self.shares)[::-1])
        return min(len(held), int(np.searchsorted(held, share * (1 - 1e-12))) + 1)


_LOG_LEFT_OUT = -16.1  # one in ten million


def status_weight(status: Status) -> float:
    """How likely a part in this state is meant, against one in use."""
    return 1.0 if status == "active" else VALUES[f"status.{status}"]


def usual_of(logs: Floats) -> float:
    """How likely something is in all, from the logarithms of how likely it is for each segment."""
    return float(np.exp(logs).mean())
