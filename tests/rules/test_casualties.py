"""Rates drawn towards like machines, and spares: laws, hand-made cases, and SciPy as the outside check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from service.errors import BadRequest
from service.rules.casualties import (
    INTERVAL,
    SHAPES,
    Demand,
    Seen,
    Spread,
    gamma_quantile,
    gamma_share,
    refuse_bad_stock,
    spread_of,
)

shapes = st.floats(0.05, 400.0)
shares = st.floats(0.001, 0.999)


@given(shape=shapes, value=st.floats(1e-6, 2000.0))
@settings(max_examples=200)
def test_the_gamma_distribution_is_that_of_scipy(shape: float, value: float) -> None:
    assert gamma_share(value, shape) == pytest.approx(stats.gamma.cdf(value, shape), rel=1e-9, abs=1e-12)


@given(shape=shapes, share=shares)
@settings(max_examples=200)
def test_its_quantiles_are_those_of_scipy(shape: float, share: float) -> None:
    assert gamma_quantile(share, shape) == pytest.approx(stats.gamma.ppf(share, shape), rel=1e-8, abs=1e-200)


@given(size=st.floats(0.05, 200.0), share=st.floats(0.02, 0.9999), risk=st.floats(0.0005, 0.5))
@settings(max_examples=200)
def test_spares_are_the_quantile_of_scipys_negative_binomial(size: float, share: float, risk: float) -> None:
    demand, theirs = Demand(size, share), stats.nbinom(size, share)
    spares = demand.spares(risk)
    # Where the chance is the risk to the last digits either neighbour is right.
    if abs(theirs.sf(spares) - risk) > 1e-9 and (spares == 0 or abs(theirs.sf(spares - 1) - risk) > 1e-9):
        assert spares == theirs.isf(risk) == theirs.ppf(1 - risk)
    assert demand.more_than(spares) == pytest.approx(theirs.sf(spares), abs=1e-10)
    assert demand.mean == pytest.approx(theirs.mean(), rel=1e-9)


def test_what_breaks_in_a_time_to_come_is_what_drawing_rates_and_breaks_gives() -> None:
    """The mixture by definition: a rate from the gamma distribution, then a Poisson count, many times."""
    known = Spread(2.5, 8.0)
    draws = np.random.default_rng(7)
    counts = draws.poisson(draws.gamma(2.5, 1 / 8.0, 400_000) * 3.0)
    demand = known.demand(3.0)
    for count in range(5):
        assert demand.more_than(count) == pytest.approx(float((counts > count).mean()), abs=0.004)


def test_a_hand_made_case() -> None:
    """Gamma(1, 4), then 3 broken in 6 piece-years: Gamma(4, 10), so 0.4 a year, and 1 - (10/11)^4 for any in a year."""
    known = Spread(1.0, 4.0).after(Seen(3, 6.0))
    assert (known.shape, known.piece_years, known.mean) == (4.0, 10.0, 0.4)
    assert known.demand(1.0).more_than(0) == pytest.approx(1 - (10 / 11) ** 4)
    assert known.demand(1.0).spares(0.32) == 0
    assert known.demand(1.0).spares(0.31) == 1


def by_scipy(places: list[Seen]) -> tuple[float, float]:
    """Shape and rate by SciPy's own minimiser on SciPy's own negative binomial."""
    broken = np.array([place.broken for place in places])
    years = np.array([place.piece_years for place in places])

    def loss(at: np.ndarray) -> float:
        shape, rate = np.exp(at)
        return -float(stats.nbinom(shape, rate / (rate + years)).logpmf(broken).sum())

    limits = [(math.log(SHAPES[0]), math.log(SHAPES[1])), (-10.0, 15.0)]
    starts = [(math.log(a), math.log(a * years.sum() / broken.sum())) for a in (0.2, 1.0, 5.0)]
    best = min((optimize.minimize(loss, start, bounds=limits, tol=1e-12) for start in starts), key=lambda r: r.fun)
    return tuple(np.exp(best.x))


@pytest.mark.parametrize("seed", range(6))
def test_the_spread_of_greatest_likelihood_is_the_one_that_scipy_finds(seed: int) -> None:
    draws = np.random.default_rng(seed)
    shape, mean = float(draws.uniform(0.3, 6)), float(draws.uniform(0.05, 0.6))
    years = draws.uniform(0.2, 12, 80)
    broken = draws.poisson(draws.gamma(shape, mean / shape, 80) * years)
    places = [Seen(int(k), float(t)) for k, t in zip(broken, years, strict=True)]
    ours = spread_of(places)
    theirs = by_scipy(places)
    assert ours.mean == pytest.approx(theirs[0] / theirs[1], rel=2e-3)
    # The likelihood is flat along the shape: what counts is that ours is as likely.
    both = [
        float(stats.nbinom(a, b / (b + years)).logpmf(broken).sum())
        for a, b in ((ours.shape, ours.piece_years), theirs)
    ]
    assert both[0] >= both[1] - 1e-5


@given(
    broken=st.lists(st.integers(0, 9), min_size=5, max_size=30),
    years=st.floats(0.1, 20),
    own=st.builds(Seen, st.integers(0, 12), st.floats(0, 30)),
)
@settings(max_examples=100)
def test_a_rate_is_drawn_from_its_own_count_towards_the_mean(broken: list[int], years: float, own: Seen) -> None:
    spread = spread_of([Seen(count, years) for count in broken])
    known = spread.after(own)
    if own.piece_years > 0:
        plain = own.broken / own.piece_years
        assert min(plain, spread.mean) - 1e-9 <= known.mean <= max(plain, spread.mean) + 1e-9
    else:
        assert known.mean >= spread.mean - 1e-12
    low, high = (known.quantile(share) for share in INTERVAL)
    assert low < high
    assert stats.gamma(known.shape, scale=1 / known.piece_years).cdf(high) == pytest.approx(0.9, abs=1e-6)


@given(seen=st.builds(Seen, st.integers(0, 8), st.floats(0.01, 30)), risk=st.floats(0.001, 0.4))
@settings(max_examples=100)
def test_more_breaks_more_time_and_less_risk_never_mean_fewer_spares(seen: Seen, risk: float) -> None:
    spread = Spread(0.8, 3.0)

    def spares(more: int, years: float, chance: float) -> int:
        return spread.after(Seen(seen.broken + more, seen.piece_years)).demand(years).spares(chance)

    assert spares(0, 0.1, risk) <= spares(1, 0.1, risk) <= spares(1, 0.5, risk) <= spares(1, 0.5, risk / 2)
    assert spares(0, 0.0, risk) == 0


def test_the_interval_holds_the_true_rate_about_as_often_as_it_says() -> None:
    """Places drawn from a known spread: 80 % of the intervals hold the rate that the place really has."""
    draws = np.random.default_rng(11)
    rates = draws.gamma(1.5, 0.2, 1500)
    years = draws.uniform(0.5, 10, 1500)
    places = [Seen(int(k), float(t)) for k, t in zip(draws.poisson(rates * years), years, strict=True)]
    spread = spread_of(places)
    held = 0
    for rate, place in zip(rates, places, strict=True):
        known = spread.after(place)
        low, high = (known.quantile(share) for share in INTERVAL)
        held += low <= rate <= high
    assert held / 1500 == pytest.approx(0.8, abs=0.03)


def test_shelves_run_empty_about_as_often_as_the_risk_says_and_not_more() -> None:
    rng = np.random.default_rng(5)
    rates = rng.gamma(1.2, 0.5, 3000)
    places = [Seen(int(rng.poisson(rate * 4.0)), 4.0) for rate in rates]
    spread = spread_of(places)
    out = 0
    for rate, place in zip(rates, places, strict=True):
        spares = spread.after(place).demand(0.25).spares(0.05)
        out += int(rng.poisson(rate * 0.25)) > spares
    assert out / 3000 <= 0.055


def test_little_history_is_said_and_none_is_not_taken_for_never() -> None:
    none = spread_of([Seen(0, 30.0), Seen(0, 20.0)])
    assert none.borrowed
    assert none.mean == pytest.approx(0.01)
    assert spread_of([]).borrowed
    assert spread_of([]).mean == 0.5
    assert not spread_of([Seen(3, 10.0), Seen(2, 10.0)]).borrowed


@pytest.mark.parametrize(("risk", "days"), [(0.0, 21), (0.6, 21), (math.nan, 21), (0.05, 0), (0.05, 4000)])
def test_a_stock_that_makes_no_sense_is_refused(risk: float, days: int) -> None:
    with pytest.raises(BadRequest):
        refuse_bad_stock(risk, days)
