"""Stays of a machine: no two at once, every moment answers with one line at most, moves recorded late included."""

from __future__ import annotations

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from service.rules.placements import Stay, joined, move, stay_at

BORN = Stay(4, "0001-01-01T00:00:00Z", None, 1)
DAYS = [f"2026-{month:02d}-15T00:00:00Z" for month in range(1, 13)]
MOVES = st.lists(st.tuples(st.sampled_from([None, 4, 5, 7]), st.sampled_from(DAYS)), max_size=12)


def carried_out(stays: tuple[Stay, ...], line: int | None, since: str) -> tuple[Stay, ...]:
    """The stays after a move, as the records keep them."""
    change = move(stays, line, since)
    if change is None:
        return stays
    kept = tuple(Stay(stay.line, stay.since, since, stay.id) if stay is change.ends else stay for stay in stays)
    return (*kept, Stay(change.begins.line, change.begins.since, change.begins.until, len(stays) + 1))


@given(MOVES)
@settings(max_examples=200)
def test_whatever_is_recorded_in_whatever_order_every_moment_has_exactly_one_answer(
    moves: list[tuple[int | None, str]],
) -> None:
    stays: tuple[Stay, ...] = (BORN,)
    told: dict[str, int | None] = {}
    for line, since in moves:
        after = carried_out(stays, line, since)
        if after is not stays:
            told[since] = line
        stays = after
    for moment in [*DAYS, "0001-01-01T00:00:00Z", "2026-03-20T12:00:00Z", "2031-01-01T00:00:00Z"]:
        assert len([stay for stay in stays if stay.covers(moment)]) == 1
    # The simplest model there is: the last word on each moment counts, from that moment to the next.
    for moment in DAYS:
        before = [since for since in told if since <= moment]
        expected = told[max(before)] if before else 4
        found = stay_at(stays, moment)
        assert found is not None
        assert found.line == expected


@given(MOVES)
@settings(max_examples=100)
def test_told_without_mistakes_the_stays_follow_each_other_and_answer_the_same(
    moves: list[tuple[int | None, str]],
) -> None:
    stays: tuple[Stay, ...] = (BORN,)
    for line, since in moves:
        stays = carried_out(stays, line, since)
    told = joined(stays)
    for one, other in itertools.pairwise(told):
        assert one.until == other.since
        assert one.line != other.line
    assert told[0].since == BORN.since
    assert told[-1].until is None
    for moment in DAYS:
        plain, merged = stay_at(stays, moment), stay_at(told, moment)
        assert plain is not None
        assert merged is not None
        assert plain.line == merged.line


def test_a_move_to_where_it_stands_is_none() -> None:
    assert move((BORN,), 4, DAYS[2]) is None


def test_a_move_at_the_moment_of_another_puts_that_one_right() -> None:
    stays = carried_out(carried_out((BORN,), 7, DAYS[2]), 5, DAYS[2])
    assert [(stay.line, stay.was) for stay in stays] == [(4, True), (7, False), (5, True)]
    assert [stay.line for stay in joined(stays)] == [4, 5]


def test_a_move_recorded_late_ends_where_the_next_one_begins() -> None:
    stays = carried_out(carried_out((BORN,), 7, DAYS[5]), 5, DAYS[2])
    assert stay_at(stays, DAYS[1]) == Stay(4, BORN.since, DAYS[2], 1)
    assert stay_at(stays, DAYS[4]) == Stay(5, DAYS[2], DAYS[5], 3)
    assert stay_at(stays, DAYS[6]) == Stay(7, DAYS[5], None, 2)


def test_before_the_first_stay_nothing_is_known() -> None:
    stays = (Stay(4, DAYS[3], None, 1),)
    assert stay_at(stays, DAYS[1]) is None
    earlier = move(stays, 4, DAYS[1])
    assert earlier is not None
    assert (earlier.ends, earlier.begins) == (None, Stay(4, DAYS[1], DAYS[3]))
