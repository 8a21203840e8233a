"""The likeliest way from a true text to the text as it was read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.alignment import Alignment, Step, align, aligned_cost, assumed, tidied
from service.numbering.error_model import CameBy, error_model

SIGNS = st.text(alphabet="ABM5S0OW69", max_size=7)
READ = st.text(alphabet="ABM5S0OW69?*", max_size=7)
EYE = error_model(CameBy.EYE)


def aligned(read: str, true: str) -> Alignment:
    found = align(read, true, EYE)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("read", "true", "clauses"),
    [
        ("OSV4", "OSV4", ()),
        ("O5V4", "OSV4", ("S read as 5",)),
        ("??V4", "OSV4", ()),
        ("OS*4", "OSV4", ()),
        ("OVS4", "OSV4", ("SV read as VS",)),
        ("OSSV4", "OSV4", ("S read twice",)),
        ("FC1A5", "OSV4FC1A500SW2", ("head missing", "tail missing")),
        ("OSV4FC1A500S", "OSV4FC1A500SW2U342", ("tail missing",)),
        ("OSV4FCA500SW2U342", "OSV4FC1A500SW2U342", ("1 missing",)),
        ("OSV4FC1AH500SW2U342", "OSV4FC1A500SW2U342", ("H too much",)),
    ],
)
def test_what_is_assumed_is_said(read: str, true: str, clauses: tuple[str, ...]) -> None:
    assert assumed(aligned(read, true), EYE) == clauses


@given(read=READ, true=SIGNS)
@settings(max_examples=300)
def test_the_steps_make_up_both_texts_and_the_cost(read: str, true: str) -> None:
    found = align(read, true, EYE)
    cost = aligned_cost(read, true, EYE)
    if found is None:
        assert math.isinf(cost)
        return
    assert "".join(step.read for step in found.steps) == read
    swapped_back = "".join(step.true for step in found.steps)
    assert swapped_back == true
    assert found.cost == pytest.approx(cost)
    assert sum(map(step_cost, found.steps)) == pytest.approx(cost)


def step_cost(step: Step) -> float:
    slip, read, true = step.slip, step.read, step.true
    return {
        "same": lambda: EYE.same(true),
        "unknown": lambda: 0.0,
        "run": lambda: 0.0,
        "misread": lambda: EYE.substitution(read, true),
        "lost": lambda: EYE.lost(true),
        "extra": lambda: EYE.added,
        "doubled": lambda: EYE.substitution(read[0], true) + EYE.doubled(true),
        "swapped": lambda: EYE.swapped,
        "head": lambda: EYE.lost_head,
        "tail": lambda: EYE.lost_tail,
    }[slip]()


@given(read=READ, true=SIGNS, limit=st.floats(0, 30))
@settings(max_examples=200)
def test_a_limit_leaves_out_what_is_dearer_and_nothing_else(read: str, true: str, limit: float) -> None:
    free = aligned_cost(read, true, EYE)
    assert aligned_cost(read, true, EYE, limit=limit) == (free if free <= limit else math.inf)


@given(read=READ, true=SIGNS)
@settings(max_examples=200)
def test_tidying_changes_no_cost(read: str, true: str) -> None:
    assert aligned_cost(tidied(read), true, EYE) == pytest.approx(aligned_cost(read, true, EYE))


@given(true=SIGNS, cut=st.integers(0, 7), keep=st.integers(1, 7))
@settings(max_examples=100)
def test_ends_may_be_kept(true: str, cut: int, keep: int) -> None:
    left = true[cut : cut + keep]
    whole = aligned_cost(left, true, EYE, head=False, tail=False)
    lost = sum(map(EYE.lost, true)) - sum(map(EYE.lost, left))
    assert whole <= sum(map(EYE.same, left)) + lost + 1e-9
