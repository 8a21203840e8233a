"""Stages one behind the other: what comes out of the first goes into the next, all in the order of its cost."""

from __future__ import annotations

from collections.abc import Callable
from heapq import heappop, heappush
from typing import Protocol

from service.numbering.stages import Item

__all__ = ["Joined", "Stream"]


class Stream(Protocol):
    """What comes out one by one, at ever more steps."""

    items: list[Item]

    @property
    def frontier(self) -> int | None:
        """What comes next takes no fewer steps than this; None when nothing comes."""
        ...

    def step(self) -> None:
        """Go on with all that stands at the frontier."""
        ...


class Joined:
    """A stage, and behind it for each place of the fragment where it comes out all that comes next."""

    __slots__ = ("_first", "_heap", "_opened", "_taken", "_then", "items")

    def __init__(self, first: Stream, then: Callable[[int], Stream]) -> None:
        self._first = first
        self._then = then
        self._opened: dict[int, Stream] = {}
        self._heap: list[tuple[int, int, int]] = []
        self._taken = 0
        self.items: list[Item] = []

    @property
    def frontier(self) -> int | None:
        """What comes next takes no fewer steps than this; None when nothing comes."""
        first = self._first.frontier
        if self._heap and (first is None or self._heap[0][0] < first):
            return self._heap[0][0]
        return first

    def step(self) -> None:
        """Go on with one thing that stands at the frontier."""
        first = self._first.frontier
        if first is not None and (not self._heap or first <= self._heap[0][0]):
            self._first.step()
            for at in range(self._taken, len(self._first.items)):
                self._follow(at, 0)
            self._taken = len(self._first.items)
            return
        due, at, nth = heappop(self._heap)
        _, steps, place, sets = self._first.items[at]
        stream = self._opened[place]
        if nth < len(stream.items):
            found = stream.items[nth]
            self.items.append((due, steps + found[1], found[2], sets + found[3]))
            self._follow(at, nth + 1)
            return
        if stream.frontier is not None and steps + stream.frontier <= due:
            stream.step()
        self._follow(at, nth)

    def _follow(self, at: int, nth: int) -> None:
        """Line up the ``nth`` that comes behind the ``at``-th of the first stage."""
        _, steps, place, _ = self._first.items[at]
        stream = self._opened.get(place)
        if stream is None:
            stream = self._opened[place] = self._then(place)
        due = stream.items[nth][0] if nth < len(stream.items) else stream.frontier
        if due is not None:
            heappush(self._heap, (steps + due, at, nth))
