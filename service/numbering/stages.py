"""Which texts of one structure a stretch of a fragment may come from, the cheapest first, whole sets at a time.

A number is read in stages: kit, assembly, place, check. Each stage is a walk over the nodes of its columns beside the
places of the fragment. The walker is no single text but a set of them: all that got to this node and this place of the
fragment at this cost. It goes from cost to cost in whole steps (a bucket queue, R. B. Dial, Communications of the ACM
12(11), 1969, from memory), led by a bound of what must still come, and each text leaves the set where it was before.
So the first time that a text comes out at a place of the fragment is the cheapest way to get there.
"""

from __future__ import annotations

from collections.abc import Mapping
from heapq import heappop, heappush
from typing import NamedTuple

from service.numbering.bounds import Bounds
from service.numbering.columns import Columns, Node
from service.numbering.fragment import HYPHEN, UNKNOWN
from service.numbering.given import Given
from service.numbering.grid_costs import NEVER, Groups

__all__ = ["Item", "Walk"]

Item = tuple[int, int, int, tuple[int, ...]]
"""Steps with the bound of what must still come, steps so far, place in the fragment, a set of texts a stage."""

Fan = tuple[int, int, int, Groups, int, Mapping[str, int]]
"""A set that is parted by the sign that each text has: the set, the steps before, to which state, and by what."""


class _Ways(NamedTuple):
    """Where it goes on from a state: by how many steps (with the change of the bound) and to which state."""

    all: list[tuple[int, int]]
    some: list[tuple[int, int, int]]
    by_sign: list[tuple[int, int, Groups, Mapping[str, int]]]


