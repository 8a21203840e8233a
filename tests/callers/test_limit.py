"""The limit is what the best ranking reaches: counted on a shop so small that everything that can happen is listed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.callers.facts import Facts
from tests.callers.first_caller import FirstCaller
from tests.callers.limit import draw_calls, limit, posterior, share_among_first
from tests.callers.other_caller import OtherCaller
from tests.callers.said import Call, Shares
from tests.shop_of_a_million import make_shop


class OneLetter:
    """Says one of three letters of a segment; everything that can be said is listed."""

    def __init__(self, shares: Shares) -> None:
        self.shares = shares

    def call(self, draw: Random, segment: int) -> Call:
        return Call(segment, draw.choices("abc", self.shares[segment].tolist())[0], "eye", ())

    def log_likelihood(self, call: Call) -> Shares:
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(self.shares[:, "abc".index(call.mark)]))

    def best(self, places: int) -> float:
        """The most that any ranking reaches: of all ways to name so many for each letter, the best one."""
        segments = range(len(self.shares))
        named = [set(some) for some in combinations(segments, places)]
        return max(sum(self._right(choice)) for choice in product(named, repeat=3)) / len(self.shares)

    def _right(self, choice: tuple[set[int], ...]) -> Iterator[float]:
        for letter, some in enumerate(choice):
            yield float(sum(self.shares[segment, letter] for segment in some))

    def expected(self, places: int) -> float:
        """What the exhaustive ranking reaches, over all that can be said of all segments."""
        total = 0.0
        for segment, letter in product(range(len(self.shares)), "abc"):
            share = self.shares[segment, "abc".index(letter)]
            total += share * limit(self, [Call(segment, letter, "eye", ())], places=places) if share else 0.0
        return total / len(self.shares)


_SHARES = st.lists(st.lists(st.integers(0, 4), min_size=3, max_size=3).filter(any), min_size=4, max_size=4)


@given(_SHARES, st.integers(1, 3))
def test_no_ranking_does_better_and_equal_ones_share_their_places(rows: list[list[int]], places: int) -> None:
    shares = np.array(rows, float)
    caller = OneLetter(shares / shares.sum(axis=1, keepdims=True))
    assert caller.expected(places) == pytest.approx(caller.best(places))


def test_a_place_among_equal_ones_counts_by_the_orders_in_which_it_is_early() -> None:
    scores = np.array([5.0, 2.0, 2.0, 2.0, 1.0])
    assert share_among_first(scores, 0, 1) == 1
    assert share_among_first(scores, 2, 1) == 0
    assert share_among_first(scores, 2, 3) == pytest.approx(2 / 3)
    assert share_among_first(scores, 4, 3) == 0


@pytest.mark.parametrize("kind", [FirstCaller, OtherCaller])
def test_what_was_said_can_be_said_of_the_true_one_and_its_share_is_what_it_promises(
    kind: type[FirstCaller] | type[OtherCaller],
) -> None:
    shop = make_shop(1200, seed=7)
    caller = kind(Facts(shop))
    calls = draw_calls(caller, len(shop), count=200, seed=1)
    likely = [posterior(caller, call) for call in calls]
    assert all(some[call.segment] > 0 for some, call in zip(likely, calls, strict=True))
    # Of segments that are said to be so likely, just that share is the true one: nothing is over- or understated.
    first = sum(float(some.max()) for some in likely) / len(calls)
    assert limit(caller, calls, places=1) == pytest.approx(first, abs=0.07)
    assert draw_calls(caller, len(shop), count=3, seed=1) == calls[:3]
