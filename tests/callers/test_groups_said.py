"""What is said group by group is said as often as computed, and the computed shares add up to one."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from tests.callers.groups_said import GroupAlignment, Habits, said_by_groups

NUMBERS = ("KRX4-FC1-A500-SW2-U3-42", "KRX4-FC1-A500-SW2-U4-39", "MBN12-LB1-AA12-OR1-X1-05")
HABITS = Habits(
    head=(0.3, 0.3, 0.2, 0.2),
    tail=(0.7, 0.3),
    skipped=0.1,
    named=0.1,
    letters=0.1,
    digits=0.2,
    turned=0.2,
    anyhow=0.02,
    alike=0.03,
    unknown=0.02,
    dropped=0.02,
)
_DRAWS = 8_000


@pytest.mark.parametrize("number", NUMBERS)
def test_what_is_said_in_many_draws_is_said_as_often_as_computed(number: str) -> None:
    sums, draw = GroupAlignment(NUMBERS, HABITS), Random(number)
    # Three groups are lost at the head so that texts are short and come often.
    drawn = Counter(said_by_groups(draw, number, HABITS) for _ in range(_DRAWS))
    for text, times in drawn.most_common(40):
        share = float(sums.probability(text)[NUMBERS.index(number)])
        assert times / _DRAWS == pytest.approx(share, abs=5 * (share / _DRAWS) ** 0.5), text


def test_all_that_can_be_said_of_a_number_adds_up_to_one() -> None:
    surely = replace(HABITS, anyhow=0.0, alike=0.0, head=(0.0, 0.0, 0.0, 1.0), dropped=0.0, unknown=0.0)
    texts = {said_by_groups(Random(seed), NUMBERS[0], surely) for seed in range(20_000)}
    sums = GroupAlignment(NUMBERS, surely)
    assert sum(float(sums.probability(text)[0]) for text in texts) == pytest.approx(1, abs=1e-3)


def test_a_number_turned_round_is_likelier_for_the_number_it_is_of() -> None:
    of = GroupAlignment(NUMBERS, HABITS).probability("SW2 U3 24")
    assert of[0] > 10 * max(of[1:])
