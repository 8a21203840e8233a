"""Cautions follow the mass, name it, and never claim to allow anything."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import BadRequest
from service.rules.lifting import (
    AUTHORITY,
    ISOLATE,
    LIFTING_AID_KG,
    LOAD_CONSTANT_KG,
    REACH_INTO_MACHINE,
    SWARF,
    TWO_PERSON_KG,
    Lift,
    cautions,
    lifting_caution,
    recommended_weight_limit_kg,
)


def test_a_changeover_begins_with_the_lock_and_ends_with_who_decides() -> None:
    sentences = cautions(3.2)
    assert sentences[0] == ISOLATE
    assert sentences[-1] == AUTHORITY
    assert SWARF not in sentences
    assert any("3.2 kg" in sentence for sentence in sentences)


def test_cutting_speaks_of_swarf() -> None:
    sentences = cautions(3.2, work="cutting")
    assert sentences[0] == SWARF
    assert ISOLATE not in sentences
    assert sentences[-1] == AUTHORITY


@pytest.mark.parametrize("work", ["changeover", "cutting"])
@pytest.mark.parametrize("mass_kg", [None, 0.01, 5.0, 20.0, 80.0])
def test_foreign_bodies_and_food_are_always_named(mass_kg: float | None, work: str) -> None:
    text = " ".join(cautions(mass_kg, work="cutting" if work == "cutting" else "changeover"))
    assert "container" in text
    assert "contact with the product" in text
    assert "does not authorise work" in text


@pytest.mark.parametrize(
    ("mass_kg", "words"),
    [
        (0.045, "45 g"),
        (3.2, "both hands"),
        (9.0, "both hands"),
        (12.0, "heavy for a reach"),
        (TWO_PERSON_KG, "two people"),
        (29.9, "two people"),
        (LIFTING_AID_KG, "lifting aid"),
        (None, "not on record"),
        (math.nan, "not on record"),
        (0.0, "not on record"),
        (-1.0, "not on record"),
    ],
)
def test_the_advice_changes_with_the_mass(mass_kg: float | None, words: str) -> None:
    assert words in lifting_caution(mass_kg)


lifts = st.builds(
    Lift,
    reach_cm=st.floats(0, 80),
    height_cm=st.floats(0, 200),
    travel_cm=st.floats(0, 200),
    twist_deg=st.floats(0, 180),
    lifts_per_minute=st.floats(0, 20),
    hours=st.floats(0, 8),
    coupling=st.sampled_from(["good", "fair", "poor"]),
)


@given(lifts)
def test_the_limit_lies_between_nothing_and_the_load_constant(lift: Lift) -> None:
    assert 0 <= recommended_weight_limit_kg(lift) <= LOAD_CONSTANT_KG


@given(
    lifts,
    st.sampled_from(["reach_cm", "travel_cm", "twist_deg", "lifts_per_minute", "hours"]),
    st.floats(1, 2),
)
def test_a_harder_lift_never_allows_more(lift: Lift, field: str, harder: float) -> None:
    worse = replace(lift, **{field: min(getattr(lift, field) * harder, 8.0 if field == "hours" else 1000.0)})
    assert recommended_weight_limit_kg(worse) <= recommended_weight_limit_kg(lift) + 1e-12


@pytest.mark.parametrize(
    "lift",
    [
        replace(REACH_INTO_MACHINE, reach_cm=-1),
        replace(REACH_INTO_MACHINE, height_cm=math.nan),
        replace(REACH_INTO_MACHINE, hours=9),
    ],
)
def test_what_the_equation_does_not_cover_is_refused(lift: Lift) -> None:
    with pytest.raises(BadRequest):
        recommended_weight_limit_kg(lift)
