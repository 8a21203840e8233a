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
    """One way to do the work; ``run`` does ``count`` units of it and is timed, unless it ``measures`` for itself.

    One that measures for itself returns the amount that counts: the slowest wait of many in seconds, a size in bytes.
    """

    name: str
    run: Callable[[], object]
    count: int = 1
    measures: bool = False


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Ways to do the same work. ``goals`` says by name how many times the yardstick's amount each may come to."""

    title: str
    unit: str
    yardstick: Contestant
    others: Sequence[Contestant]
    goals: dict[str, float] = field(default_factory=dict)
    rounds: int = ROUNDS
    in_bytes: bool = False
    in_percent: bool = False
    in_count: bool = False


@dataclass(frozen=True, kw_only=True)
class Figure:
    """What came out for one contestant."""

    name: str
    amount: float
    ratio: float
    goal: float | None

    @property
    def met(self) -> bool | None:
        """Whether the goal is met; None without a goal."""
        return None if self.goal is None else self.ratio <= self.goal


def measure(comparison: Comparison, clock: Callable[[], float] = time.perf_counter) -> list[Figure]:
    """The median amount a unit of each contestant, and its median ratio to the yardstick of the same round.

    The contestants take turns, so that a machine that slows down slows all of them. One round beforehand warms up.
    """
    contestants = [comparison.yardstick, *comparison.others]
    amounts: dict[str, list[float]] = {contestant.name: [] for contestant in contestants}
    for turn in range(comparison.rounds + 1):
        for contestant in contestants:
            amount = _measured(contestant, clock)
            if turn > 0:
                amounts[contestant.name].append(amount)
    base = amounts[comparison.yardstick.name]
    return [
        Figure(
            name=contestant.name,
            amount=median(amounts[contestant.name]),
            ratio=median(own / yard for own, yard in zip(amounts[contestant.name], base, strict=True)),
            goal=comparison.goals.get(contestant.name),
        )
        for contestant in contestants
    ]


def _measured(contestant: Contestant, clock: Callable[[], float]) -> float:
    gc.collect()
    gc.disable()
    try:
        start = clock()
        result = contestant.run()
        taken = clock() - start
        if not contestant.measures:
            return taken / contestant.count
        if not isinstance(result, float | int):
            raise TypeError(f"'{contestant.name}' measures for itself, and gave {result!r} instead of an amount")
        return result / contestant.count
    finally:
        gc.enable()


def table(comparison: Comparison, figures: Sequence[Figure]) -> str:
    """The figures as a person reads them."""
    width = max(len(figure.name) for figure in figures)
    lines = [comparison.title]
    for figure in figures:
        goal = "" if figure.goal is None else f"   goal ≤ {figure.goal:g}: {'met' if figure.met else 'MISSED'}"
        if comparison.in_percent:
            amount = f"{figure.amount:.1%}"
        elif comparison.in_count:
            amount = f"{figure.amount:.1f}"
        else:
            amount = f"{figure.amount:,.0f} bytes" if comparison.in_bytes else shown(figure.amount)
        lines.append(f"  {figure.name:<{width}}  {amount:>10} a {comparison.unit}  {figure.ratio:8.2f} ×{goal}")
    return "\n".join(lines)


def shown(seconds: float) -> str:
    """A time in the unit that leaves one to three digits before the point."""
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.2f} {unit}"
    return f"{seconds / 1e-9:.0f} ns"
