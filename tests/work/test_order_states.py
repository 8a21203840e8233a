"""Orders from decided to fitted: every step with who, when and on what evidence; and the question after seven days."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from schemas.answers import KitAnswer, ReorderAnswer
from schemas.inspections import InspectionRequest
from schemas.order_states import FittedAnswerRequest, StepRequest
from schemas.requests import CancelRequest, FittedRequest, ReorderRequest
from service.errors import (
    AlreadyOnOrder,
    CutFileAltered,
    KitwrightError,
    ReorderClosed,
    RevisionWithdrawn,
    StepRefused,
)
from service.rules.order_states import next_states
from service.work.ask_fitted import answer_fitted
from service.work.damage_reports import show_report
from service.work.fit import cancel_reorder, fit_reorder
from service.work.history import history
from service.work.once import Retry
from service.work.open_work import COLUMNS, open_work, open_work_csv
from service.work.order_states import step_order
from service.work.prove import prove_marks
from service.work.reorder import list_reorders, reorder, show_reorder
from service.work.resolve import resolve_mark
from service.work.withdraw import withdraw_revision
from service.work.workshop import Actor, Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U2, NUMBER_U3, NUMBER_U4, file_of

ROAD = ("released_to_cut", "cut", "inspected", "shipped")
FITTER = Actor("fitter")


def order(workshop: Workshop, number: str = NUMBER_U2, **more: object) -> ReorderAnswer:
    return reorder(workshop, ReorderRequest.model_validate({"mark": number, "reason": "crushed", **more}))


def step(workshop: Workshop, id_: int, state: str, **more: object) -> ReorderAnswer:
    return step_order(workshop, id_, StepRequest.model_validate({"state": state, **more}), actor=FITTER)


def shipped(workshop: Workshop, number: str = NUMBER_U2, **more: object) -> ReorderAnswer:
    made = order(workshop, number, **more)
    for state in ROAD:
        made = step(workshop, made.id, state)
    return made


def at(workshop: Workshop, moment: str) -> Workshop:
    return dataclasses.replace(workshop, now=lambda: moment)


def later(moment: str, **by: int) -> str:
    return (datetime.fromisoformat(moment) + timedelta(**by)).strftime("%Y-%m-%dT%H:%M:%SZ")


def test_each_step_says_who_when_and_on_what_evidence(workshop: Workshop, issued: KitAnswer) -> None:
    made = order(workshop)
    assert [(one.state, one.by) for one in made.history] == [
        ("reported", "service"),
        ("identified", "service"),
        ("decided", "service"),
    ]
    assert "the damaged piece was cut from" in made.history[-1].evidence
    assert (made.state, made.open, made.next_states) == ("decided", True, next_states("decided"))
    step(workshop, made.id, "released_to_cut", promised_on="2026-03-20", evidence="sheet PE-2291")
    step(workshop, made.id, "cut")
    back = step(workshop, made.id, "released_to_cut", reason="the edge tore out")
    assert back.history[-1].reason == "the edge tore out"
    step(workshop, made.id, "cut")
    step(workshop, made.id, "inspected")
    sent = step(workshop, made.id, "shipped", evidence="one parcel")
    assert (sent.promised_on, sent.history[-1].by, sent.history[-1].evidence) == ("2026-03-20", "fitter", "one parcel")
    done = fit_reorder(workshop, made.id, FittedRequest())
    assert (done.state, done.open, done.next_states) == ("fitted", False, ())
    road = [one.state for one in done.history]
    assert road == ["reported", "identified", "decided", "released_to_cut", "cut", "released_to_cut", "cut",
                    "inspected", "shipped", "fitted"]  # fmt: skip
    assert [one.ordinal for one in done.history] == list(range(1, 11))
    assert show_reorder(workshop, made.id) == done
    told = [event.verb for event in history(workshop, NUMBER_U2).events]
    assert told[-9:] == ["damage", "reorder", *road[3:]][-9:]
    with pytest.raises(ReorderClosed):
        step(workshop, made.id, "cancelled", reason="too late")


def test_no_step_is_skipped_and_none_is_undone_without_a_reason(workshop: Workshop, issued: KitAnswer) -> None:
    made = order(workshop)
    for state in ("cut", "inspected", "shipped", "decided"):
        with pytest.raises(StepRefused, match="released_to_cut, fitted, cancelled"):
            step(workshop, made.id, state)
    step(workshop, made.id, "released_to_cut")
    for state in ("decided", "cancelled"):
        with pytest.raises(StepRefused, match="says why"):
            step(workshop, made.id, state)
    assert step(workshop, made.id, "decided", reason="not this week").state == "decided"
    with pytest.raises(StepRefused, match="when they are inspected"):
        step(workshop, made.id, "released_to_cut", measured=[{"feature": "thickness", "measured_mm": 25.0}])
    assert show_reorder(workshop, made.id).state == "decided"


def test_two_who_say_the_same_at_once_are_told_apart(workshop: Workshop, issued: KitAnswer) -> None:
    made = order(workshop)
    retry = Retry.of("a key", "POST /api/reorders/1/state", b"{}")
    asked = StepRequest(state="released_to_cut")
    first = step_order(workshop, made.id, asked, retry=retry)
    assert step_order(workshop, made.id, asked, retry=retry) == first
    with pytest.raises(StepRefused):
        step_order(workshop, made.id, asked)
    assert len(show_reorder(workshop, made.id).history) == 4


def test_what_must_not_be_cut_is_not_released(workshop: Workshop, issued: KitAnswer, tmp_path: Path) -> None:
    altered = order(workshop)
    assert altered.cut is not None
    kept = tmp_path / "vault" / "sha256" / altered.cut.sha256[:2] / altered.cut.sha256[2:]
    whole = kept.read_bytes()
    kept.chmod(0o600)
    kept.write_bytes(whole[:-1] + b"X")
    with pytest.raises(CutFileAltered):
        step(workshop, altered.id, "released_to_cut")
    kept.write_bytes(whole)
    withdraw_revision(workshop, file_of("SW2-U2"), "-", "bore too small")
    with pytest.raises(RevisionWithdrawn):
        step(workshop, altered.id, "released_to_cut")
    assert show_reorder(workshop, altered.id).state == "decided"


def test_a_value_is_brought_to_20_degrees_and_one_out_of_tolerance_stops_the_step(
    workshop: Workshop, issued: KitAnswer
) -> None:
    """UHMW-PE, 200e-6 / K: 300.60 mm at 30 °C are 300.60 / 1.002 = 300.00 mm at 20 °C, computed by hand."""
    made = order(workshop)
    for state in ("released_to_cut", "cut"):
        step(workshop, made.id, state)
    warm = {"feature": "length", "measured_mm": 300.6, "temperature_c": 30, "nominal_mm": 300, "tolerance_mm": 0.1}
    with pytest.raises(StepRefused, match=r"length is 300\.60 mm at 20 °C and 300\.00 ± 0\.1 mm was asked for"):
        step(workshop, made.id, "inspected", measured=[{**warm, "temperature_c": 20}])
    answer = step(workshop, made.id, "inspected", measured=[warm, {"feature": "bore", "measured_mm": 20.1}])
    length, bore = answer.history[-1].measured
    assert length.at_20c_mm == pytest.approx(300.0, abs=5e-4)
    assert length.within
    assert (bore.at_20c_mm, bore.within) == (20.1, None)


def test_marks_that_were_found_wrong_stop_the_step_until_they_are_right(workshop: Workshop, issued: KitAnswer) -> None:
    made = order(workshop)
    for state in ("released_to_cut", "cut"):
        step(workshop, made.id, state)
    assert made.key is not None
    looked = {"plate": made.key, "engraving": NUMBER_U4}
    prove_marks(workshop, "OSV4-FC1-A500", InspectionRequest.model_validate(looked))
    with pytest.raises(StepRefused, match="marks of piece"):
        step(workshop, made.id, "inspected")
    prove_marks(workshop, "OSV4-FC1-A500", InspectionRequest.model_validate({**looked, "engraving": NUMBER_U2}))
    assert "marks of every piece are proved" in step(workshop, made.id, "inspected").history[-1].evidence


def test_an_order_without_a_record_stays_identified_and_stands_in_nobodys_way(
    workshop: Workshop, issued: KitAnswer
) -> None:
    withdraw_revision(workshop, file_of("SW2-U2"), "-", "bore too small")
    first = order(workshop)
    assert (first.outcome, first.state) == ("no_record", "identified")
    with pytest.raises(StepRefused):
        step(workshop, first.id, "decided")
    assert order(workshop).open_orders == (first.id,)
    assert step(workshop, first.id, "cancelled", reason="known by now").state == "cancelled"


def test_seven_days_after_it_was_shipped_the_plant_is_asked(workshop: Workshop, issued: KitAnswer) -> None:
    sent = shipped(workshop)
    order(workshop, NUMBER_U3)
    assert sent.ask_fitted_at == later(sent.since, days=7)

    def asked(moment: str) -> list[int]:
        then = at(workshop, moment)
        (by_list, by_work) = (
            [row.id for row in list_reorders(then, after=None, limit=9, ask_fitted=True)],
            [row.order for row in open_work(then, ask_fitted=True).rows],
        )
        assert by_list == by_work
        assert len(open_work(then, ask_fitted=False).rows) == len(open_work(then).rows) - len(by_work)
        return by_list

    assert asked(later(sent.since, days=7, seconds=-1)) == []
    week = later(sent.since, days=7)
    assert asked(week) == [sent.id]
    waits = answer_fitted(at(workshop, week), sent.id, FittedAnswerRequest(answer="not_yet"))
    assert (waits.state, waits.ask_fitted_at) == ("shipped", later(week, days=7))
    assert asked(later(week, days=6)) == []
    assert asked(later(week, days=7)) == [sent.id]
    done = answer_fitted(workshop, sent.id, FittedAnswerRequest(answer="yes", deviations="eased by 0.2 mm"))
    assert (done.state, done.ask_fitted_at) == ("fitted", None)
    assert [piece.deviations for piece in resolve_mark(workshop, NUMBER_U2).pieces if piece.key == sent.key] == [
        "eased by 0.2 mm"
    ]
    assert asked(later(week, days=30)) == []


@pytest.mark.parametrize("why", ["does_not_lock", "damaged_again"])
def test_a_piece_that_does_not_do_has_its_damage_decided_again(workshop: Workshop, issued: KitAnswer, why: str) -> None:
    sent = shipped(workshop)
    no = FittedAnswerRequest.model_validate({"answer": "no", "why": why, "reason": "stands 1 mm proud"})
    ended = answer_fitted(workshop, sent.id, no)
    assert (ended.state, ended.open) == ("cancelled", False)
    assert ended.report is not None
    again = show_report(workshop, ended.report)
    assert (again.state, again.number, again.follows_order, again.findings) == ("identified", NUMBER_U2, sent.id, ())
    assert "stands 1 mm proud" in again.words
    second = order(workshop, report=ended.report)
    assert second.key != sent.key, "its key is on a piece that does not do"
    assert show_report(workshop, ended.report).order == second.id


def test_nobody_asks_before_it_was_shipped_and_no_needs_a_reason(workshop: Workshop, issued: KitAnswer) -> None:
    made = order(workshop)
    with pytest.raises(StepRefused, match="before it was shipped"):
        answer_fitted(workshop, made.id, FittedAnswerRequest(answer="yes"))
    with pytest.raises(ValueError, match="says why"):
        FittedAnswerRequest(answer="no")


def test_what_may_be_on_order_is_noticed_before_it_is_written(workshop: Workshop, issued: KitAnswer) -> None:
    first = order(workshop)
    with pytest.raises(AlreadyOnOrder, match=f"reorder {first.id} of .* \\(decided\\) is open"):
        order(workshop)
    assert len(list_reorders(workshop, after=None, limit=9)) == 1
    second = order(workshop, also="a second one broke")
    assert (second.also, second.open_orders) == ("a second one broke", (first.id,))
    cancel_reorder(workshop, first.id, CancelRequest(reason="one is enough"))
    cancel_reorder(workshop, second.id, CancelRequest(reason="none is wanted"))
    assert order(workshop).open


def test_pieces_that_are_known_to_be_two_are_no_duplicate(workshop: Workshop, issued: KitAnswer) -> None:
    keys = [piece.key for piece in resolve_mark(workshop, NUMBER_PLATES).pieces if piece.key]
    order(workshop, NUMBER_PLATES)
    with pytest.raises(AlreadyOnOrder):
        order(workshop, NUMBER_PLATES)
    assert keys == [], "a count of like pieces: nobody can tell them apart"


def test_open_work_is_a_table_that_planning_reads_and_no_spreadsheet_runs(
    workshop: Workshop, issued: KitAnswer
) -> None:
    first, second = order(workshop), order(workshop, NUMBER_U3, quantity=2)
    step(workshop, second.id, "released_to_cut", promised_on="2026-03-20")
    found = open_work(workshop)
    text = open_work_csv(found)
    assert text.endswith("\r\n")
    rows = list(csv.DictReader(io.StringIO(text), strict=True))
    assert tuple(rows[0]) == COLUMNS
    assert [(row["order"], row["state"], row["quantity"]) for row in rows] == [
        (str(first.id), "decided", "1"),
        (str(second.id), "released_to_cut", "2"),
    ]
    assert {(row["plant"], row["material"], row["stock_colour"], row["thickness_mm"]) for row in rows} == {
        ("OSV", "UHMW-PE", "green", "25.0")
    }
    assert second.cut is not None
    assert (rows[1]["cut_file"], rows[1]["revision"], rows[1]["sha256"]) == (
        second.cut.cut_file,
        "-",
        second.cut.sha256,
    )
    assert rows[1]["promised_on"] == "2026-03-20"
    row = found.rows[0].model_copy(
        update={"material": '=HYPERLINK("http://x")', "stock_colour": "+1", "place": "@SUM(A1)", "revision": "-"}
    )
    (hostile,) = csv.DictReader(io.StringIO(open_work_csv(found.model_copy(update={"rows": (row,)}))))
    assert (hostile["material"], hostile["stock_colour"], hostile["place"], hostile["revision"]) == (
        '\'=HYPERLINK("http://x")',
        "'+1",
        "'@SUM(A1)",
        "-",
    )
    assert [one.order for one in open_work(workshop, states=["released_to_cut"]).rows] == [second.id]
    assert open_work(workshop, plant="MRG").rows == ()
    assert len(open_work(workshop, plant="osv").rows) == 2
    assert json.loads(found.model_dump_json())["rows"][0]["number"] == NUMBER_U2


def test_every_refusal_leaves_everything_as_it_was(workshop: Workshop, issued: KitAnswer) -> None:
    made = order(workshop)
    before = show_reorder(workshop, made.id)
    for state in ("decided", "cut", "inspected", "shipped", "cancelled"):
        with pytest.raises(KitwrightError):
            step(workshop, made.id, state)
    assert show_reorder(workshop, made.id) == before
