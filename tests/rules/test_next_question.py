"""Which question leaves the fewest: entropy as SciPy has it, and the laws of what an answer is expected to take off."""

from __future__ import annotations

import random
from statistics import mean

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.stats import entropy

from schemas.search import QUESTIONS, Question
from service.rules.evidence import Fact, NotUnderstood, Tables, expected, heard, likelihood, worth
from service.rules.evidence_figures import Thickness
from service.rules.evidence_kinds import Kind
from service.rules.evidence_names import called
from service.rules.evidence_table import unsure
from service.rules.next_question import (
    channel_of,
    drop_bits,
    entropy_bits,
    expected_entropy_bits,
    named,
    told,
)
from service.rules.segment_space import Posterior

SHARES = st.lists(st.floats(0.0, 1.0), min_size=1, max_size=30).filter(lambda some: sum(some) > 1e-3)


def scaled(some: list[float]) -> list[float]:
    return [one / sum(some) for one in some]


@st.composite
def worlds(draw: st.DrawFn) -> tuple[list[float], list[list[float]]]:
    """Some segments, and for each how likely every answer is."""
    shares = scaled(draw(st.lists(st.floats(0.001, 1.0), min_size=2, max_size=12)))
    answers = draw(st.integers(2, 6))
    rows = [
        draw(st.lists(st.floats(0.0, 1.0), min_size=answers, max_size=answers).filter(lambda row: sum(row) > 1e-3))
        for _ in shares
    ]
    return shares, channel_of(rows)


@given(SHARES)
def test_entropy_is_that_of_scipy(some: list[float]) -> None:
    shares = scaled(some)
    assert entropy_bits(shares) == pytest.approx(float(entropy(shares, base=2)), abs=1e-9)


@given(st.lists(st.floats(-40.0, 0.0), min_size=1, max_size=200))
def test_entropy_of_a_posterior_is_that_of_scipy(logs: list[float]) -> None:
    """What is less likely than one in ten million of the likeliest is left out of it."""
    likely = np.exp(np.asarray(logs) - max(logs))
    assert Posterior(np.asarray(logs)).entropy_bits == pytest.approx(float(entropy(likely, base=2)), abs=2e-3)


@settings(max_examples=200, deadline=None)
@given(worlds())
def test_an_answer_is_never_expected_to_leave_more(world: tuple[list[float], list[list[float]]]) -> None:
    shares, channel = world
    assert expected_entropy_bits(shares, channel) <= entropy_bits(shares) + 1e-9


@settings(max_examples=200, deadline=None)
@given(worlds())
def test_the_drop_is_the_entropy_before_less_that_after(world: tuple[list[float], list[list[float]]]) -> None:
    shares, channel = world
    assert drop_bits(shares, channel) == pytest.approx(
        entropy_bits(shares) - expected_entropy_bits(shares, channel), abs=1e-9
    )


@settings(max_examples=100, deadline=None)
@given(worlds())
def test_segments_that_share_a_fact_can_be_counted_together(world: tuple[list[float], list[list[float]]]) -> None:
    """The worth of a question is worked out over facts; over segments it comes out the same."""
    shares, channel = world
    twice = [share / 2 for share in shares for _ in range(2)]
    assert drop_bits(twice, [row for row in channel for _ in range(2)]) == pytest.approx(
        drop_bits(shares, channel), abs=1e-9
    )


@given(SHARES, st.floats(0.0, 0.9))
def test_names_are_a_channel_like_any_other(some: list[float], wrong: float) -> None:
    shares = scaled(some)
    assume(len(shares) > 1)
    names = {f"line {at}": share for at, share in enumerate(shares)}
    rows = [
        [(1 - wrong if other == at else 0.0) + wrong / len(shares) for other in range(len(shares))]
        for at in range(len(shares))
    ]
    short, long = named(names, wrong=wrong, unsure=0.0), told(shares, list(names), rows, unsure=0.0)
    assert short.gain_bits == pytest.approx(long.gain_bits, abs=1e-9)
    assert dict(short.answers) == pytest.approx(dict(long.answers))


def test_an_exact_halving_is_one_bit() -> None:
    assert named({"upper": 0.5, "lower": 0.5}, wrong=0.0, unsure=0.0).gain_bits == pytest.approx(1)


