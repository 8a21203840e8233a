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

from service.numbering.bounds import Bounds
from service.numbering.columns import Columns, Node
from service.numbering.fragment import HYPHEN, UNKNOWN
from service.numbering.given import Given
from service.numbering.grid_costs import NEVER, Groups

__all__ = ["Item", "Walk"]

Item = tuple[int, int, int, tuple[int, ...]]
"""Steps with the bound of what must still come, steps so far, place in the fragment, a set of texts a stage."""

Fan = tuple[int, int, int, int, int, Groups, int, Mapping[str, int]]


class Walk:
    """The walk through one stage; what comes out is in ``items``, at ever more steps.

    Args:
        columns: the texts of the stage.
        given: the fragment.
        bounds: what must come behind the stage at least.
        left_out: the steps for that the stage and all behind it are not there, if not those of any end.
    """

    __slots__ = (
        "_bounds", "_buckets", "_given", "_keys", "_left_out", "_most_behind", "_nodes", "_seen", "columns", "items",
    )  # fmt: skip

    def __init__(self, columns: Columns, given: Given, bounds: Bounds, *, left_out: int | None = None) -> None:
        self.columns, self._given, self._bounds = columns, given, bounds
        self._nodes: tuple[Node, ...] = columns.nodes
        self._most_behind = bounds.most
        self._left_out = given.costs.lost_tail if left_out is None else left_out
        self._buckets: dict[int, tuple[dict[int, tuple[int, int]], list[Fan]]] = {}
        self._keys: list[int] = []
        self._seen: dict[int, int] = {}
        self.items: list[Item] = []

    @property
    def frontier(self) -> int | None:
        """What comes next takes no fewer steps than this; None when nothing comes."""
        return self._keys[0] if self._keys else None

    def enter(self, place: int, steps: int = 0) -> Walk:
        """Let all texts in at a place of the fragment."""
        given, everybody = self._given, self.columns.everybody
        if place > given.tailless:
            self._second(0, given.swapped_at(place), everybody, steps)
        elif place == given.tailless:
            self._push(len(self._nodes) - 1, place, everybody, steps)
        else:
            self._push(0, place, everybody, steps)
        return self

    def step(self) -> None:
        """Go on with all that stands at the frontier."""
        now = self._keys[0]
        arrivals, fans = self._buckets[now]
        width, seen = self._given.width, self._seen
        while arrivals or fans:
            while fans:
                self._unfold(now, fans.pop())
            if arrivals:
                state, (who, steps) = arrivals.popitem()
                before = seen.get(state, 0)
                if before:
                    who &= ~before
                    if not who:
                        continue
                seen[state] = before | who
                at, place = divmod(state, width)
                self._expand(now, at, place, who, steps)
        del self._buckets[now]
        heappop(self._keys)

    def _expand(self, now: int, at: int, place: int, who: int, steps: int) -> None:
        node, given = self._nodes[at], self._given
        kind = node.kind
        if kind == "end":
            self.items.append((now, steps, place, (who,)))
        elif kind == "fork":
            for some, way in node.ways:
                self._push(way, place, who & some, steps)
        elif place == given.headless:
            self._push(at, 0, who, steps)
            self._push(node.after, place, who, steps)
        elif place == given.length:
            # All that was given is seen.
            if given.runs[place]:
                self._push(len(self._nodes) - 1, given.tailless, who, steps)
                return
            broken_off = given.costs.lost_tail if at else self._left_out
            self._push(len(self._nodes) - 1, given.tailless, who, steps + broken_off)
            self._lost(now, node, place, who, steps)
        else:
            self._lost(now, node, place, who, steps)
            self._see(now, at, node, place, who, steps)

    def _lost(self, now: int, node: Node, place: int, who: int, steps: int) -> None:
        """What stands here is not in the fragment."""
        given = self._given
        if given.runs[place]:
            self._push(node.after, place, who, steps)
        elif node.kind == "hyphen":
            self._push(node.after, place, who, steps + given.lost_hyphen)
        else:
            groups = given.costs.losses(node.alphabet)
            if len(groups) == 1:
                self._push(node.after, place, who, steps + groups[0][0])
            else:
                self._fan(now, who, node.after, place, steps, groups, node.has)

    def _see(self, now: int, at: int, node: Node, place: int, who: int, steps: int) -> None:
        """What stands here is the next sign of the fragment, or has to do with it."""
        given, after = self._given, node.after
        sign, costs = given.signs[place], given.costs
        if node.kind == "hyphen":
            if sign == HYPHEN:
                self._push(after, place + 1, who, steps)
            self._push(at, place + 1, who, steps + given.extra[place])
            return
        if sign == UNKNOWN:
            self._push(after, place + 1, who, steps)
            return
        self._push(at, place + 1, who, steps + given.extra[place])
        if sign == HYPHEN:
            return
        self._fan(now, who, after, place + 1, steps, costs.fan(sign, node.alphabet), node.has)
        if given.may_be_swapped(place):
            some = who & node.has.get(given.signs[place + 1], 0)
            if some:
                self._second(after, place, some, steps + given.swap_steps(place))
        elif given.is_twice(place):
            self._fan(now, who, after, place + 2, steps, costs.twice(sign, node.alphabet), node.has)

    def _second(self, at: int, place: int, who: int, steps: int) -> None:
        """Of two neighbours in the other order the first true one was seen; now the second."""
        node, given = self._nodes[at], self._given
        if node.kind == "sign":
            self._push(node.after, place + 2, who & node.has.get(given.signs[place], 0), steps)
        elif node.kind == "fork":
            for some, way in node.ways:
                self._second(way, place, who & some, steps)
        elif node.kind == "hyphen":
            self._second(node.after, place, who, steps + given.lost_hyphen)
        else:
            self._push(at, given.half_swapped(place), who, steps)

    def _fan(self, now: int, who: int, to: int, place: int, steps: int, groups: Groups, has: Mapping[str, int]) -> None:
        """Part a set by the sign that each text has, one group of equal steps after the other."""
        if groups:
            self._unfold(now, (who, to, place, steps, self._bound(to, place), groups, 0, has))

    def _unfold(self, now: int, fan: Fan) -> None:
        who, to, place, steps, bound, groups, at, has = fan
        while True:
            more, signs = groups[at]
            due = steps + more + bound
            if due > now:
                if due < NEVER:
                    self._bucket(due)[1].append((who, to, place, steps, bound, groups, at, has))
                return
            some = 0
            for sign in signs:
                some |= who & has[sign]
            if some:
                who ^= some
                self._arrive(due, to, place, some, steps + more)
            at += 1
            if not who or at == len(groups):
                return

    def _push(self, at: int, place: int, who: int, steps: int) -> None:
        if who:
            due = steps + self._bound(at, place)
            if due < NEVER:
                self._arrive(due, at, place, who, steps)

    def _arrive(self, due: int, at: int, place: int, who: int, steps: int) -> None:
        arrivals = self._bucket(due)[0]
        state = at * self._given.width + place
        there = arrivals.get(state)
        arrivals[state] = (who | there[0], steps) if there else (who, steps)

    def _bucket(self, due: int) -> tuple[dict[int, tuple[int, int]], list[Fan]]:
        bucket = self._buckets.get(due)
        if bucket is None:
            bucket = self._buckets[due] = ({}, [])
            heappush(self._keys, due)
        return bucket

    def _bound(self, at: int, place: int) -> int:
        """The fewest steps that must come from here on."""
        node, bounds, given = self._nodes[at], self._bounds, self._given
        if node.kind == "end":
            return bounds.behind(place)
        if place > given.length:
            least, place = bounds.headless, 0
        else:
            least = bounds.floor[place]
        too_many = given.left[place] - node.most - self._most_behind
        return least if too_many <= 0 else max(least, too_many * given.least_extra)
