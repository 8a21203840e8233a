"""Which places break most: counts of broken pieces, drawn towards those of like machines by as much as they are small.

Breaks of one place are taken as a Poisson process with a rate of its own, and the rates of like places as spread by a
gamma distribution (the gamma-Poisson model: Greenwood and Yule 1920; as an empirical Bayes method: Robbins 1956). The
spread is found by the greatest likelihood of what all like places have seen. What is then known of one place is again
a gamma distribution, and the number that will break in a time to come is negative binomial.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from service.errors import BadRequest

INTERVAL = (0.1, 0.9)
"""The interval that is told: 80 % of the chance lies in it, 10 % on each side."""
FEW = 5
"""Fewer broken pieces than this say nothing of how the rates of places differ."""
SHAPES = (0.05, 20.0)
"""Between these the shape of the spread is looked for: rates never count as more alike than within 22 % of their mean
(one over the root of 20), however evenly few breaks happen to fall (common practice, no source)."""
USUAL_RISK = 0.05
USUAL_LEAD_TIME_DAYS = 21
YEAR_DAYS = 365.25


@dataclass(frozen=True, slots=True)
class Seen:
    """What one place has seen: pieces that broke, and the piece-years they and the others were in use."""

    broken: int
    piece_years: float


@dataclass(frozen=True, slots=True)
class Spread:
    """How the rates of like places are spread: a gamma distribution.

    Attributes:
        shape: without a unit; the larger, the more alike the places.
        piece_years: its rate parameter: so many piece-years of its own count as much as this spread.
        borrowed: whether there was too little history to tell how the places differ.
    """

    shape: float
    piece_years: float
    borrowed: bool = False

    @property
    def mean(self) -> float:
        """The mean rate a year and piece."""
        return self.shape / self.piece_years

    def after(self, seen: Seen) -> Spread:
        """What is known of a place once it is known what it has seen."""
        return Spread(self.shape + seen.broken, self.piece_years + seen.piece_years, self.borrowed)

    def quantile(self, share: float) -> float:
        """The rate that is not exceeded with this chance."""
        return gamma_quantile(share, self.shape) / self.piece_years

    def demand(self, piece_years: float) -> Demand:
        """How many pieces break in a time to come."""
        return Demand(self.shape, self.piece_years / (self.piece_years + piece_years))


@dataclass(frozen=True, slots=True)
class Demand:
    """A negative binomial distribution: ``size`` and the chance ``share`` of each of its trials."""

    size: float
    share: float

    @property
    def mean(self) -> float:
        """The number to be expected."""
        return self.size * (1 - self.share) / self.share

    def more_than(self, count: int) -> float:
        """The chance that it is more than this."""
        if self.share >= 1:
            return 0.0
        log_share, log_rest = math.log(self.share), math.log1p(-self.share)
        upto = math.fsum(
            math.exp(
                math.lgamma(self.size + number)
                - math.lgamma(self.size)
                - math.lgamma(number + 1)
                + self.size * log_share
                + number * log_rest
            )
            for number in range(count + 1)
        )
        return min(1.0, max(0.0, 1.0 - upto))

    def spares(self, risk: float) -> int:
        """The fewest pieces on the shelf of which more are wanted with at most this chance."""
        upto, count = 0.0, 0
        if self.share >= 1:
            return 0
        log_share, log_rest = math.log(self.share), math.log1p(-self.share)
        log_chance = self.size * log_share
        # The chances add up to 1 within 1e-12, far below the least risk that is taken.
        while True:
            upto += math.exp(log_chance)
            if 1.0 - upto <= risk:
                return count
            log_chance += math.log((self.size + count) / (count + 1)) + log_rest
            count += 1


def spread_of(places: Sequence[Seen]) -> Spread:
    """How the rates of like places are spread, by the greatest likelihood of what they have seen.

    Where fewer than ``FEW`` pieces broke in all of them, or there is less than a piece-year to go by, their mean is all
    that can be said, and not well; the spread is then a wide one with that mean, half a break added so that none is not
    taken for never, and no shorter time than a piece-year.
    """
    broken = sum(place.broken for place in places)
    piece_years = math.fsum(place.piece_years for place in places)
    if broken < FEW or piece_years < 1.0:
        mean = (broken + 0.5) / max(piece_years, 1.0)
        return Spread(1.0, 1.0 / mean, borrowed=True)
    low, high = math.log(SHAPES[0]), math.log(SHAPES[1])
    steps = 24
    grid = [low + (high - low) * step / steps for step in range(steps + 1)]
    values = [_log_likelihood(places, math.exp(at)) for at in grid]
    best = values.index(max(values))
    at = _greatest(places, grid[max(0, best - 1)], grid[min(steps, best + 1)])
    shape = math.exp(at)
    return Spread(shape, shape / _mean_for(places, shape))


def refuse_bad_stock(risk: float, lead_time_days: int) -> None:
    """Raises BadRequest for a risk that is no chance, and for a lead time that is none."""
    if not 0.0005 <= risk <= 0.5:
        raise BadRequest(
            "not between 0.0005 and 0.5", field="risk", value=risk, todo="Give a chance, 0.05 for one time in twenty"
        )
    if not 1 <= lead_time_days <= 3650:
        raise BadRequest(
            "not between 1 and 3650", field="lead_time_days", value=lead_time_days, todo="Give a number of days"
        )


def _greatest(places: Sequence[Seen], low: float, high: float) -> float:
    """Golden section: where between two points the likelihood is greatest."""
    ratio = (math.sqrt(5) - 1) / 2
    one, other = high - ratio * (high - low), low + ratio * (high - low)
    at_one, at_other = (_log_likelihood(places, math.exp(at)) for at in (one, other))
    while high - low > 1e-4:
        if at_one >= at_other:
            high, other, at_other = other, one, at_one
            one = high - ratio * (high - low)
            at_one = _log_likelihood(places, math.exp(one))
        else:
            low, one, at_one = one, other, at_other
            other = low + ratio * (high - low)
            at_other = _log_likelihood(places, math.exp(other))
    return (low + high) / 2


def _log_likelihood(places: Sequence[Seen], shape: float) -> float:
    """The logarithm of the likelihood for the best mean that this shape can have; constants are left out."""
    piece_years = shape / _mean_for(places, shape)
    log_gamma, log_years = math.lgamma(shape), math.log(piece_years)
    total = 0.0
    for place in places:
        if place.broken:
            total += math.lgamma(shape + place.broken) - log_gamma
        total += shape * log_years - (shape + place.broken) * math.log(piece_years + place.piece_years)
    return total


def _mean_for(places: Sequence[Seen], shape: float) -> float:
    """The mean rate with the greatest likelihood for a shape: where its derivative, which only falls, is zero."""
    low, high = 1e-9, 1e6
    for _ in range(80):
        mean = math.sqrt(low * high)
        slope = math.fsum(
            place.broken - (shape + place.broken) * (mean * place.piece_years) / (shape + mean * place.piece_years)
            for place in places
        )
        low, high = (mean, high) if slope > 0 else (low, mean)
        if high / low < 1 + 1e-9:
            break
    return math.sqrt(low * high)


def gamma_share(value: float, shape: float) -> float:
    """The chance that a gamma variable of rate 1 is at most this: the regularised lower incomplete gamma function.

    NIST DLMF 8.7.1 (series) below the mean, 8.9.2 (continued fraction, by Lentz) above it.
    """
    if value <= 0:
        return 0.0
    front = math.exp(shape * math.log(value) - value - math.lgamma(shape))
    if value < shape + 1:
        term = total = 1 / shape
        step = shape
        while abs(term) > abs(total) * 1e-16:
            step += 1
            term *= value / step
            total += term
        return min(1.0, total * front)
    tiny = 1e-300
    b = value + 1 - shape
    c, d = 1 / tiny, 1 / b
    fraction = d
    for step in range(1, 10_000):
        factor = -step * (step - shape)
        b += 2
        d = factor * d + b
        c = b + factor / c
        d = 1 / (d if abs(d) > tiny else tiny)
        c = c if abs(c) > tiny else tiny
        fraction *= d * c
        if abs(d * c - 1) < 1e-15:
            break
    return max(0.0, 1.0 - front * fraction)


def gamma_quantile(share: float, shape: float) -> float:
    """The value that a gamma variable of rate 1 does not exceed with this chance, by halving."""
    low, high = 0.0, max(1.0, 2 * shape)
    while gamma_share(high, shape) < share:
        low, high = high, 2 * high
    # Of a shape far below 1 the low quantiles lie near nothing: halve ratios once both ends are positive.
    for _ in range(2000):
        middle = (low + high) / 2 if low == 0.0 else math.sqrt(low * high)
        if middle <= 1e-300 or (low > 0.0 and high / low < 1 + 1e-13):
            break
        low, high = (middle, high) if gamma_share(middle, shape) < share else (low, middle)
    return (low + high) / 2
