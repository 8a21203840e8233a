"""Conditions of texts: what they ask is what the facts say, and those that exclude each other never meet."""

from __future__ import annotations

from itertools import combinations
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.label_conditions import CONDITIONS, STATES, Condition, contradict, exclude, one_always_holds
from service.marks.conditions import holds, state_of
from service.marks.content import MarkFacts
from tests.mark_factory import make_facts

ALL: tuple[Condition, ...] = get_args(Condition)

facts = st.builds(
    make_facts,
    mass_kg=st.none() | st.floats(0.001, 200),
    hand=st.sampled_from(["", "LEFT", "RIGHT"]),
    quantity=st.integers(1, 40),
    serves=st.sampled_from([(), ("OSV4-FC1-C500",)]),
    stock_colour=st.sampled_from(["", "green"]),
    revision=st.sampled_from(["", "B"]),
    segment_of=st.sampled_from(["", "segment 3 of 4"]),
)


@pytest.mark.parametrize(
    ("mass_kg", "held"),
    [
        (None, {"mass_unknown"}),
        (14.99, {"light", "mass_known"}),
        (15.0, {"heavy", "two_people", "mass_known"}),  # the lowest reference mass of ISO 11228-1:2021, from memory
        (29.99, {"heavy", "two_people", "mass_known"}),
        (30.0, {"heavy", "lifting_aid", "mass_known"}),
    ],
)
def test_the_mass_decides_who_lifts(mass_kg: float | None, held: set[Condition]) -> None:
    of_mass = [condition for condition in ALL if CONDITIONS[condition].subject == "mass"]
    made = make_facts(mass_kg=mass_kg)
    assert {condition for condition in of_mass if holds([condition], made)} == held


@pytest.mark.parametrize(
    ("without", "with_it", "off", "on"),
    [
        ({"hand": ""}, {"hand": "LEFT"}, "not_handed", "handed"),
        ({"quantity": 1}, {"quantity": 2}, "single", "several"),
        ({"serves": ()}, {"serves": ("OSV4-FC1-C500",)}, "not_shared", "shared"),
        ({"stock_colour": ""}, {"stock_colour": "red"}, "colour_unknown", "colour_known"),
        ({"revision": ""}, {"revision": "A"}, "revision_unknown", "revision_known"),
        ({"segment_of": ""}, {"segment_of": "segment 1 of 2"}, "whole", "split"),
    ],
)
def test_every_other_condition_says_whether_something_is_there(
    without: dict[str, object], with_it: dict[str, object], off: Condition, on: Condition
) -> None:
    lacking, having = make_facts(**without), make_facts(**with_it)  # type: ignore[arg-type]  # facts by their names
    assert [holds([off], made) for made in (lacking, having)] == [True, False]
    assert [holds([on], made) for made in (lacking, having)] == [False, True]


@given(facts)
def test_a_mark_is_in_one_state_of_every_subject_and_excluded_texts_never_meet(made: MarkFacts) -> None:
    assert all(state_of(subject, made) in states for subject, states in STATES.items())
    held = [condition for condition in ALL if holds([condition], made)]
    assert not contradict(held)
    for one, other in combinations(held, 2):
        assert not exclude([one], [other])


@given(st.lists(st.lists(st.sampled_from(ALL), max_size=3), max_size=5), facts)
def test_what_always_stands_stands_on_every_mark(choices: list[list[Condition]], made: MarkFacts) -> None:
    if one_always_holds(choices):
        assert any(holds(conditions, made) for conditions in choices)


def test_pairs_of_opposites_cover_every_mark() -> None:
    assert one_always_holds([["handed"], ["not_handed"]])
    assert one_always_holds([["heavy"], ["light"], ["mass_unknown"]])
    assert not one_always_holds([["heavy"], ["light"]])
    assert not one_always_holds([["handed"], ["single"]])
    assert exclude(["heavy"], ["light"])
    assert exclude(["light", "handed"], ["not_handed"])
    assert not exclude(["heavy"], ["two_people"])
    assert not exclude([], ["heavy"])
