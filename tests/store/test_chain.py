"""Laws of the chain: whatever is done to a ledger behind the program's back is found, and the right row is named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadRequest
from service.store.chain import GENESIS, Anchor, ChainedRow, LedgerTip
from service.store.ledger import MOST_FAULTS, ChainCheck, LedgerReport
from tests.ledger_rows import chained, make_ledger, make_row, rehashed

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
LEDGERS = st.lists(
    st.builds(
        lambda subject, actor, before, after: make_row(id_=0, subject=subject, actor=actor, before=before, after=after),
        TEXTS,
        TEXTS,
        st.none() | TEXTS,
        st.none() | TEXTS,
    ),
    min_size=1,
    max_size=12,
).map(lambda rows: chained([replace(row, id=id_) for id_, row in enumerate(rows, 1)]))


def check(rows: Iterable[ChainedRow], *anchors: Anchor) -> LedgerReport:
    made = ChainCheck(anchors)
    for row in rows:
        made.add(row)
    return made.report()


def named(report: LedgerReport) -> list[tuple[str, int, int]]:
    return [(fault.kind, fault.id, fault.last_id) for fault in report.faults]


def anchor_of(row: ChainedRow) -> Anchor:
    return Anchor(row.id, row.sha256)


@settings(max_examples=100)
@given(rows=LEDGERS, data=st.data())
def test_a_ledger_as_it_was_written_is_whole_and_holds_all_its_tips(
    rows: list[ChainedRow], data: st.DataObject
) -> None:
    anchors = data.draw(st.lists(st.sampled_from(rows).map(anchor_of)))
    report = check(rows, *anchors)
    assert report.whole
    assert (report.rows, report.tip.anchor) == (len(rows), anchor_of(rows[-1]))


@settings(max_examples=100)
@given(rows=LEDGERS, data=st.data())
def test_one_changed_column_names_its_row_and_no_other(rows: list[ChainedRow], data: st.DataObject) -> None:
    index = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.sampled_from(["at", "actor", "verb", "subject", "before", "after"]))
    values: st.SearchStrategy[str | None] = st.none() | TEXTS if column in ("before", "after") else TEXTS
    value = data.draw(values)
    if value == getattr(rows[index], column):
        return
    rows[index] = replace(rows[index], **{column: value})  # type: ignore[arg-type]  # a column by name
    assert named(check(rows)) == [("changed", index + 1, index + 1)]


@pytest.mark.parametrize("column", ["previous_sha256", "sha256"])
@pytest.mark.parametrize("index", [0, 2, 4])
def test_a_changed_hash_names_its_row_and_no_other(index: int, column: str) -> None:
    rows = make_ledger(5)
    rows[index] = replace(rows[index], **{column: "b" * 64})  # type: ignore[arg-type]  # a column by name
    assert named(check(rows)) == [("changed", index + 1, index + 1)]


@settings(max_examples=100)
@given(rows=LEDGERS, data=st.data())
def test_rows_that_are_missing_are_named(rows: list[ChainedRow], data: st.DataObject) -> None:
    first = data.draw(st.integers(1, len(rows)))
    last = data.draw(st.integers(first, len(rows)))
    left = [row for row in rows if not first <= row.id <= last]
    if last < len(rows):
        assert named(check(left)) == [("missing", first, last)]
    else:
        # Nothing in what is left points to rows at the end: only what was written down elsewhere does.
        assert check(left).whole
        assert named(check(left, anchor_of(rows[-1]))) == [("cut_off", first, last)]


@settings(max_examples=60)
@given(rows=LEDGERS, data=st.data())
def test_two_rows_that_changed_places_are_both_named(rows: list[ChainedRow], data: st.DataObject) -> None:
    one, other = data.draw(st.tuples(*[st.integers(0, len(rows) - 1)] * 2))
    if one == other:
        return
    rows[one], rows[other] = replace(rows[other], id=one + 1), replace(rows[one], id=other + 1)
    assert {fault.id for fault in check(rows).faults} == {one + 1, other + 1}


@settings(max_examples=60)
@given(rows=LEDGERS, data=st.data())
def test_a_changed_row_with_its_hash_computed_again_is_given_away_by_the_next(
    rows: list[ChainedRow], data: st.DataObject
) -> None:
    index = data.draw(st.integers(0, len(rows) - 1))
    written = rows[index]
    rows[index] = rehashed(replace(written, actor=written.actor + "!"))
    if index + 1 < len(rows):
        assert named(check(rows, anchor_of(rows[-1]))) == [("changed", index + 1, index + 1)]
    else:
        assert check(rows).whole
        assert named(check(rows, anchor_of(written))) == [("rewritten", index + 1, index + 1)]


@settings(max_examples=60)
@given(rows=LEDGERS, data=st.data())
def test_a_ledger_written_again_from_some_row_on_is_given_away_by_an_anchor(
    rows: list[ChainedRow], data: st.DataObject
) -> None:
    index = data.draw(st.integers(0, len(rows) - 1))
    previous = rows[index - 1].sha256 if index else GENESIS
    again = chained([replace(rows[index], verb="undo"), *rows[index + 1 :]], previous)
    forged = [*rows[:index], *again]
    assert check(forged).whole
    report = check(forged, *(anchor_of(row) for row in rows))
    assert [fault.id for fault in report.faults] == [row.id for row in rows[index:]]
    assert {fault.kind for fault in report.faults} == {"rewritten"}
    if index:
        assert f"after row {index}, the last that agrees" in report.faults[0].message


@settings(max_examples=60)
@given(rows=LEDGERS, data=st.data())
def test_a_row_put_in_between_gives_itself_away(rows: list[ChainedRow], data: st.DataObject) -> None:
    index = data.draw(st.integers(0, len(rows) - 1))
    previous = rows[index - 1].sha256 if index else GENESIS
    put_in = rehashed(make_row(id_=index + 1, verb="forge"), previous)
    moved = [replace(row, id=row.id + 1) for row in rows[index:]]
    report = check([*rows[:index], put_in, *moved])
    assert {fault.id for fault in report.faults} == {row.id for row in moved}


def test_a_row_before_the_first_is_forged() -> None:
    assert named(check([make_row(id_=-3), make_row(id_=0), *make_ledger(2)])) == [("forged", -3, -3), ("forged", 0, 0)]


def test_a_first_row_that_was_not_written_first() -> None:
    rows = make_ledger(3)
    rows[0] = rehashed(rows[0], "c" * 64)
    assert named(check(rows)) == [("changed", 1, 1)]


def test_a_ledger_whose_first_row_follows_something_names_the_first_row() -> None:
    assert named(check(chained(make_ledger(3), "c" * 64))) == [("changed", 1, 1)]


def test_a_row_chained_to_what_never_was_is_named_and_not_its_neighbours() -> None:
    rows = make_ledger(5)
    rows[2] = rehashed(rows[2], "c" * 64)
    assert named(check(rows)) == [("changed", 3, 3)]
    # The chain from there on computed again: one row still does not follow the one before it.
    assert {fault.id for fault in check([*rows[:3], *chained(rows[3:], rows[2].sha256)]).faults} == {2}


def test_a_last_row_that_does_not_follow_is_named_unless_an_anchor_vouches_for_it() -> None:
    rows = make_ledger(3)
    last = rehashed(rows[2], "c" * 64)
    assert named(check([*rows[:2], last])) == [("changed", 3, 3)]
    assert named(check([*rows[:2], last], anchor_of(last))) == [("changed", 2, 2)]


@pytest.mark.parametrize("value", [b"bytes", "half \ud800 a letter"])
def test_a_value_that_no_row_can_hold_is_a_change(value: object) -> None:
    for column in ("at", "actor", "before", "after"):
        rows = make_ledger(3)
        rows[1] = replace(rows[1], **{column: value})  # type: ignore[arg-type]  # what a spoilt table may give
        assert named(check(rows)) == [("changed", 2, 2)]


def test_a_spoilt_last_row_still_gives_a_report_that_can_be_sent() -> None:
    rows = make_ledger(2)
    rows[1] = replace(rows[1], at="half \ud800", sha256=b"0" * 64)  # type: ignore[arg-type]  # what a spoilt table may give
    report = check(rows)
    assert named(report) == [("changed", 2, 2)]
    assert str(report.tip).encode()
    assert report.tip.at.encode()


def test_of_very_many_faults_the_first_are_named_and_all_are_counted() -> None:
    rows = [replace(row, actor="nobody") for row in make_ledger(3 * MOST_FAULTS)]
    report = check(rows)
    assert not report.whole
    assert [fault.id for fault in report.faults] == list(range(1, MOST_FAULTS + 1))
    assert report.fault_count == 3 * MOST_FAULTS


def test_an_empty_ledger_is_whole_unless_something_was_anchored() -> None:
    assert check([]).whole
    assert check([], Anchor(0, GENESIS)).whole
    assert str(check([]).tip) == f"{GENESIS}:0"
    assert named(check([], anchor_of(make_ledger(3)[-1]))) == [("cut_off", 1, 3)]
    assert named(check([], Anchor(0, "d" * 64))) == [("rewritten", 0, 0)]


def test_a_missing_row_that_was_anchored_is_said_once() -> None:
    rows = make_ledger(4)
    assert named(check([rows[0], *rows[2:]], anchor_of(rows[1]))) == [("missing", 2, 2)]


def test_of_several_anchors_beyond_the_end_the_farthest_counts() -> None:
    rows = make_ledger(6)
    assert named(check(rows[:3], anchor_of(rows[4]), anchor_of(rows[5]), anchor_of(rows[2]))) == [("cut_off", 4, 6)]


@given(id_=st.integers(0, 10**12), sha256=st.text("0123456789abcdef", min_size=64, max_size=64))
def test_a_tip_is_read_as_it_was_printed(id_: int, sha256: str) -> None:
    tip = LedgerTip(id_, sha256, "")
    assert Anchor.parse(str(tip)) == tip.anchor
    assert Anchor.parse(f"  {str(tip).upper()}\n") == tip.anchor


@pytest.mark.parametrize("text", ["", "12", ":12", f"{'a' * 63}:1", f"{'a' * 64}", f"{'a' * 64}:", f"{'g' * 64}:1"])
def test_what_is_no_tip_is_refused(text: str) -> None:
    with pytest.raises(BadRequest, match="not a tip of the ledger"):
        Anchor.parse(text)
    with pytest.raises(BadRequest):
        Anchor.parse(f"{'a' * 64}:-1")
