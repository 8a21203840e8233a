"""Pages of machines: who stood where, the history of one, moving and surveying it, and kits to check."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Desk
from tests.web.parts import KIT, a_piece

FC1 = KIT.rpartition("-")[0]
PAGE = f"/shop/machines/{FC1}"
NUMBER = "OSV4-FC1-A500-SW2-U3-42"


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
    assert "moved to line 6, Ostrey Vale, on 2026-03-15 (new hall), by owner" in page
    for line, on, found in (("4", "2026-02-15", True), ("6", "2026-04-15", True), ("4", "2026-04-15", False)):
        text = client.get("/shop/machines", params={"plant": "ostrey vale", "line": line, "on": on}).text
        assert (f'href="{PAGE}"' in text) is found
    assert "line 6" in client.get(f"/shop/kits/{KIT}").text


def test_off_its_line_goes_a_machine_only_when_that_is_said(own_desk: Desk) -> None:
    client = own_desk.client
    forgotten = client.post(f"{PAGE}/move", data={"line": "", "since": "2026-03-15"})
    assert (forgotten.status_code, 'role="alert"' in forgotten.text) == (422, True)
    both = client.post(f"{PAGE}/move", data={"line": "6", "nowhere": "yes", "since": "2026-03-15"})
    assert both.status_code == 422
    assert "on no line" not in client.get(PAGE).text.partition("It was moved")[0]
    said = client.post(f"{PAGE}/move", data={"nowhere": "yes", "plant": "OSV", "since": "2026-03-15"})
    assert said.status_code == 303
    page = client.get(PAGE).text
    assert re.search(r"<td class=\"lead\">on no line</td>\s*<td data-label=\"Since\">2026-03-15", page)
    assert "taken off its line on 2026-03-15, by owner" in page
    assert re.search(r"Line now</dt>\s*<dd>on no line", client.get(f"/desk/segments/{NUMBER}").text)


def test_a_machine_moves_to_a_plant_that_is_new(own_desk: Desk) -> None:
    form = {"line": "1", "plant": "TRN", "plant_name": "Tarn Mill", "since": "2026-03-15"}
    assert own_desk.client.post(f"{PAGE}/move", data=form).status_code == 303
    assert "line 1, Tarn Mill" in own_desk.client.get(PAGE).text


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


def test_who_scans_a_part_is_told_to_check_its_kit_first(own_desk: Desk) -> None:
    client = own_desk.client
    scanned = f"/s/{a_piece(own_desk.workshop, 'SW2-U3').key}"
    assert "Check this kit before reuse." not in client.get(scanned).text
    client.post(f"{PAGE}/survey", data={"pitch_mm": "104.72"})
    assert "Check this kit before reuse." in client.get(scanned).text
    client.post(f"/shop/kits/{KIT}/reuse-check")
    assert "Check this kit before reuse." not in client.get(scanned).text


def test_what_is_known_says_when_it_turns_otherwise_than_the_marks(own_desk: Desk) -> None:
    client = own_desk.client
    assert client.post(f"{PAGE}/survey", data={"rotation": "anticlockwise", "by": "fitter"}).status_code == 303
    page = client.get(PAGE).text
    assert "the machine is on record as turning clockwise, and its marks say so" in page
    assert "surveyed by fitter, revision 1, by owner" in page
    client.post(f"{PAGE}/survey", data={"rotation": "clockwise"})
    assert "Look from above once more" not in client.get(PAGE).text


def test_a_field_of_a_survey_is_named_as_the_form_names_it(own_desk: Desk) -> None:
    answer = own_desk.client.post(f"{PAGE}/survey", data={"pitch_mm": "wide", "survey_note": "from the gantry"})
    assert "Pitch along the pitch circle, mm &#39;wide&#39;" in answer.text
    assert "pitch_mm.value" not in answer.text
    form = answer.text.partition('id="survey"')[2]
    assert 'value="wide"' in form
    assert 'value="from the gantry"' in form
    assert "from the gantry" not in answer.text.partition('id="survey"')[0]


def test_machines_are_recorded_as_the_same_and_that_is_withdrawn(own_desk: Desk) -> None:
    client = own_desk.client
    form = {"other": "osv2-fl1", "assemblies": "sw2, OR", "interface": "hub bore", "compared_by": "fitter"}
    assert client.post(f"{PAGE}/same", data=form).status_code == 303
    page = client.get(PAGE).text
    assert "recorded as the same as OSV2-FL1 at SW2, OR, by owner" in page
    address = re.search(r'action="(/shop/machines/[^"]+/withdrawal)"', page)
    assert address
    assert client.post(address[1], data={"reason": "x"}).status_code == 422
    assert client.post(address[1], data={"reason": "hub bored out"}).status_code == 303
    other = client.get("/shop/machines/OSV2-FL1").text
    assert other.count("/withdrawal") == 1
    assert "not the same as another machine at SW2 any more (hub bored out), by owner" in other
    again = client.post(f"{PAGE}/same", data={**form, "other": FC1})
    assert (again.status_code, "hub bore" in again.text) == (422, True)


def test_plants_and_lines_take_other_names_and_the_old_ones_find_them(own_desk: Desk) -> None:
    client = own_desk.client
    plant = "/shop/plants/OSV"
    assert f'href="{plant}"' in client.get(PAGE).text
    assert client.post(f"{plant}/names", data={"ordinal": "4", "name": "hall B", "since": "2026-05-01"}).is_redirect
    assert client.post(f"{plant}/names", data={"name": "Ostrey Works"}).is_redirect
    page = client.get(plant).text
    assert [name in page for name in ("Ostrey Vale", "Ostrey Works", "line 4", "hall B")] == [True] * 4
    assert "hall B, Ostrey Works" in client.get(PAGE).text
    for name, line in (("ostrey vale", "line 4"), ("Ostrey Works", "HALL B")):
        assert f'href="{PAGE}"' in client.get("/shop/machines", params={"plant": name, "line": line}).text
    twice = client.post(f"{plant}/names", data={"name": "Ostrey Works"})
    assert (twice.status_code, 'value="Ostrey Works"' in twice.text) == (409, True)
    assert client.get("/shop/plants/XYW").status_code == 404


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
    for address in ("/shop/machines", PAGE, "/shop/plants/OSV"):
        assert guarded.client.get(address).headers["location"].startswith("/sign-in")
    assert guarded.client.post(f"{PAGE}/move", data={"line": "6"}).status_code == 401
    assert guarded.client.post(f"{PAGE}/survey", data={"pitch_mm": "1"}).status_code == 401
    assert guarded.client.post(f"{PAGE}/same", data={"other": "OSV2-FL1"}).status_code == 401
    assert guarded.client.post(f"{PAGE}/same/1/withdrawal", data={"reason": "none"}).status_code == 401
    assert guarded.client.post("/shop/plants/OSV/names", data={"name": "Elsewhere"}).status_code == 401
