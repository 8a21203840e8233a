"""Orders on their way: the timeline, the next step, what the plant says, and the work that waits at the desk."""

from __future__ import annotations

import re

import pytest

from service.work.damage_reports import list_reports, show_report
from service.work.reorder import show_reorder
from tests.web.conftest import Desk
from tests.web.parts import a_piece

HOSTILE = '"><script>alert(1)</script>'


def ordered(desk: Desk, **more: object) -> tuple[str, int]:
    piece = a_piece(desk.workshop)
    answer = desk.client.post(
        "/desk/reorders", data={"number": piece.number, "mark": piece.key, "reason": "crushed", **more}
    )
    assert answer.status_code == 303, answer.text
    page = answer.headers["location"]
    return page, int(page.rpartition("/")[2])


def step(desk: Desk, page: str, state: str, **more: object) -> None:
    answer = desk.client.post(f"{page}/state", data={"state": state, **more})
    assert answer.status_code == 303, answer.text


def shipped(desk: Desk) -> tuple[str, int]:
    page, order = ordered(desk)
    for state in ("released_to_cut", "cut", "inspected", "shipped"):
        step(desk, page, state)
    return page, order


def now(text: str) -> str:
    (found,) = re.findall(r'<li class="now" aria-current="step">.*?<strong>([^<]+)</strong>', text, re.DOTALL)
    return str(found)


def test_an_order_goes_step_by_step_and_says_who_and_on_what_evidence(own_desk: Desk) -> None:
    page, order = ordered(own_desk)
    text = own_desk.client.get(page).text
    assert now(text) == "Decided"
    assert "Release it to be cut" in text
    step(own_desk, page, "released_to_cut", promised_on="2026-12-24")
    step(own_desk, page, "cut", evidence="sheet 7 of the batch")
    step(own_desk, page, "inspected", measured_mm="25,06", temperature_c="23,5", nominal_mm="25", tolerance_mm="0,15")
    text = own_desk.client.get(page).text
    assert now(text) == "Inspected"
    assert all(words in text for words in ("2026-12-24", "sheet 7 of the batch", "25.06 mm at 23.5 °C", "within"))
    assert show_reorder(own_desk.workshop, order).state == "inspected"


def test_a_piece_out_of_tolerance_is_not_inspected_and_nothing_is_typed_twice(own_desk: Desk) -> None:
    page, order = ordered(own_desk)
    step(own_desk, page, "released_to_cut")
    step(own_desk, page, "cut")
    answer = own_desk.client.post(
        f"{page}/state",
        data={
            "state": "inspected",
            "measured_mm": "26,5",
            "nominal_mm": "25",
            "tolerance_mm": "0,15",
            "evidence": "calliper 3",
        },
    )
    assert answer.status_code == 409
    assert 'role="alert"' in answer.text
    assert 'name="measured_mm" maxlength="10" value="26,5"' in answer.text
    assert 'value="calliper 3"' in answer.text
    assert show_reorder(own_desk.workshop, order).state == "cut"


def test_a_step_back_wants_a_reason(own_desk: Desk) -> None:
    page, order = ordered(own_desk)
    step(own_desk, page, "released_to_cut")
    step(own_desk, page, "cut")
    assert "Cut it again" in own_desk.client.get(page).text
    assert own_desk.client.post(f"{page}/state", data={"state": "released_to_cut", "undo": "yes"}).status_code == 409
    step(own_desk, page, "released_to_cut", reason="the sheet was short", undo="yes")
    assert show_reorder(own_desk.workshop, order).state == "released_to_cut"
    assert "Because: the sheet was short" in own_desk.client.get(page).text


@pytest.mark.parametrize("state", ["", "fitted again", "reported", HOSTILE])
def test_a_step_that_is_none_is_refused(own_desk: Desk, state: str) -> None:
    page, order = ordered(own_desk)
    answer = own_desk.client.post(f"{page}/state", data={"state": state, "evidence": HOSTILE})
    assert 400 <= answer.status_code < 500
    assert "<script>alert" not in answer.text
    assert show_reorder(own_desk.workshop, order).state == "decided"


def test_what_the_plant_says(own_desk: Desk) -> None:
    page, order = shipped(own_desk)
    text = own_desk.client.get(page).text
    assert "Not yet, ask again in a week" in text
    assert own_desk.client.post(f"{page}/fitted-answer", data={"answer": "not_yet"}).status_code == 303
    without_reason = own_desk.client.post(f"{page}/fitted-answer", data={"answer": "no", "why": "does_not_lock"})
    assert without_reason.status_code == 422
    assert 'value="does_not_lock" checked' in without_reason.text
    assert (
        own_desk.client.post(f"{page}/fitted-answer", data={"answer": "yes", "deviations": "filed"}).status_code == 303
    )
    assert show_reorder(own_desk.workshop, order).state == "fitted"
    assert "What comes next" not in own_desk.client.get(page).text


def test_a_piece_that_does_not_lock_is_decided_again_in_its_report(own_desk: Desk) -> None:
    page, order = shipped(own_desk)
    answer = own_desk.client.post(
        f"{page}/fitted-answer", data={"answer": "no", "why": "does_not_lock", "reason": "stands 1 mm proud"}
    )
    assert answer.status_code == 303
    text = own_desk.client.get(answer.headers["location"]).text
    assert "stands 1 mm proud" in text
    assert f"/desk/reorders/{order}" in text
    assert "What will lock, and order" in text


def test_the_work_that_waits_is_on_the_first_page(own_desk: Desk) -> None:
    assert "Nothing waits" in own_desk.client.get("/desk").text
    page, _ = ordered(own_desk)
    own_desk.client.post("/desk/call/note", data={"mark": "A5??", "words": HOSTILE})
    text = own_desk.client.get("/desk").text
    assert re.search(rf'<h3>Decided.*?href="{page}"', text, re.DOTALL)
    assert "Calls without an order" in text
    assert "<script>alert" not in text
    assert 'href="/api/open-work.csv"' in text
    assert 'href="/api/open-work.json"' in text


def test_a_report_is_given_up_or_named_a_duplicate(own_desk: Desk) -> None:
    _, order = ordered(own_desk)
    for words in ("one", "two"):
        own_desk.client.post("/desk/call/note", data={"words": words})
    second, first = list_reports(own_desk.workshop, after=None, limit=2)
    refused = own_desk.client.post(f"/desk/reports/{first.id}/duplicate", data={"order": "soon"})
    assert refused.status_code == 422
    assert 'value="soon"' in refused.text
    assert own_desk.client.post(f"/desk/reports/{first.id}/duplicate", data={"order": str(order)}).status_code == 303
    assert show_report(own_desk.workshop, first.id).order == order
    assert own_desk.client.post(f"/desk/reports/{second.id}/given-up", data={"reason": ""}).status_code == 422
    own_desk.client.post(f"/desk/reports/{second.id}/given-up", data={"reason": "found whole"})
    assert "Given up:" in own_desk.client.get(f"/desk/reports/{second.id}").text
    listed = own_desk.client.get("/desk/reports").text
    assert listed.count('class="lead whole"') == 2


@pytest.mark.parametrize(
    "address", ["/desk/reports/999", "/desk/reports/0", "/desk/reports/x", "/desk/call?report=999"]
)
def test_a_report_that_is_none_is_a_page(desk: Desk, address: str) -> None:
    answer = desk.client.get(address)
    assert 400 <= answer.status_code < 500
    assert "<h1" in answer.text
