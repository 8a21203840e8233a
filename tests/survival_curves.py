"""Survival against the strength of a damage, for bare plates of symbols and for the shipped templates."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from service.marks.content import MarkFacts
from service.marks.items import Layout
from service.render.damages import Damage, loss, scratches
from service.render.survival import as_printed, run_trials
from tests.mark_factory import make_facts, make_layout
from tests.survival_factory import Bare, bare_plate, key_only

Strong = Callable[[float, int], Damage]


@dataclass(frozen=True, slots=True)
class Point:
    """What came out at one strength of a damage.

    Attributes:
        strength: share lost, or number of scratches.
        single: share of plates of which a single symbol names the piece.
        merged: share of plates that name it, all symbols weighed together included; None where that was not tried.
        wrong: texts that would be taken for another piece.
    """

    strength: float
    single: float
    merged: float | None
    wrong: int


def lost(share: float, seed: int) -> Damage:
    """A share of the plate is lost in one piece."""
    return loss(share, seed)


def dark_lines(count: float, seed: int) -> Damage:
    """So many dark scratches run right across."""
    return scratches(int(count), seed, dark=True)


def curve(
    layout: Layout, facts: MarkFacts, strong: Strong, strengths: Iterable[float], *, seeds: Sequence[int], merge: bool
) -> list[Point]:
    """One mark at each strength, once for every seed."""
    grey = as_printed(layout)
    points = []
    for strength in strengths:
        damages = [strong(strength, seed) for seed in seeds]
        trials = run_trials(layout, facts, damages, grey=grey, merge=merge)
        single = sum(trial.identity for trial in trials) / len(trials)
        merged = sum(trial.identity or trial.merged for trial in trials) / len(trials)
        points.append(Point(strength, single, merged if merge else None, sum(len(trial.wrong) for trial in trials)))
    return points


def bare_curve(
    plate: Sequence[Bare], strong: Strong, strengths: Iterable[float], *, seeds: Sequence[int], merge: bool = False
) -> list[Point]:
    """Of a plate with nothing but these symbols."""
    return curve(bare_plate(plate), key_only(), strong, strengths, seeds=seeds, merge=merge)


def shipped_curve(
    template: str, strong: Strong, strengths: Iterable[float], *, seeds: Sequence[int], dpi: int = 203
) -> list[Point]:
    """Of a shipped template, merging included."""
    return curve(make_layout(template, dpi=dpi), make_facts(), strong, strengths, seeds=seeds, merge=True)