def test_callers_who_do_not_know_or_are_wrong_make_a_question_worth_less() -> None:
    plain = named({"a": 0.5, "b": 0.5}, wrong=0.0, unsure=0.0).gain_bits
    assert named({"a": 0.5, "b": 0.5}, wrong=0.0, unsure=0.4).gain_bits == pytest.approx(0.6 * plain)
    assert named({"a": 0.5, "b": 0.5}, wrong=0.2, unsure=0.0).gain_bits < 0.6 * plain
    assert named({"a": 0.5, "b": 0.5}, wrong=0.0, unsure=0.0, unknown=0.5).gain_bits == pytest.approx(0.5 * plain)


def test_what_is_known_already_is_not_worth_asking() -> None:
    assert named({"a": 1.0}, wrong=0.05, unsure=0.05).gain_bits == 0
    assert told([1.0], ["a"], [[1.0]], unsure=0.0).gain_bits == 0


# A synthetic shop: 600 segments of independent facts, some of which nearly all share.
TABLES = Tables(
    families=(Kind("SW", "star wheel"), Kind("CG", "centre guide"), Kind("RL", "rail"), Kind("TS", "timing screw")),
    decks=(Kind("L", "lower"), Kind("M", "middle"), Kind("U", "upper"), Kind("K", "neck"), Kind("X", "none")),
)
ASKED: tuple[Question, ...] = (
    "plant",
    "line",
    "stock_colour",
    "shape_family",
    "pockets",
    "overall_length_mm",
    "thickness_mm",
    "hand",
    "deck",
)


def synthetic(draw: random.Random, count: int) -> list[dict[Question, Fact]]:
    plants = [called(f"Works {letter}", [f"Works {letter}"]) for letter in "ABCDEF"]
    lines = [called(f"line {ordinal}", [f"line {ordinal}"]) for ordinal in range(1, 9)]
    return [
        {
            "plant": draw.choice(plants),
            "line": draw.choice(lines),
            "stock_colour": draw.choice(["green", "green", "green", "blue", "white", "natural"]),
            "shape_family": draw.choice(TABLES.families),
            "pockets": draw.choice([0, 0, 0, 3, 4, 6]),
            "overall_length_mm": float(draw.randrange(100, 600, 5)),
            "thickness_mm": Thickness(draw.choice([12.0, 20.0, 25.0]), None),
            "hand": draw.choice(["none", "none", "none", "LEFT", "RIGHT"]),
            "deck": draw.choice(TABLES.decks),
        }
        for _ in range(count)
    ]


def questions_needed(shop: list[dict[Question, Fact]], true: int, draw: random.Random, *, best: bool) -> int:
    """How many questions it takes until one segment is nine times likelier than all others together."""
    logs = np.zeros(len(shop))
    left = list(ASKED)
    for count in range(1, len(ASKED) + 1):
        shares = Posterior(logs)
        if best:
            by_fact = {question: shared(shop, shares, question) for question in left}
            question = max(left, key=lambda one: worth(one, by_fact[one], TABLES, unknown=0.0).gain_bits)
        else:
            question = draw.choice(left)
        left.remove(question)
        said = heard(question, answered(shop[true][question], question, draw), None, TABLES)
        assert not isinstance(said, NotUnderstood)
        logs = logs + np.log([likelihood(question, said, segment[question], TABLES) for segment in shop])
        if Posterior(logs).shares.max() > 0.9:
            return count
    return len(ASKED) + 1


def answered(fact: Fact, question: Question, draw: random.Random) -> str:
    """A caller who is right but for a length by tape."""
    if isinstance(fact, float):
        return f"{draw.gauss(fact, 2.0):.0f} mm"
    return expected(question, fact)


def shared(shop: list[dict[Question, Fact]], posterior: Posterior, question: Question) -> dict[Fact, float]:
    shares = np.zeros(len(shop))
    shares[posterior.live if posterior.live is not None else slice(None)] = posterior.shares
    found: dict[Fact, float] = {}
    for segment, share in zip(shop, shares.tolist(), strict=True):
        found[segment[question]] = found.get(segment[question], 0.0) + share
    return {fact: share for fact, share in found.items() if share > 0}


def test_asking_the_best_question_first_takes_fewer_than_asking_at_random() -> None:
    draw = random.Random(5)
    shop = synthetic(draw, 300)
    chosen = draw.sample(range(len(shop)), 12)
    best = [questions_needed(shop, true, random.Random(true), best=True) for true in chosen]
    at_random = [questions_needed(shop, true, random.Random(true), best=False) for true in chosen]
    assert mean(best) < mean(at_random) - 1, (best, at_random)


def test_every_question_has_its_rows_in_the_table() -> None:
    assert all(0 < unsure(question) < 1 for question in QUESTIONS)
