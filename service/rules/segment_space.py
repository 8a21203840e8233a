"""All segments with what is on record of them, in columns, and the likelihood of each given what was said.

A shop has a million segments but few different facts: those of a kit are shared by its segments, those of an outline by
all that are cut to it, and the rest make some thousands of combinations. An answer is weighed once for each different
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
Floats = npt.NDArray[np.float64]
LevelName = Literal["kit", "profile", "outline"]

Status = Literal["active", "voided", "retired"]


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
        levels: their facts.
        kit_numbers: for each row of the level of kits its number.
        tables: the shop's code tables.
    """

    ids: Codes
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
        at = int(np.searchsorted(self.ids, segment_id))
        return at if at < len(self.ids) and int(self.ids[at]) == segment_id else None

    def fact(self, question: Question, segment: int) -> Fact | None:
        """What is on record of one segment, by its place in the columns."""
        level = self.level_of(question)
        if level is None:
            return None
        column = level.columns[question]
        return column.facts[int(column.rows[int(level.codes[segment])])]

    def usual(self, question: Question, said: Heard) -> float:
        """How likely an answer is in all, over the segments of which something is on record."""
        level = self.level_of(question)
        if level is None:
            return 1.0
        return _usual(self._likely(question, said, level.columns[question]), self._fact_counts(level, question))

    def log_likelihood(self, answers: Sequence[tuple[Question, Heard]]) -> Floats:
        """The logarithm of how likely these answers are, for each segment."""
        found = np.zeros(len(self.ids))
        for level in self.levels.values():
            total: Floats | None = None
            for question, said in answers:
                if question in level.columns:
                    column = level.columns[question]
                    likely = self._likely(question, said, column)
                    # Nothing on record makes it neither likelier nor less likely than it is in all.
                    usual = _usual(likely, self._fact_counts(level, question))
                    logs = np.log([usual if one is None else one for one in likely])
                    total = logs[column.rows] + (0.0 if total is None else total)
            if total is not None:
                found += total[level.codes]
        return found

    def _likely(self, question: Question, said: Heard, column: Column) -> list[float | None]:
        return [None if fact is None else likelihood(question, said, fact, self.tables) for fact in column.facts]

    def _fact_counts(self, level: Level, question: Question) -> Floats:
        column = level.columns[question]
        return np.bincount(column.rows, weights=level.counts, minlength=len(column.facts)).astype(np.float64)

    def masses(self, shares: Floats, live: Codes | None = None) -> dict[LevelName, Floats]:
        """How much of the likelihood lies in each row of each level.

        Args:
            shares: how likely each segment is, or each of ``live``.
            live: the segments that ``shares`` stands for; all of them unless said.
        """
        return {
            name: np.bincount(
                level.codes if live is None else level.codes[live], weights=shares, minlength=len(level.weights)
            ).astype(np.float64)
            for name, level in self.levels.items()
        }

    def kit_shares(self, masses: Mapping[LevelName, Floats]) -> dict[str, float]:
        """How likely each kit is, by its number; they add up to 1."""
        held = masses["kit"]
        some = np.flatnonzero(held > held.sum() * 1e-7)
        total = float(held[some].sum())
        return {self.kit_numbers[int(row)]: float(held[row]) / total for row in some} if total else {}

    def fact_shares(self, question: Question, masses: Mapping[LevelName, Floats]) -> tuple[dict[Fact, float], float]:
        """How likely each fact is, scaled to add up to 1, and the share that lies where nothing is on record."""
        name, level = next((name, level) for name, level in self.levels.items() if question in level.columns)
        column = level.columns[question]
        held = np.bincount(column.rows, weights=masses[name], minlength=len(column.facts))
        total = float(held.sum())
        found: dict[Fact, float] = {}
        for at in np.flatnonzero(held > total * 1e-7):
            fact = column.facts[int(at)]
            if fact is not None:
                found[fact] = found.get(fact, 0.0) + float(held[at])
        known = sum(found.values())
        if known <= 0 or total <= 0:
            return {}, 1.0
        return {fact: share / known for fact, share in found.items()}, max(0.0, 1 - known / total)


def _usual(likely: Sequence[float | None], counts: Floats) -> float:
    known = [(one, float(count)) for one, count in zip(likely, counts, strict=True) if one is not None]
    total = sum(count for _, count in known)
    return sum(one * count for one, count in known) / total if total else 1.0


def shares_of(logs: Floats) -> Floats:
    """Shares that add up to 1 from logarithms of likelihoods."""
    if len(logs) == 0:
        return logs
    raised = np.exp(logs - logs.max())
    return np.asarray(raised / raised.sum())


def entropy_bits(shares: Floats) -> float:
    """The entropy of shares that add up to 1, in bits."""
    some = shares[shares > 0]
    return max(0.0, float(-(some * np.log2(some)).sum()))


def holding(shares: Floats, share: float) -> int:
    """How few of some shares hold this much of the whole."""
    if len(shares) == 0:
        return 0
    held = np.cumsum(np.sort(shares)[::-1])
    return min(len(shares), int(np.searchsorted(held, share * (1 - 1e-12))) + 1)


def first(shares: Floats, count: int) -> list[int]:
    """Where the largest shares stand, the largest first, of equals the one that stands first."""
    count = min(count, len(shares))
    if count == 0:
        return []
    some = np.argpartition(-shares, count - 1)[:count]
    return [int(one) for one in some[np.lexsort((some, -shares[some]))]]


def usual_of(logs: Floats) -> float:
    """How likely something is in all, from the logarithms of how likely it is for each segment."""
    return float(np.exp(logs).mean())


def status_weight(status: Status) -> float:
    """How likely a part in this state is meant, against one in use."""
    return 1.0 if status == "active" else VALUES[f"status.{status}"]
