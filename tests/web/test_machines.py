"""Pages of machines: who stood where, the history of one, moving and surveying it, and kits to check."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Desk
from tests.web.parts import KIT

FC1 = KIT.rpartition("-")[0]
PAGE = f"/shop/machines/{FC1}"


def test_the_list_leads_to_every_machine_and_its_kits(desk: Desk) -> None:
    text = desk.client.get("/shop/machines").text
    assert f'href="{PAGE}"' in text
    assert f'href="/shop/kits/{KIT}"' in text
    assert 'href="/shop/machines"' in desk.client.get("/shop").text
    assert f'href="{PAGE}"' in desk.client.get(f"/shop/kits/{KIT}").text


def test_a_move_shows_in_the_history_and_both_places_find_it(own_desk: Desk) -> None:
    client = own_desk.client
    form = {"line": "6", "plant": "OSV", "since": "2026-03-15", "note": "new hall"}
    assert client.post(f"{PAGE}/move", data=form).status_code == 303
    page = client.get(PAGE).text
    assert "before any record" in page
    assert re.search(r"line 6, Ostrey Vale</td>\s*<td data-label=\"Since\">2026-03-15", page)
    assert "moved, by owner" in page
    for line, on, found in (("4", "2026-02-15", True), ("6", "2026-04-15", True), ("4", "2026-04-15", False)):
        text = client.get("/shop/machines", params={"plant": "ostrey vale", "line": line, "on": on}).text
        assert (f'href="{PAGE}"' in text) is found
    assert "line 6" in client.get(f"/shop/kits/{KIT}").text


def test_a_move_that_cannot_be_comes_back_with_what_was_typed(own_desk: Desk) -> None:
    answer = own_desk.client.post(f"{PAGE}/move", data={"line": "the old hall", "since": "2026-03-15"})
    assert answer.status_code == 404
    assert 'role="alert"' in answer.text
    assert 'value="the old hall"' in answer.text


def test_a_survey_shows_and_its_kits_wait_until_somebody_checked_them(own_desk: Desk) -> None:
    client = own_desk.client
    form = {
        "pitch_mm": "104,72",
        "pitch_mm_grade": "measured",
        "pocket_count": "24",
        "pitch_diameter_mm": "810",
        "pitch_diameter_mm_grade": "from_drawing",
        "rotation": "",
        "deck": "u",
        "deck_height": "182.5",
        "by": "fitter",
    }
    assert client.post(f"{PAGE}/survey", data=form).status_code == 303
    page = client.get(PAGE).text
    assert "pitch 104.72 mm, measured" in page
    assert "give a pitch diameter of 800.00 mm" in page
    assert "Check before reuse" in page
    kit = client.get(f"/shop/kits/{KIT}").text
    assert "Check before reuse." in kit
    assert "height of deck U is 182.5 mm" in kit
    assert client.post(f"/shop/kits/{KIT}/reuse-check").status_code == 303
    assert "Check before reuse." not in client.get(f"/shop/kits/{KIT}").text


@pytest.mark.parametrize("form", [{}, {"pitch_mm": "wide"}, {"rotation": "left"}, {"deck_height": "5"}])
def test_a_survey_that_states_nothing_right_comes_back(own_desk: Desk, form: dict[str, str]) -> None:
    answer = own_desk.client.post(f"{PAGE}/survey", data=form)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


@pytest.mark.parametrize("question", [{"on": "yesterday"}, {"plant": "XYW"}, {"line": "<b>"}, {"after": "OSV9-FC9"}])
def test_a_question_without_an_answer_says_why(desk: Desk, question: dict[str, str]) -> None:
    answer = desk.client.get("/shop/machines", params=question)
    assert answer.status_code in (404, 422)
    assert 'role="alert"' in answer.text
    assert "<b>" not in answer.text


def test_strangers_see_no_machine(guarded: Desk) -> None:
    for address in ("/shop/machines", PAGE):
        assert guarded.client.get(address).headers["location"].startswith("/sign-in")
    assert guarded.client.post(f"{PAGE}/move", data={"line": "6"}).status_code == 401
    assert guarded.client.post(f"{PAGE}/survey", data={"pitch_mm": "1"}).status_code == 401
