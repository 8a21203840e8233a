"""The sum over all alignments is what walking through all of them one by one gives, and what draws come to."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.callers.confusions import MISTAKES, PLACE, SIGNS, taken_for
from tests.callers.every_alignment import Beginnings, EveryAlignment
from tests.callers.worn_mark import HYPHEN, RUN, UNKNOWN, Rates, said_of

RATES = Rates(
    came_by="eye",
    wrong=0.2,
    unknown=0.1,
    passed_over=0.05,
    twice=0.06,
    swapped=0.07,
    followed=0.04,
    gone=0.1,
    hyphens=0.8,
    silent=0.3,
    head=(0.7, 0.2, 0.1),
    tail=(0.6, 0.3, 0.1),
)


def walked(text: str, number: str, rates: Rates) -> float:
    """The probability that a text is said of a number, by walking through every way in which it may come about."""
    whole = standing = 0.0
    for head, first in enumerate(rates.head):
        for tail, last in enumerate(rates.tail):
            if head + tail <= len(number):
                left = number[head : len(number) - tail]
                for spoken, style in ((rates.hyphens, 1 - rates.silent), (0.0, rates.silent)):
                    whole += first * last * style * _walk(text, left, rates, spoken)
                standing += first * last * _stands(left, rates)
    return whole / standing


def _walk(text: str, left: str, rates: Rates, spoken: float) -> float:
    if not left:
        return float(not text)
    sign, rest = left[0], left[1:]
    if sign == HYPHEN:
        said = spoken * _walk(text[1:], rest, rates, spoken) if text[:1] == HYPHEN else 0.0
        return said + (1 - spoken) * _walk(text, rest, rates, spoken)
    total = rates.passed_over * _walk(text, rest, rates, spoken)
    if text[:1] == UNKNOWN:
        total += rates.unknown * _walk(text[1:], rest, rates, spoken)
    if text[:1] == RUN:
        total += sum(
            share * _walk(text[1:], left[length:], rates, spoken)
            for length, share in rates.gaps().items()
            if length <= len(left)
        )
    if text[:1] in PLACE and text[:1]:
        one = rates.said * taken_for(rates.came_by, rates.wrong)[PLACE[sign], PLACE[text[0]]]
        total += one * (1 - rates.followed) * _walk(text[1:], rest, rates, spoken)
        if text[1:2] in PLACE and text[1:2]:
            total += one * rates.followed / len(SIGNS) * _walk(text[2:], rest, rates, spoken)
    if text[:2] == 2 * sign:
        total += rates.twice * _walk(text[2:], rest, rates, spoken)
    if rest[:1] not in ("", HYPHEN) and text[:2] == rest[0] + sign:
        total += rates.swapped * _walk(text[2:], rest[1:], rates, spoken)
    return total


def _stands(left: str, rates: Rates) -> float:
    if not left:
        return 1.0
    if left[0] == HYPHEN:
        return _stands(left[1:], rates)
    total = (1 - rates.swapped - rates.gone) * _stands(left[1:], rates)
    if left[1:2] not in ("", HYPHEN):
        total += rates.swapped * _stands(left[2:], rates)
    return total + sum(
        share * _stands(left[length:], rates) for length, share in rates.gaps().items() if length <= len(left)
    )


NUMBERS = ("A1-B2", "A1-8B", "A11-2", "O0-D", "AB-12", "1-1-1")


@cache
def alignment() -> EveryAlignment:
    return EveryAlignment(Beginnings(NUMBERS), RATES)


@settings(max_examples=200, deadline=None)
@given(st.text("AB812-?*O0D", max_size=6))
def test_the_sum_is_that_of_every_single_way(text: str) -> None:
    expected = [walked(text, number, RATES) for number in NUMBERS]
    assert alignment().probability(text) == pytest.approx(np.array(expected), rel=1e-9, abs=1e-15)


def test_what_is_said_in_many_draws_is_said_as_often_as_computed() -> None:
    draw, count = Random(5), 20_000
    drawn = Counter(said_of(draw, NUMBERS[0], RATES) for _ in range(count))
    for text, times in drawn.most_common(30):
        share = alignment().probability(text)[0]
        assert times / count == pytest.approx(share, abs=5 * (share / count) ** 0.5)


def test_all_that_can_be_said_of_a_number_adds_up_to_one() -> None:
    rates = replace(RATES, followed=0.0, wrong=1e-12, head=(0.8, 0.2), tail=(1.0,))
    texts = {said_of(Random(seed), "A1-B", rates) for seed in range(20_000)}
    sums = EveryAlignment(Beginnings(("A1-B",)), rates)
    assert sum(sums.probability(text)[0] for text in texts) == pytest.approx(1, abs=1e-3)


@pytest.mark.parametrize("came_by", MISTAKES)
def test_each_sign_is_taken_for_something(came_by: str) -> None:
    table = taken_for(came_by, 0.07)
    assert table.sum(axis=1) == pytest.approx(1)
    assert table.diagonal() == pytest.approx(0.93)
    assert (table > 0).all()
