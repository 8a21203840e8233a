"""Surveys: whether one agrees with itself, and which kits were made for something else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.rules.survey import (
    SAME_WITHIN_MM,
    SELF_AGREEMENT_MM,
    Dimension,
    Survey,
    check_before_reuse,
    disagreements,
    known,
    pitch_diameter_mm,
)

DECKS = {"U", "L"}


def stated(**values: float | str) -> tuple[Dimension, ...]:
    """Dimensions by name, all measured; ``deck_U`` is the height of deck U."""
    return tuple(
        Dimension(f"deck_height_mm {name[5:]}" if name.startswith("deck_") else name, value, "measured")
        for name, value in values.items()
    )


def survey(ordinal: int, *, newest_kit: int, day: str = "2026-03-02", **values: float | str) -> Survey:
    """A survey that came on record when the shop had so many kits."""
    return Survey(ordinal, f"{day}T00:00:00Z", newest_kit, stated(**values))


def reasons(*surveys: Survey, kit: int = 5, checked: int = 0, rotation: str | None = None) -> tuple[str, ...]:
    """Why the fifth kit of the shop must be checked."""
    return check_before_reuse(surveys, kit=kit, checked=checked, rotation=rotation, decks=DECKS)


@pytest.mark.parametrize("off_mm", [-10.0, -0.6, 0.6, 250.0])
def test_a_diameter_that_the_pockets_do_not_give_is_pointed_out_with_the_one_they_give(off_mm: float) -> None:
    (finding,) = disagreements(stated(pocket_count=24.0, pitch_mm=104.72, pitch_diameter_mm=800.0 + off_mm))
    assert (finding.rule, finding.level, finding.field) == ("survey_disagrees", "warning", "pitch_diameter_mm")
    assert "800.00 mm" in finding.message


@given(st.integers(1, 200), st.floats(10.0, 400.0), st.floats(-0.49, 0.49))
def test_within_the_tolerance_a_survey_agrees(pockets: int, pitch_mm: float, off_mm: float) -> None:
    diameter = pitch_diameter_mm(pockets, pitch_mm) + off_mm
    assert abs(off_mm) < SELF_AGREEMENT_MM
    assert disagreements(stated(pocket_count=float(pockets), pitch_mm=pitch_mm, pitch_diameter_mm=diameter)) == ()


@pytest.mark.parametrize("left_out", ["pocket_count", "pitch_mm", "pitch_diameter_mm"])
def test_two_of_the_three_say_nothing_against_each_other(left_out: str) -> None:
    values: dict[str, float | str] = {"pocket_count": 24.0, "pitch_mm": 104.72, "pitch_diameter_mm": 1.0}
    del values[left_out]
    assert disagreements(stated(**values)) == ()


def test_the_newest_survey_that_states_a_dimension_counts_whenever_it_came_on_record() -> None:
    late = survey(2, newest_kit=9, day="2019-05-01", pitch_mm=100.0, pocket_count=20.0)
    facts = known([survey(1, newest_kit=0, pitch_mm=104.72), late])
    assert {name: fact.value for name, fact in facts.items()} == {"pitch_mm": 104.72, "pocket_count": 20.0}


def test_a_kit_issued_after_the_survey_was_made_by_it() -> None:
    assert reasons(survey(1, newest_kit=4, pitch_mm=104.72)) == ()


def test_a_survey_that_came_after_the_kit_is_a_reason_where_nothing_was_known() -> None:
    (reason,) = reasons(survey(1, newest_kit=5, pitch_mm=104.72))
    assert reason == "pitch is 104.72 mm, which was not known when the kit was issued"


def test_a_survey_that_only_confirms_is_no_reason() -> None:
    first = survey(1, newest_kit=4, pitch_mm=104.72)
    assert reasons(first, survey(2, newest_kit=5, day="2026-05-01", pitch_mm=104.72 + SAME_WITHIN_MM * 0.9)) == ()


def test_what_changed_is_named_with_both_values() -> None:
    first = survey(1, newest_kit=4, pitch_mm=104.72, rotation="clockwise")
    later = survey(2, newest_kit=5, day="2026-05-01", pitch_mm=104.9, rotation="clockwise")
    assert reasons(first, later) == ("pitch is 104.9 mm now, 104.72 mm when the kit was issued",)


def test_the_rotation_on_record_counts_as_known() -> None:
    later = survey(1, newest_kit=5, rotation="clockwise")
    assert reasons(later, rotation="clockwise") == ()
    assert reasons(later, rotation="anticlockwise") == (
        "rotation is clockwise now, anticlockwise when the kit was issued",
    )


def test_the_height_of_a_deck_counts_where_the_kit_has_a_segment() -> None:
    assert reasons(survey(1, newest_kit=5, deck_M=100.0)) == ()
    (reason,) = reasons(survey(1, newest_kit=5, deck_U=180.0))
    assert reason.startswith("height of deck U is 180 mm")


def test_a_kit_that_was_checked_waits_for_the_next_survey() -> None:
    first = survey(1, newest_kit=5, pitch_mm=104.72)
    assert reasons(first, checked=1) == ()
    assert reasons(first, survey(2, newest_kit=5, day="2026-05-01", pitch_mm=110.0), checked=1) == (
        "pitch is 110 mm now, 104.72 mm when the kit was issued",
    )


def test_an_older_survey_that_comes_on_record_late_changes_nothing_that_a_newer_one_states() -> None:
    first = survey(1, newest_kit=4, pitch_mm=104.72)
    assert reasons(first, survey(2, newest_kit=6, day="2019-05-01", pitch_mm=90.0)) == ()