class Walk:
    """The walk through one stage; what comes out is in ``items``, at ever more steps.

    Args:
        columns: the texts of the stage.
        given: the fragment.
        bounds: what must come from each node of the stage on at least.
        left_out: the steps for that the stage and all behind it are not there, if not those of any end.
    """

    __slots__ = (
        "_bounds", "_columns", "_end", "_fans", "_given", "_keys", "_left_out", "_nodes", "_queue", "_seen", "_ways",
        "items",
    )  # fmt: skip

    def __init__(self, columns: Columns, given: Given, bounds: Bounds, *, left_out: int | None = None) -> None:
        self._columns, self._given, self._nodes = columns, given, columns.nodes
        self._bounds = bounds.nodes
        self._left_out = given.broken_off if left_out is None else min(left_out, given.broken_off)
        # States are numbered node by node, and in each of them place by place; those of the last node come out.
        self._end = (len(self._nodes) - 1) * given.width
        self._queue: dict[int, dict[int, int]] = {}
        self._fans: dict[int, list[Fan]] = {}
        self._keys: list[int] = []
        self._seen: dict[int, int] = {}
        self._ways: dict[int, _Ways] = {}
        self.items: list[Item] = []

    @property
    def frontier(self) -> int | None:
        """What comes next takes no fewer steps than this; None when nothing comes."""
        return self._keys[0] if self._keys else None

    def enter(self, place: int, steps: int = 0) -> Walk:
        """Let all texts in at a place of the fragment."""
        given, everybody = self._given, self._columns.everybody
        if place > given.tailless:
            ways = _Ways([], [], [])
            self._second(ways, 0, given.swapped_at(place), steps, None)
            for due, state in ways.all:
                self._arrive(due, state, everybody)
            for due, state, some in ways.some:
                self._arrive(due, state, some)
        else:
            state = self._end + place if place == given.tailless else place
            self._arrive(steps + self._bounds[state], state, everybody)
        return self

    def step(self) -> None:
        """Go on with all that stands at the frontier."""
        now = heappop(self._keys)
        arrivals, fans = self._queue.pop(now, {}), self._fans.pop(now, [])
        seen, known = self._seen, self._ways
        for fan in fans:
            self._unfold(now, arrivals, *fan)
        while arrivals:
            state, who = arrivals.popitem()
            before = seen.get(state, 0)
            if before:
                who &= ~before
                if not who:
                    continue
            seen[state] = before | who
            if state >= self._end:
                self.items.append((now, now - self._bounds[state], state - self._end, (who,)))
                continue
            ways = known.get(state)
            if ways is None:
                ways = known[state] = self._ways_from(state)
            for more, to in ways.all:
                if more:
                    self._arrive(now + more, to, who)
                else:
                    arrivals[to] = arrivals.get(to, 0) | who
            for more, to, having in ways.some:
                some = who & having
                if some:
                    if more:
                        self._arrive(now + more, to, some)
                    else:
                        arrivals[to] = arrivals.get(to, 0) | some
            for more, to, groups, has in ways.by_sign:
                self._unfold(now, arrivals, who, now + more, to, groups, 0, has)

    def _unfold(
        self, now: int, arrivals: dict[int, int], who: int, start: int, to: int, groups: Groups, at: int,
        has: Mapping[str, int],
    ) -> None:  # fmt: skip
        """Part a set by the sign that each text has, one group of equal steps after the other."""
        while at < len(groups):
            more, signs = groups[at]
            due = start + more
            if due > now:
                fan = (who, start, to, groups, at, has)
                if due in self._fans:
                    self._fans[due].append(fan)
                else:
                    self._fans[due] = [fan]
                    if due not in self._queue:
                        heappush(self._keys, due)
                return
            some = 0
            for sign in signs:
                some |= who & has[sign]
            if some:
                arrivals[to] = arrivals.get(to, 0) | some
                who ^= some
                if not who:
                    return
            at += 1

    def _arrive(self, due: int, state: int, who: int) -> None:
        arrivals = self._queue.get(due)
        if arrivals is not None:
            arrivals[state] = arrivals.get(state, 0) | who
        elif due < NEVER:
            self._queue[due] = {state: who}
            if due not in self._fans:
                heappush(self._keys, due)

    def _ways_from(self, state: int) -> _Ways:
        """Where it goes on from a state."""
        given, ways = self._given, _Ways([], [], [])
        at, place = divmod(state, given.width)
        node, bound = self._nodes[at], self._bounds[state]
        if node.kind == "fork":
            for having, way in node.ways:
                self._some(ways, -bound, way, place, having)
        elif place == given.headless:
            self._all(ways, -bound, at, 0)
            self._all(ways, -bound, node.after, place)
        elif place == given.length:
            # All that was given is seen.
            self._all(ways, (given.broken_off if at else self._left_out) - bound, len(self._nodes) - 1, given.tailless)
            if not given.runs[place]:
                self._lost(ways, bound, node, place)
        else:
            self._lost(ways, bound, node, place)
            self._all(ways, given.extra[place] - bound, at, place + 1)
            self._see(ways, bound, node, place)
        return ways

    def _all(self, ways: _Ways, steps: int, at: int, place: int) -> None:
        state = at * self._given.width + place
        more = steps + self._bounds[state]
        if more < NEVER:
            ways.all.append((more, state))

    def _some(self, ways: _Ways, steps: int, at: int, place: int, having: int) -> None:
        state = at * self._given.width + place
        more = steps + self._bounds[state]
        if more < NEVER and having:
            ways.some.append((more, state, having))

    def _by_sign(self, ways: _Ways, steps: int, node: Node, place: int, groups: Groups) -> None:
        state = node.after * self._given.width + place
        more = steps + self._bounds[state]
        if more < NEVER and groups:
            ways.by_sign.append((more, state, groups, node.has))

    def _lost(self, ways: _Ways, bound: int, node: Node, place: int) -> None:
        """What stands here is not in the fragment."""
        given = self._given
        groups = given.costs.losses(node.alphabet)
        if given.runs[place]:
            self._all(ways, -bound, node.after, place)
        elif node.kind == "hyphen":
            self._all(ways, given.lost_hyphen - bound, node.after, place)
        elif len(groups) == 1:
            self._all(ways, groups[0][0] - bound, node.after, place)
        else:
            self._by_sign(ways, -bound, node, place, groups)

    def _see(self, ways: _Ways, bound: int, node: Node, place: int) -> None:
        """What stands here is the next sign of the fragment, or has to do with it."""
        given, costs = self._given, self._given.costs
        sign = given.signs[place]
        if node.kind == "hyphen":
            if sign == HYPHEN:
                self._all(ways, -bound, node.after, place + 1)
        elif sign == UNKNOWN:
            self._all(ways, -bound, node.after, place + 1)
        elif sign != HYPHEN:
            self._by_sign(ways, -bound, node, place + 1, costs.fan(sign, node.alphabet))
            swapped = given.swapped[place]
            if swapped is not None:
                first = node.has.get(given.signs[place + 1], 0)
                if first:
                    self._second(ways, node.after, place, swapped - bound, first)
            elif place in given.twice:
                self._by_sign(ways, -bound, node, place + 2, costs.twice(sign, node.alphabet))

    def _second(self, ways: _Ways, at: int, place: int, steps: int, first: int | None) -> None:
        """Of two neighbours in the other order the first true one was seen (by ``first``, or all); now the second."""
        node, given = self._nodes[at], self._given
        everybody = self._columns.everybody if first is None else first
        if node.kind == "sign":
            self._some(ways, steps, node.after, place + 2, everybody & node.has.get(given.signs[place], 0))
        elif node.kind == "fork":
            for some, way in node.ways:
                self._second(ways, way, place, steps, everybody & some)
        elif node.kind == "hyphen":
            self._second(ways, node.after, place, steps + given.lost_hyphen, everybody)
        else:
            self._some(ways, steps, at, given.half_swapped(place), everybody)
