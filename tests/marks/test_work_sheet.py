"""What stands on a work sheet."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from service.marks.work_sheet import OUTCOME_WORDS, in_groups, two_fours
from tests.sheet_factory import make_work_sheet


def test_the_check_is_set_apart() -> None:
    assert make_work_sheet().number_and_check() == ("OSV4-FC1-A500-SW2-U3", "42")


def test_keys_are_in_two_fours() -> None:
    assert make_work_sheet(further_keys=("P3HW9TCP",)).keys() == ("K7M4-XRAW", "P3HW-9TCP")
    assert two_fours("K7M4-XRAW") == "K7M4-XRAW"


def test_the_time_is_utc() -> None:
    east = timezone(timedelta(hours=5, minutes=30))
    assert make_work_sheet(ordered=datetime(2031, 3, 4, 2, 15, tzinfo=east)).ordered_text() == "2031-03-03T20:45Z"
    assert make_work_sheet(ordered=datetime(2031, 3, 4, 2, 15, tzinfo=UTC)).ordered_text() == "2031-03-04T02:15Z"


def test_the_digest_is_in_groups_and_whole() -> None:
    digest = "0123456789abcdef" * 4
    assert in_groups(digest).split(" ") == ["01234567", "89abcdef"] * 4


@pytest.mark.parametrize("outcome", OUTCOME_WORDS)
def test_every_outcome_has_words(outcome: str) -> None:
    assert make_work_sheet(outcome=outcome).decision().startswith("CUT REVISION B: ")


def test_without_a_cut_file_nothing_is_cut() -> None:
    sheet = make_work_sheet(outcome="no_record", cut_file=None, revision=None, sha256=None)
    assert sheet.decision() == "DO NOT CUT YET: no record of what was built"
    assert not any("engraved" in step for step in sheet.steps())


def test_empty_values_leave_no_row() -> None:
    sheet = make_work_sheet(hand="", mass_kg=None, thickness_mm=None, assembly="")
    assert [label for label, _ in sheet.stock_rows()] == ["Material", "Colour", "Quantity"]
    assert "Belongs in" not in [label for label, _ in sheet.place_rows()]


def test_the_hand_is_printed_whole() -> None:
    assert ("Hand", "LEFT looking downstream") in make_work_sheet(hand="LEFT").stock_rows()


def test_the_steps_are_in_the_order_of_the_work() -> None:
    steps = make_work_sheet().steps()
    assert "nominal 25 mm" in steps[0]
    assert [next(i for i, step in enumerate(steps) if word in step) for word in ("thickness", "engraved", "scan")] == [
        0,
        1,
        2,
    ]
