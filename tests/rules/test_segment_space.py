"""All segments weighed in columns: the same as weighed one by one, whatever the records and the answers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.search import Question
from service.rules.evidence import Fact, Heard, Tables, heard, likelihood
from service.rules.evidence_kinds import Kind
from service.rules.evidence_names import called
from service.rules.mark_evidence import either_cost, join_mark, mean_cost
from service.rules.segment_space import Column, Level, Posterior, SegmentSpace

TABLES = Tables((Kind("SW", "star wheel"), Kind("RL", "rail")), (Kind("L", "lower"), Kind("U", "upper")))
PLANTS = tuple(called(name, [name]) for name in ("Ostrey Vale", "Marrowgate"))
SAID: dict[Question, str] = {"plant": "Marrowgate", "deck": "upper", "pockets": "4", "overall_length_mm": "300"}


@st.composite
def spaces(draw: st.DrawFn) -> SegmentSpace:
    """Some segments of a few kits, profiles and outlines, some of which are not measured."""
    count = draw(st.integers(1, 30))
    kits, profiles, outlines = (draw(st.integers(1, 4)) for _ in range(3))

    def column(facts: tuple[Fact | None, ...], rows: int) -> Column:
        return Column(facts, np.asarray([draw(st.integers(0, len(facts) - 1)) for _ in range(rows)], dtype=np.int32))

    def codes(rows: int) -> np.ndarray[tuple[int], np.dtype[np.int32]]:
        return np.asarray([draw(st.integers(0, rows - 1)) for _ in range(count)], dtype=np.int32)

    return SegmentSpace(
        ids=np.arange(1, 2 * count, 2, dtype=np.int32),
        revisions=np.arange(count, dtype=np.int32),
        levels={
            "kit": Level(codes(kits), {"plant": column(PLANTS, kits)}, np.asarray([1.0, 0.2, 1.0, 1.0])[:kits]),
            "profile": Level(codes(profiles), {"deck": column(TABLES.decks, profiles)}, np.ones(profiles)),
            "outline": Level(
                codes(outlines),
                {
                    "pockets": column((0, 4, None), outlines),
                    "overall_length_mm": column((300.0, 512.0, None), outlines),
                },
                np.ones(outlines),
            ),
        },
        kit_numbers=tuple(f"OSV{ordinal}-FC1-A500" for ordinal in range(1, kits + 1)),
        tables=TABLES,
    )


def answers() -> list[tuple[Question, Heard]]:
    found: list[tuple[Question, Heard]] = []
    for question, text in SAID.items():
        said = heard(question, text, None, TABLES)
        assert isinstance(said, tuple | int | str) or hasattr(said, "value_mm")
        found.append((question, said))  # type: ignore[arg-type]  # all of SAID is understood
    return found


def one_by_one(space: SegmentSpace) -> list[float]:
    """The logarithm of each segment's likelihood, as the definition has it."""
    logs = []
    for at in range(len(space)):
        log = math.log(float(space.levels["kit"].weights[int(space.levels["kit"].codes[at])]))
        for question, said in answers():
            fact = space.fact(question, at)
            known = [
                likelihood(question, said, other, TABLES)
                for other in (space.fact(question, place) for place in range(len(space)))
                if other is not None
            ]
            usual = sum(known) / len(known) if known else 1.0
            log += math.log(usual if fact is None else likelihood(question, said, fact, TABLES))
        logs.append(log)
    return logs


