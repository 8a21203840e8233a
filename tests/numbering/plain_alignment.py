"""The cost of a fragment against one number, the plain way: every alignment of the two written texts, in whole steps.

Written apart from the search: no sets, no stages, no bounds, hyphens are signs like others. It shares with the search
only what a step is and the two costs that no error model holds.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.numbering.error_model import ErrorModel
from service.numbering.fragment import Fragment
from service.numbering.grid_costs import CHECK_LEFT_OUT, STEP, STRAY_HYPHEN
from service.numbering.weights import SIGNS

_NEVER = 10**9

Move = tuple[int, int, int]
"""How many signs as read and how many true ones it uses up, and its steps."""


def plain_cost(fragment: Fragment, number: str, model: ErrorModel) -> float:
    """What it costs that a number as it is printed became the fragment, the cheapest way."""
    signs, runs = _parted(fragment.signs)
    owed = {sign: _owed(sign, model) for sign in set(signs) if sign.isalnum()}
    steps = _steps(signs, runs, number, model, owed)
    return math.fsum(owed[sign] for sign in signs if sign.isalnum()) + steps * STEP


def _parted(signs: str) -> tuple[str, set[int]]:
    """The signs without the runs of unread ones, and before which of them those stood."""
    kept, runs = "", set()
    for sign in signs:
        if sign == "*":
            runs.add(len(kept))
        else:
            kept += sign
    return kept, runs


def _owed(read: str, model: ErrorModel) -> float:
    added = model.extra(read)  # noqa: S610 - no query set of any database
    return min(*(model.substitution(read, true) for true in SIGNS), added, model.swapped / 2)


def _on_grid(cost: float) -> int:
    return round(cost / STEP)


def _steps(signs: str, runs: set[int], number: str, model: ErrorModel, owed: dict[str, float]) -> int:
    headless = 0 if 0 in runs else _on_grid(model.lost_head)
    least = {(0, at): headless if at else 0 for at in range(len(number) + 1)}
    for read in range(len(signs) + 1):
        for true in range(len(number) + 1):
            here = least.get((read, true), _NEVER)
            if here == _NEVER:
                continue
            moves = (
                *_missing(signs, runs, number, read, true, model),
                *_there(signs, runs, number, read, true, model, owed),
            )
            for more_read, more_true, steps in moves:
                to = read + more_read, true + more_true
                least[to] = min(least.get(to, _NEVER), here + steps)
    end, whole = len(signs), len(number)
    broken_off = 0 if end in runs else _on_grid(model.lost_tail)
    ends = [least.get((end, whole), _NEVER)]
    for true in range(whole):
        left_out = min(broken_off, _on_grid(CHECK_LEFT_OUT)) if true == whole - 2 else broken_off
        ends.append(least.get((end, true), _NEVER) + left_out)
    return min(ends)


def _missing(signs: str, runs: set[int], number: str, read: int, true: int, model: ErrorModel) -> Iterator[Move]:
    """The true sign is not there, or the sign that is there has nothing true behind it."""
    right, sign = number[true : true + 1], signs[read : read + 1]
    if right:
        hyphen = model.lost_hyphen if "-" in signs else 0.0
        yield 0, 1, 0 if read in runs else _on_grid(hyphen if right == "-" else model.lost(right))
    if sign == "-":
        yield 1, 0, _on_grid(STRAY_HYPHEN)


def _there(
    signs: str, runs: set[int], number: str, read: int, true: int, model: ErrorModel, owed: dict[str, float]
) -> Iterator[Move]:
    """The sign that is there has something to do with the true one."""
    right, sign, following = number[true : true + 1], signs[read : read + 1], signs[read + 1 : read + 2]
    if sign == "-" == right or (sign == "?" and right.isalnum()):
        yield 1, 1, 0
    if not sign.isalnum():
        return
    yield 1, 0, _on_grid(model.extra(sign) - owed[sign])  # noqa: S610 - no query set of any database
    if not right.isalnum():
        return
    taken = model.substitution(sign, right)
    yield 1, 1, _on_grid(taken - owed[sign])
    if not following.isalnum() or read + 1 in runs:
        return
    if following == sign:
        yield 2, 1, max(0, _on_grid(taken + model.doubled(right) - 2 * owed[sign]))
    elif following == right:
        swapped = _on_grid(model.swapped - owed[sign] - owed[following])
        if number[true + 1 : true + 2] == sign:
            yield 2, 2, swapped
        elif number[true + 1 : true + 3] == f"-{sign}":
            yield 2, 3, swapped + (_on_grid(model.lost_hyphen) if "-" in signs else 0)
