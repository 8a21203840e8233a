"""The fewest steps that what comes behind a stage of a number can take, at each place of a fragment.

Worked out from the end of a number to its beginning, as if each place could hold any sign that stands there in any
number. That is never more than the true cost, so a search that is led by it loses nothing.
"""

from __future__ import annotations

from service.numbering.columns import Columns, Node
from service.numbering.fragment import HYPHEN, UNKNOWN
from service.numbering.given import Given
from service.numbering.grid_costs import NEVER

__all__ = ["Bounds", "at_the_end", "before"]


class Bounds:
    """What must come at least, behind a stage.

    Attributes:
        at: for each place of the fragment the fewest steps from there on.
        floor: for each place the fewest steps from there or from a later place on, however the stage is left.
        headless: the fewest steps where nothing of the number has been seen yet.
        second: for each place the fewest steps once the next true sign has been passed over.
        most: how many signs of a number may come at most.
    """

    __slots__ = ("_behind_headless", "_given", "at", "floor", "headless", "most", "second")

    def __init__(self, given: Given, at: list[int], headless: int, second: list[int], most: int) -> None:
        self._given = given
        self.at, self.second, self.most = at, second, most
        self.floor = list(at)
        for place in range(given.length - 1, -1, -1):
            least = min(at[place], self.floor[place + 1])
            if given.may_be_swapped(place):
                least = min(least, second[place + 2] + given.swap_steps(place))
            self.floor[place] = least
        self._behind_headless = headless
        self.headless = min(headless, self.floor[0])

    def behind(self, place: int) -> int:
        """The fewest steps behind the stage, at a place of any kind."""
        given = self._given
        if place <= given.length:
            return self.at[place]
        if place == given.headless:
            return self._behind_headless
        if place == given.tailless:
            return 0
        return self.second[given.swapped_at(place) + 2]


def at_the_end(given: Given) -> Bounds:
    """What comes behind a whole number: signs that nothing true stands behind."""
    at = [0] * (given.length + 1)
    for place in range(given.length - 1, -1, -1):
        at[place] = min(NEVER, at[place + 1] + given.extra[place])
    return Bounds(given, at, at[0], [NEVER] * (given.length + 1), 0)


def before(columns: Columns, given: Given, behind: Bounds, *, left_out: int | None = None) -> Bounds:
    """What comes before a stage, from what comes behind it.

    Args:
        columns: the texts of the stage.
        given: the fragment.
        behind: what comes behind the stage.
        left_out: the steps for that the stage and all behind it are not there, if not those of any end.
    """
    nodes = columns.nodes
    rows: list[list[int]] = [[]] * len(nodes)
    seconds: list[list[int]] = [[]] * len(nodes)
    for at in range(len(nodes) - 1, -1, -1):
        node = nodes[at]
        if node.kind == "end":
            rows[at], seconds[at] = behind.at, behind.second
        elif node.kind == "fork":
            ways = [way for _, way in node.ways]
            rows[at] = _least([rows[way] for way in ways], given)
            seconds[at] = _least([seconds[way] for way in ways], given)
        elif node.kind == "hyphen":
            rows[at] = _hyphen_row(given, rows[node.after])
            seconds[at] = [steps + given.lost_hyphen for steps in seconds[node.after]]
        else:
            broken_off = given.costs.lost_tail if at or left_out is None else left_out
            rows[at] = _sign_row(node, given, rows[node.after], seconds[node.after], broken_off)
            seconds[at] = rows[node.after]
    headless = min(behind.behind(given.headless), *(row[0] for row in rows))
    return Bounds(given, rows[0], headless, seconds[0], behind.most + nodes[0].most)


def _least(rows: list[list[int]], given: Given) -> list[int]:
    return [min(column) for column in zip(*rows, strict=True)] if rows else [NEVER] * (given.length + 1)


def _hyphen_row(given: Given, after: list[int]) -> list[int]:
    end, lost = given.length, given.lost_hyphen
    row = [0] * (end + 1)
    row[end] = 0 if given.runs[end] else min(after[end] + lost, given.costs.lost_tail)
    for place in range(end - 1, -1, -1):
        least = after[place] + (0 if given.runs[place] else lost)
        if given.signs[place] == HYPHEN:
            least = min(least, after[place + 1])
        row[place] = min(least, row[place + 1] + given.extra[place])
    return row


def _sign_row(node: Node, given: Given, after: list[int], second: list[int], broken_off: int) -> list[int]:
    end, costs, alphabet = given.length, given.costs, node.alphabet
    losses = costs.losses(alphabet)
    lost = losses[0][0] if losses else NEVER
    row = [0] * (end + 1)
    row[end] = 0 if given.runs[end] else min(after[end] + lost, broken_off)
    for place in range(end - 1, -1, -1):
        least = after[place] + (0 if given.runs[place] else lost)
        sign = given.signs[place]
        if sign == UNKNOWN:
            least = min(least, after[place + 1])
        elif sign != HYPHEN:
            fan = costs.fan(sign, alphabet)
            if fan:
                least = min(least, after[place + 1] + fan[0][0])
            if given.may_be_swapped(place):
                least = min(least, second[place + 2] + given.swap_steps(place))
            elif given.is_twice(place) and (twice := costs.twice(sign, alphabet)):
                least = min(least, after[place + 2] + twice[0][0])
        row[place] = min(least, row[place + 1] + given.extra[place], NEVER)
    return row
