"""The ruler itself: with a clock that the test turns, the ratios must come out exactly."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.bench.rounds import Comparison, Contestant, measure, shown, table


class Clock:
    """A clock that stands still unless work moves it on."""

    def __init__(self) -> None:
        self.now = 0.0
        self.order: list[str] = []

    def __call__(self) -> float:
        return self.now

    def work(self, name: str, seconds: list[float]) -> Callable[[], None]:
        turns = iter(seconds)

        def run() -> None:
            self.order.append(name)
            self.now += next(turns)

        return run


def test_the_ratio_is_taken_round_by_round_after_a_warm_up() -> None:
    clock = Clock()
    # The machine becomes ten times slower in the second round; the first round of each is thrown away.
    raw = Contestant(name="raw", run=clock.work("raw", [99.0, 1.0, 10.0, 1.0]))
    ours = Contestant(name="ours", run=clock.work("ours", [500.0, 6.0, 60.0, 6.0]), count=2)
    comparison = Comparison(title="t", unit="mark", yardstick=raw, others=[ours], goals={"ours": 3.0}, rounds=3)

    first, second = measure(comparison, clock)

    assert clock.order == ["raw", "ours"] * 4
    assert (first.amount, first.ratio, first.met) == (1.0, 1.0, None)
    assert (second.amount, second.ratio, second.met) == (3.0, 3.0, True)


def test_a_missed_goal_is_said() -> None:
    clock = Clock()
    raw = Contestant(name="raw", run=clock.work("raw", [1.0] * 2))
    ours = Contestant(name="ours", run=clock.work("ours", [5.5] * 2))
    comparison = Comparison(title="Resolve", unit="mark", yardstick=raw, others=[ours], goals={"ours": 5.0}, rounds=1)
    lines = table(comparison, measure(comparison, clock)).splitlines()
    assert lines[0] == "Resolve"
    assert "goal" not in lines[1]
    assert lines[2].split() == ["ours", "5.50", "s", "a", "mark", "5.50", "×", "goal", "≤", "5:", "MISSED"]


def test_one_that_measures_for_itself_is_not_timed() -> None:
    clock = Clock()
    most = Contestant(name="most allowed", run=lambda: 800, measures=True)
    ours = Contestant(name="ours", run=lambda: 1_200_000, count=1000, measures=True)
    comparison = Comparison(
        title="Size", unit="page", yardstick=most, others=[ours], goals={"ours": 1.0}, rounds=1, in_bytes=True
    )

    figures = measure(comparison, clock)

    assert (figures[1].amount, figures[1].ratio, figures[1].met) == (1200.0, 1.5, False)
    assert table(comparison, figures).splitlines()[2].split()[:4] == ["ours", "1,200", "bytes", "a"]


def test_a_share_is_shown_in_percent() -> None:
    most = Contestant(name="most", run=lambda: 0.02, measures=True)
    ours = Contestant(name="ours", run=lambda: 0.015, measures=True)
    comparison = Comparison(
        title="Lost", unit="plate", yardstick=most, others=[ours], goals={"ours": 1.0}, rounds=1, in_percent=True
    )
    assert table(comparison, measure(comparison, Clock())).splitlines()[2].split()[:4] == ["ours", "1.5%", "a", "plate"]


def test_one_that_measures_must_give_an_amount() -> None:
    idle = Contestant(name="idle", run=lambda: None, measures=True)
    with pytest.raises(TypeError, match="'idle' measures for itself"):
        measure(Comparison(title="t", unit="mark", yardstick=idle, others=[]))


@pytest.mark.parametrize(
    ("seconds", "text"), [(2.5, "2.50 s"), (0.0107, "10.70 ms"), (10.7e-6, "10.70 µs"), (9e-8, "90 ns")]
)
def test_times_are_shown_in_a_readable_unit(seconds: float, text: str) -> None:
    assert shown(seconds) == text
