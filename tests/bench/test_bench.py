"""Every figure of ``make bench`` can be set up and taken, on a size that costs little; what comes out is not judged."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import replace

import pytest

from tests.bench import (
    bench_engraving,
    bench_http,
    bench_issue,
    bench_large,
    bench_ledger,
    bench_merge,
    bench_placement,
    bench_plates,
    bench_resolve,
    bench_restore,
    bench_search,
    bench_survival,
)
from tests.bench.__main__ import subjects
from tests.bench.rounds import Comparison, measure, table

SMALL = {
    "engraving": lambda: bench_engraving.comparisons(texts=5),
    "resolve": lambda: bench_resolve.comparisons(segments=100),
    "http": lambda: bench_http.comparisons(segments=100, plates=2, calls=20),
    "issue": lambda: bench_issue.comparisons(segments=12, rounds=1),
    "large": lambda: bench_large.comparisons(sizes=(100, 300), rounds=1),
    "ledger": lambda: bench_ledger.comparisons(rows=50, rounds=1),
    "merge": lambda: bench_merge.comparisons(plates=2),
    "search": lambda: bench_search.comparisons(numbers=400, smaller=300, asked=2, cases=2, dialogues=1, rounds=1),
    "restore": lambda: bench_restore.comparisons(segments=100, rounds=1),
    "placement": lambda: bench_placement.comparisons(outlines=2),
    "plates": lambda: bench_plates.comparisons(plates=3),
    "survival": lambda: bench_survival.comparisons(plates=2, marks=2),
}


def test_every_subject_is_tried_here() -> None:
    assert sorted(SMALL) == subjects()


@pytest.mark.parametrize("subject", sorted(SMALL))
def test_the_figures_can_be_taken(subject: str) -> None:
    made: AbstractContextManager[list[Comparison]] = SMALL[subject]()
    with made as comparisons:
        for comparison in comparisons:
            figures = measure(replace(comparison, rounds=1))
            assert set(comparison.goals) <= {figure.name for figure in figures}
            assert all(figure.amount > 0 for figure in figures)
            assert table(comparison, figures).startswith(comparison.title)