@settings(max_examples=60, deadline=None)
@given(spaces())
def test_columns_say_what_the_definition_says(space: SegmentSpace) -> None:
    assert space.weighed(answers()).logs.tolist() == pytest.approx(one_by_one(space), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(spaces())
def test_facts_and_what_is_not_on_record_hold_all_of_the_likelihood(space: SegmentSpace) -> None:
    posterior = Posterior(space.weighed(answers()).logs)
    masses = space.masses(posterior)
    for question in SAID:
        facts, unknown = space.fact_shares(question, masses)
        assert sum(facts.values()) == pytest.approx(1 if facts else 0)
        assert 0 <= unknown <= 1
    assert sum(space.kit_shares(masses).values()) == pytest.approx(1)


@given(st.lists(st.floats(-30, 0), min_size=1, max_size=60))
def test_a_posterior_adds_up_and_tells_the_likeliest_first(logs: list[float]) -> None:
    posterior = Posterior(np.asarray(logs))
    assert float(posterior.shares.sum()) == pytest.approx(1)
    first = posterior.first(len(logs))
    assert [posterior.share_of(place) for place in first] == sorted(posterior.shares.tolist(), reverse=True)
    assert first[0] == logs.index(max(logs)) or logs[first[0]] == pytest.approx(max(logs))
    counted = posterior.holding(0.95)
    ordered = sorted(posterior.shares.tolist(), reverse=True)
    assert sum(ordered[:counted]) >= 0.95 - 1e-9
    assert sum(ordered[: counted - 1]) < 0.95


def test_of_equals_the_one_that_was_issued_first_stands_first() -> None:
    assert Posterior(np.zeros(50)).first(7) == list(range(7))


@settings(max_examples=60, deadline=None)
@given(space=spaces(), cost=st.floats(0.5, 12), other=st.floats(0.5, 12))
def test_a_mark_and_evidence_multiply(space: SegmentSpace, cost: float, other: float) -> None:
    """With all numbers weighed the posterior is the product, but for a mark that is another part's."""
    logs = space.weighed(answers()).logs
    costs = {int(id_): cost if at % 2 else other for at, id_ in enumerate(space.ids)}
    joint = join_mark(space, logs, costs, rest=None, wanted=5)
    assert joint.unweighed == 0
    likely = np.exp([-one for one in costs.values()])
    expected = Posterior(logs + np.log(0.99 * likely + 0.01 * likely.mean()))
    assert Posterior(joint.logs).entropy_bits == pytest.approx(expected.entropy_bits, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(space=spaces(), rest=st.floats(1.0, 20.0))
def test_what_was_not_looked_at_is_told(space: SegmentSpace, rest: float) -> None:
    """One number is looked at; how much lies with the others is the share that they have at the cost of the rest."""
    logs = space.log_prior
    joint = join_mark(space, logs, {int(space.ids[0]): 0.5}, rest=rest, wanted=3)
    likely = np.full(len(space), math.exp(-rest))
    likely[0] = math.exp(-0.5)
    joined = np.exp(logs) * (0.99 * likely + 0.01 * likely.mean())
    assert joint.unweighed == pytest.approx(float(joined[1:].sum() / joined.sum()), abs=1e-5)
    assert 0 not in joint.open


def test_a_mark_that_nothing_is_like_changes_nothing() -> None:
    space = SegmentSpace(
        ids=np.asarray([1, 2], dtype=np.int32),
        revisions=np.asarray([1, 2], dtype=np.int32),
        levels={"kit": Level(np.zeros(2, np.int32), {}, np.ones(1))},
        kit_numbers=("OSV4-FC1-A500",),
        tables=TABLES,
    )
    assert join_mark(space, np.zeros(2), {}, rest=None, wanted=5).logs.tolist() == [0, 0]


@given(st.lists(st.floats(0, 50), min_size=1, max_size=20))
def test_costs_are_averaged_as_likelihoods(costs: list[float]) -> None:
    assert mean_cost(costs) == pytest.approx(-math.log(sum(math.exp(-one) for one in costs) / len(costs)))
    assert either_cost(costs[0], 1.0, costs[-1] + 1) == pytest.approx(costs[0])


def test_segments_are_found_by_their_row_ids() -> None:
    space = SegmentSpace(
        ids=np.asarray([3, 5, 9], dtype=np.int32),
        revisions=np.zeros(3, np.int32),
        levels={},
        kit_numbers=(),
        tables=TABLES,
    )
    assert space.places_of([9, 4, 3, 1, 12]) == [2, 0]
    assert (space.index_of(5), space.index_of(6), space.index_of(99)) == (1, None, None)


def test_breakages_are_shrunk_towards_the_usual() -> None:
    space = SegmentSpace(
        ids=np.arange(1, 101, dtype=np.int32),
        revisions=np.zeros(100, np.int32),
        levels={},
        kit_numbers=(),
        tables=TABLES,
    )
    assert not space.broke({}).any()
    likely = np.exp(space.broke({7: 3, 8: 1}))
    assert likely[6] > likely[7] > likely[0] > 0
    assert likely[6] / likely[0] == pytest.approx(4)  # (1 + 3) to (1 + 0)


def test_what_cannot_be_it_leaves_the_others_as_uncertain_as_they_are() -> None:
    """One in ten cannot be it: nine equal ones are log2(9) bits."""
    posterior = Posterior(np.asarray([0.0] * 9 + [-np.inf]))
    assert posterior.live is None
    assert posterior.entropy_bits == pytest.approx(math.log2(9))
