"""The likeliest way in which a true text became the text as it was read.

The alignment is that of the optimal string alignment distance (substitution, loss, addition, and the swap of two
neighbours, none of them touched twice) with the costs of an error model instead of ones, and with what damage adds to
it: ``?`` in the text as read stands for one sign that nobody could read, ``*`` for any run of such signs, and signs
before the first or behind the last one may be broken off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from service.numbering.error_model import ErrorModel

__all__ = ["RUN", "UNKNOWN", "Alignment", "Slip", "Step", "align", "aligned_cost", "assumed", "has_signs", "tidied"]

UNKNOWN = "?"
"""One sign that nobody could read."""

RUN = "*"
"""Any number of signs that nobody could read, none among them too."""

Slip = Literal["same", "unknown", "run", "misread", "lost", "extra", "doubled", "swapped", "head", "tail"]
"""What became of signs: read right, not read, in a run of those, or one of the slips."""

Table = list[list[float]]


@dataclass(frozen=True, slots=True)
class Step:
    """What became of one or two signs: ``read`` is what the text as read has, ``true`` what it should have."""

    slip: Slip
    read: str
    true: str


@dataclass(frozen=True, slots=True)
class Alignment:
    """How a text was read: the cost of it all, and the steps from left to right."""

    cost: float
    steps: tuple[Step, ...]


def tidied(read: str) -> str:
    """A text as read with no more marks of a run than are needed: ``A**??*B`` says no more than ``A??*B``."""
    out: list[str] = []
    unknown, run = 0, False
    for sign in f"{read}\0":
        if sign == UNKNOWN:
            unknown += 1
        elif sign == RUN:
            run = True
        else:
            out.append(UNKNOWN * unknown + RUN * run)
            out.append(sign)
            unknown, run = 0, False
    return "".join(out)[:-1]


def has_signs(read: str) -> bool:
    """Whether anything was read at all."""
    return any(sign not in (UNKNOWN, RUN) for sign in read)


def aligned_cost(
    read: str, true: str, model: ErrorModel, *, head: bool = True, tail: bool = True, limit: float = math.inf
) -> float:
    """The cost of the likeliest way from ``true`` to ``read``; infinite where it is above ``limit`` or there is none.

    Args:
        read: capital letters and digits as they were read, with the marks of what was not.
        true: the text that may stand behind it.
        model: the costs.
        head: whether signs may be broken off at the beginning.
        tail: likewise at the end.
        limit: dearer ways are not looked for.
    """
    table = _table(read, true, model, head=head, limit=limit)
    if table is None:
        return math.inf
    cost = _ended(table[-1], model, tail=tail)[0]
    return cost if cost <= limit else math.inf


def align(
    read: str, true: str, model: ErrorModel, *, head: bool = True, tail: bool = True, limit: float = math.inf
) -> Alignment | None:
    """The likeliest way from ``true`` to ``read``, step by step; None where :func:`aligned_cost` is infinite."""
    table = _table(read, true, model, head=head, limit=limit)
    if table is None:
        return None
    cost, at = _ended(table[-1], model, tail=tail)
    if cost > limit or math.isinf(cost):
        return None
    steps = [Step("tail", "", true[at:])] if at < len(true) else []
    i, j = len(read), at
    while i or j:
        step = _last(table, i, j, read, true, model, head=head)
        steps.append(step)
        i -= len(step.read)
        j -= len(step.true)
    return Alignment(cost, tuple(reversed(steps)))


def assumed(alignment: Alignment, model: ErrorModel) -> tuple[str, ...]:
    """What was assumed, one clause each: ``5 read as S``, ``tail missing``."""
    return tuple(clause for step in alignment.steps if (clause := _clause(step, model)))


def _clause(step: Step, model: ErrorModel) -> str:
    match step.slip:
        case "misread":
            return model.sentence(step.read, step.true)
        case "lost":
            return f"{step.true} missing"
        case "extra":
            return f"{step.read} too much"
        case "doubled":
            return f"{step.true} {model.taken} twice"
        case "swapped":
            return f"{step.true} {model.taken} as {step.read}"
        case "head" | "tail":
            return f"{step.slip} missing"
        case "same" | "unknown" | "run":
            return ""


def _table(read: str, true: str, model: ErrorModel, *, head: bool, limit: float) -> Table | None:
    """The least cost of each beginning of ``read`` behind each beginning of ``true``; None once all are too dear."""
    first = [0.0]
    for sign in true:
        first.append(first[-1] + model.lost(sign))
    if head:
        first = [0.0, *(min(cost, model.lost_head) for cost in first[1:])]
    table = [first]
    losses = [model.lost(sign) for sign in true]
    for i, sign in enumerate(read):
        before = table[-1]
        row = _row(sign, before, true, losses, model)
        if i and sign not in (UNKNOWN, RUN):
            _with_pairs(row, table[-2], read[i - 1 : i + 1], true, losses, model)
        table.append(row)
        # A step reaches back over two rows at most.
        if min(row) > limit and min(before) > limit:
            return None
    return table


def _row(sign: str, before: list[float], true: str, losses: list[float], model: ErrorModel) -> list[float]:
    if sign == RUN:
        row, least = [], math.inf
        for cost in before:
            least = min(least, cost)
            row.append(least)
        return row
    unknown = sign == UNKNOWN
    more = math.inf if unknown else model.added
    here = before[0] + more
    row = [here]
    for j, right in enumerate(true):
        taken = before[j] + (0.0 if unknown else model.substitution(sign, right))
        here = min(taken, here + losses[j], before[j + 1] + more)
        row.append(here)
    return row


def _with_pairs(
    row: list[float], two_before: list[float], pair: str, true: str, losses: list[float], model: ErrorModel
) -> None:
    """Improve a row by the steps that take two signs as read: a doubled sign, two neighbours swapped."""
    if pair[0] in (UNKNOWN, RUN):
        return
    if pair[0] == pair[1]:
        for j, right in enumerate(true):
            row[j + 1] = min(row[j + 1], two_before[j] + model.substitution(pair[0], right) + model.doubled(right))
    else:
        for j, (one, other) in enumerate(pairwise(true)):
            if pair == other + one:
                row[j + 2] = min(row[j + 2], two_before[j] + model.swapped)
    for j, loss in enumerate(losses):
        row[j + 1] = min(row[j + 1], row[j] + loss)


def _ended(last: list[float], model: ErrorModel, *, tail: bool) -> tuple[float, int]:
    """The cost at the end, and up to where ``true`` is there."""
    cost, at = last[-1], len(last) - 1
    if tail:
        for j, there in enumerate(last[:-1]):
            if there + model.lost_tail < cost:
                cost, at = there + model.lost_tail, j
    return cost, at


def _last(table: Table, i: int, j: int, read: str, true: str, model: ErrorModel, *, head: bool) -> Step:
    """The last step of the likeliest way to a place in the table."""
    cost = table[i][j]
    if not i:
        by_one = table[0][j - 1] + model.lost(true[j - 1])
        whole = head and math.isclose(cost, model.lost_head) and cost < by_one
        return Step("head", "", true[:j]) if whole else Step("lost", "", true[j - 1])
    steps = _ways(table, i, j, read, true, model)
    return min(steps, key=lambda way: way[0])[1]


def _ways(table: Table, i: int, j: int, read: str, true: str, model: ErrorModel) -> list[tuple[float, Step]]:
    sign = read[i - 1]
    if sign == RUN:
        start = min(range(j + 1), key=lambda at: (table[i - 1][at], -at))
        return [(table[i - 1][start], Step("run", RUN, true[start:j]))]
    ways: list[tuple[float, Step]] = []
    if j:
        right = true[j - 1]
        if sign == UNKNOWN:
            ways.append((table[i - 1][j - 1], Step("unknown", sign, right)))
        else:
            slip: Slip = "same" if sign == right else "misread"
            ways.append((table[i - 1][j - 1] + model.substitution(sign, right), Step(slip, sign, right)))
        ways.append((table[i][j - 1] + model.lost(right), Step("lost", "", right)))
    if sign != UNKNOWN:
        ways.append((table[i - 1][j] + model.added, Step("extra", sign, "")))
        pair = read[max(i - 2, 0) : i]
        if j and len(pair) == 2 and pair[0] == sign:
            right = true[j - 1]
            cost = table[i - 2][j - 1] + model.substitution(sign, right) + model.doubled(right)
            ways.append((cost, Step("doubled", pair, right)))
        if j > 1 and len(pair) == 2 and pair[0] != sign and pair == true[j - 2 : j][::-1]:
            ways.append((table[i - 2][j - 2] + model.swapped, Step("swapped", pair, true[j - 2 : j])))
    return ways
