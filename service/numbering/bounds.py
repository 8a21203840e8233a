"""The fewest steps that what still comes of a number can take, at each node of it and each place of a fragment.

Worked out from the end of a number to its beginning, as if each node could hold any sign that stands there in any
number. That is never more than the true cost, and never more than a step and what comes behind it, so a search that is
led by it loses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from operator import add

from service.numbering.columns import Columns, Node
from service.numbering.given import Given
from service.numbering.grid_costs import NEVER

__all__ = ["Bounds", "at_the_end", "before"]

Row = list[int]


class Bounds:
    """What must come at least, from the beginning of a stage on.

    Attributes:
        nodes: for each node of the stage and each place of the fragment, of every kind, the fewest steps; one behind
            the other.
        first: the fewest steps at the beginning, for each plain place of the fragment.
        second: the fewest steps once the first sign of the stage has been passed over, likewise.
        headless: the fewest steps where nothing of the number has been seen yet.
    """

    __slots__ = ("first", "headless", "nodes", "second")

    def __init__(self, nodes: Row, first: Row, second: Row, headless: int) -> None:
        self.nodes, self.first, self.second, self.headless = nodes, first, second, headless


def at_the_end(given: Given) -> Bounds:
    """What comes behind a whole number: signs that nothing true stands behind."""
    return Bounds([], given.all_extra, [NEVER] * (given.length + 1), given.all_extra[0])


def before(columns: Columns, given: Given, behind: Bounds, *, left_out: int | None = None) -> Bounds:
    """What comes before a stage, from what comes behind it.

    Args:
        columns: the texts of the stage.
        given: the fragment.
        behind: what comes behind the stage.
        left_out: the steps for that the stage and all behind it are not there, if not those of any end.
    """
    # Steps are counted beyond those for that all the signs still to come are too many: so one sign too many costs
    # nothing here, and the least over all places farther on is one running minimum.
    relative = [steps - extra for steps, extra in zip(behind.first, given.all_extra, strict=True)]
    skipped = [steps - extra for steps, extra in zip(behind.second, given.all_extra, strict=True)]
    nodes = columns.nodes
    rows: list[Row] = [relative] * len(nodes)
    seconds: list[Row] = [skipped] * len(nodes)
    for at in range(len(nodes) - 2, -1, -1):
        node = nodes[at]
        if node.kind == "fork":
            rows[at] = _least(given, [rows[way] for _, way in node.ways])
            seconds[at] = _least(given, [seconds[way] for _, way in node.ways])
        elif node.kind == "hyphen":
            after = rows[node.after]
            ahead = map(min, map(add, after[1:], given.hyphens_saved), map(add, after, given.hyphen_losses))
            rows[at] = _running([*ahead, min(after[-1] + given.hyphen_losses[-1], given.broken_off)])
            seconds[at] = [steps + given.lost_hyphen for steps in seconds[node.after]]
        else:
            broken_off = given.broken_off if at or left_out is None else min(left_out, given.broken_off)
            rows[at] = _sign_row(given, node, rows[node.after], seconds[node.after], broken_off)
            seconds[at] = rows[node.after]
    headless = [behind.headless] * len(nodes)
    for at in range(len(nodes) - 2, -1, -1):
        headless[at] = min(headless[at + 1], rows[at][0] + given.all_extra[0])
    flat: Row = []
    never = [NEVER] * (given.width - given.length - 2)
    for row, seen_none in zip(rows[:-1], headless, strict=False):
        flat += map(add, row, given.all_extra)
        flat.append(seen_none)
        flat += never
    flat += (*behind.first, behind.headless, 0, *behind.second[2:], NEVER)
    first = list(map(add, rows[0], given.all_extra))
    second = list(map(add, seconds[0], given.all_extra))
    return Bounds(flat, first, second, headless[0])


def _running(row: Row) -> Row:
    """The least from each place on."""
    return list(accumulate(reversed(row), min))[::-1]


def _least(given: Given, rows: Sequence[Row]) -> Row:
    if len(rows) < 2:
        return rows[0] if rows else [NEVER] * (given.length + 1)
    return list(map(min, *rows))


def _sign_row(given: Given, node: Node, after: Row, second: Row, broken_off: int) -> Row:
    match, losses = given.matches_saved(node.alphabet), given.losses(node.alphabet)
    row = [
        *map(min, map(add, after[1:], match), map(add, after, losses), map(add, second[2:], given.swaps_saved)),
    ]
    if given.length:
        row.append(min(after[-2] + losses[-2], after[-1] + match[-1]))
    for place, steps in given.doubles_saved(node.alphabet):
        row[place] = min(row[place], after[place + 2] + steps)
    return _running([*row, min(after[-1] + losses[-1], broken_off)])
