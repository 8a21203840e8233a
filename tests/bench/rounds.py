"""Compares what the service does with its yardstick, in one run: on a shared machine only the ratio means anything."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from statistics import median

ROUNDS = 7


@dataclass(frozen=True, kw_only=True)
class Contestant:
    """One way to do the work; ``run`` does ``count`` units of it."""

    name: str
    run: Callable[[], object]
    count: int = 1


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Ways to do the same work. ``goals`` says by name how many times the yardstick's time each may take."""

    title: str
    unit: str
    yardstick: Contestant
    others: Sequence[Contestant]
    goals: dict[str, float] = field(default_factory=dict)
    rounds: int = ROUNDS


@dataclass(frozen=True, kw_only=True)
class Figure:
    """What came out for one contestant."""

    name: str
    seconds: float
    ratio: float
    goal: float | None

    @property
    def met(self) -> bool | None:
        """Whether the goal is met; None without a goal."""
        return None if self.goal is None else self.ratio <= self.goal


def measure(comparison: Comparison, clock: Callable[[], float] = time.perf_counter) -> list[Figure]:
    """The median time a unit of each contestant, and its median ratio to the yardstick of the same round.

    The contestants take turns, so that a machine that slows down slows all of them. One round beforehand warms up.
    """
    contestants = [comparison.yardstick, *comparison.others]
    times: dict[str, list[float]] = {contestant.name: [] for contestant in contestants}
    for turn in range(comparison.rounds + 1):
        for contestant in contestants:
            seconds = _timed(contestant, clock)
            if turn > 0:
                times[contestant.name].append(seconds)
    base = times[comparison.yardstick.name]
    return [
        Figure(
            name=contestant.name,
            seconds=median(times[contestant.name]),
            ratio=median(own / yard for own, yard in zip(times[contestant.name], base, strict=True)),
            goal=comparison.goals.get(contestant.name),
        )
        for contestant in contestants
    ]


def _timed(contestant: Contestant, clock: Callable[[], float]) -> float:
    gc.collect()
    gc.disable()
    try:
        start = clock()
        contestant.run()
        return (clock() - start) / contestant.count
    finally:
        gc.enable()


def table(comparison: Comparison, figures: Sequence[Figure]) -> str:
    """The figures as a person reads them."""
    width = max(len(figure.name) for figure in figures)
    lines = [comparison.title]
    for figure in figures:
        goal = "" if figure.goal is None else f"   goal ≤ {figure.goal:g}: {'met' if figure.met else 'MISSED'}"
        time_each = f"{shown(figure.seconds):>10} a {comparison.unit}"
        lines.append(f"  {figure.name:<{width}}  {time_each}  {figure.ratio:8.2f} ×{goal}")
    return "\n".join(lines)


def shown(seconds: float) -> str:
    """A time in the unit that leaves one to three digits before the point."""
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.2f} {unit}"
    return f"{seconds / 1e-9:.0f} ns"
