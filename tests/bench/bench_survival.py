"""How many plates no longer name their piece after a damage, beside the most that may; and what damaging costs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial

from service.marks.dots import dots_per_mm
from service.marks.layout import lay_out
from service.render.damages import DAMAGES
from service.render.fonts import typeface
from service.render.pdf import pdf
from service.render.read_back import read_back_pdf
from service.render.survival import run_trials
from service.render.survival_proof import lint_job
from tests.bench.bench_plates import _mark
from tests.bench.rounds import Comparison, Contestant
from tests.mark_factory import make_facts, make_layout, make_template
from tests.survival_curves import Point, Strong, bare_curve, dark_lines, lost, shipped_curve
from tests.survival_factory import FOUR_MATRICES, ONE_MATRIX

PLATES, MARKS = 100, 50
NAMEPLATE, TAG = "nameplate-60x22", "tied-tag-80x50"
_DPI = 203

# What may be lost: 1 and 10 of a hundred after losses, none, 2 and 15 after scratches.
_GOALS: tuple[tuple[str, Strong, float, float], ...] = (
    ("50 % of the plate are lost in one piece", lost, 0.50, 0.01),
    ("65 % of the plate are lost in one piece", lost, 0.65, 0.10),
    ("3 dark scratches of 0.5 mm", dark_lines, 3.0, 0.0),
    ("6 dark scratches of 0.5 mm", dark_lines, 6.0, 0.02),
    ("12 dark scratches of 0.5 mm", dark_lines, 12.0, 0.15),
)


@contextmanager
def comparisons(*, plates: int = PLATES, marks: int = MARKS) -> Iterator[list[Comparison]]:
    """The same damages to every plate."""
    yield [
        *(_survival(title, strong, strength, most, plates) for title, strong, strength, most in _GOALS),
        _cost(marks),
    ]


def _survival(title: str, strong: Strong, strength: float, most: float, plates: int) -> Comparison:
    seeds = range(plates)
    once = partial(_dead, plates=plates)
    merged_plate = partial(shipped_curve, NAMEPLATE, strong, [strength], seeds=seeds)
    merged_tag = partial(shipped_curve, TAG, strong, [strength], seeds=seeds)
    plate, tag = f"{NAMEPLATE}, merged", f"{TAG}, merged"
    return Comparison(
        title=f"Plates of {plates} that no longer name their piece: {title}",
        unit="plate",
        yardstick=Contestant(name="the most that may be", run=lambda: _at_least(most, plates), measures=True),
        others=[
            _counted("one Data Matrix of 12 mm", lambda: once(bare_curve(ONE_MATRIX, strong, [strength], seeds=seeds))),
            _counted(
                "four of 6 mm, same ink", lambda: once(bare_curve(FOUR_MATRICES, strong, [strength], seeds=seeds))
            ),
            _counted(f"{NAMEPLATE}, one symbol alone", lambda: once(merged_plate(), alone=True)),
            _counted(plate, lambda: once(merged_plate())),
            _counted(tag, lambda: once(merged_tag())),
        ],
        goals={plate: 1.0, tag: 1.0},
        rounds=1,
        in_percent=True,
    )


def _counted(name: str, run: Callable[[], float]) -> Contestant:
    return Contestant(name=name, run=run, measures=True)


def _dead(points: list[Point], *, plates: int, alone: bool = False) -> float:
    """The share that is dead; a text that would be taken for another piece spoils the whole figure."""
    (point,) = points
    if point.wrong:
        raise AssertionError(f"{point.wrong} damaged plates read as another piece")
    survived = point.single if alone or point.merged is None else point.merged
    return _at_least(1 - survived, plates)


def _at_least(share: float, plates: int) -> float:
    """Where none of so many is dead, half a one stands for it: ratios need an amount."""
    return max(share, 0.5 / plates)


def _cost(count: int) -> Comparison:
    """What damage adds to the print of a job; a make is put to the whole set once, and then remembered."""
    template, marks = make_template(), [_mark(index) for index in range(count)]
    lint_job(template, marks, dpi=_DPI)
    layout, facts = make_layout(), make_facts()
    return Comparison(
        title=f"{count} nameplates damaged and read again, beside drawing them",
        unit="plate",
        yardstick=Contestant(name="laid out, drawn and read back", run=lambda: _drawn(count), count=count),
        others=[
            Contestant(
                name="the mildest damages, each mark", run=lambda: lint_job(template, marks, dpi=_DPI), count=count
            ),
            Contestant(
                name="the whole set, symbols alone", run=lambda: run_trials(layout, facts, DAMAGES, merge=False)
            ),
            Contestant(name="the whole set, merged too", run=lambda: run_trials(layout, facts, DAMAGES)),
        ],
        rounds=3,
    )


def _drawn(count: int) -> None:
    per_mm = dots_per_mm(_DPI)
    layouts = [lay_out(make_template(), _mark(index), typeface(), per_mm) for index in range(count)]
    data = pdf(layouts, paper="roll", dots_per_mm=per_mm)
    read_back_pdf(data, layouts, paper="roll", dots_per_mm=per_mm)
