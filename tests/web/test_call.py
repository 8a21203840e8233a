"""A call without a browser: where it stands is in the address, questions narrow, nothing is picked, typing is kept."""

from __future__ import annotations

import html
import re
from urllib.parse import parse_qs, urlsplit

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.web.call_state import Call, Told
from service.work.damage_reports import list_reports, show_report
from tests.web.conftest import Desk
from tests.web.parts import a_piece, number_at

HALF = "??V4-FC1-A5??-SW"
HOSTILE = '"><script>alert(1)</script>'


def call(desk: Desk, **query: str | list[str]) -> str:
    answer = desk.client.get("/desk/call", params=query)
    assert answer.status_code == 200, answer.text
    return answer.text


def candidates(text: str) -> list[str]:
    return re.findall(r'form="choose" name="number" value="([^"]+)"', text)


def answers(text: str) -> list[str]:
    return [html.unescape(said) for said in re.findall(r'name="said" value="([^"]*)" id="answer-\d"', text)]


def test_half_a_number_leads_to_the_call(desk: Desk) -> None:
    answer = desk.client.get("/desk", params={"mark": HALF, "came_by": "ear"})
    assert answer.status_code == 303
    address = urlsplit(answer.headers["location"])
    assert (address.path, parse_qs(address.query)) == ("/desk/call", {"mark": [HALF], "came_by": ["ear"]})


def test_candidates_agree_with_what_was_heard_and_none_is_picked(desk: Desk) -> None:
    text = call(desk, mark=HALF, came_by="ear")
    found = candidates(text)
    assert found
    assert all(re.fullmatch(r"OSV4-FC1-A500-SW\d-[A-Z]\d-\d\d", number) for number in found)
    # The signs that were heard are told from those that were filled in.
    assert '<span class="filled">O</span><span class="filled">S</span><span class="agrees">V</span>' in text
    assert 'value="ear" checked' in text
    assert "autofocus" in text
    # Nothing else of the page is ticked beforehand.
    assert text.count(" checked") == 1


def test_every_answer_of_the_question_can_be_pressed(desk: Desk) -> None:
    text = call(desk, mark=HALF, came_by="ear", said="stock_colour:green")
    offered = answers(text)
    assert len(offered) > 1
    assert "leaves about" in text
    before = candidates(text)
    narrowed = call(desk, mark=HALF, came_by="ear", said=["stock_colour:green", offered[0]])
    assert "Colour of the plastic: green" in narrowed
    assert len(re.findall(r'aria-label="Take back', narrowed)) == 2
    shares = re.findall(r'<rect width="([\d.]+)"', narrowed)
    assert float(shares[0]) > float(re.findall(r'<rect width="([\d.]+)"', text)[0])
    assert before


def test_an_answer_is_taken_back_by_its_chip(desk: Desk) -> None:
    text = call(desk, mark=HALF, came_by="ear", said=["stock_colour:green", "deck:upper"])
    (without,) = [
        html.unescape(address) for address in re.findall(r'href="([^"]+)" data-live aria-label="Take back: Deck', text)
    ]
    assert parse_qs(urlsplit(without).query)["said"] == ["stock_colour:green"]


def test_a_question_that_the_caller_cannot_answer_is_not_asked_again(desk: Desk) -> None:
    (asked,) = re.findall(r'name="passed" value="(\w+)" data-pass', call(desk, mark=HALF))
    text = call(desk, mark=HALF, passed=asked)
    assert re.findall(r'name="passed" value="(\w+)" data-pass', text) != [asked]
    assert "Does not know:" in text


def test_any_other_question_can_be_asked(desk: Desk) -> None:
    text = call(desk, mark=HALF)
    asked = {
        parse_qs(urlsplit(html.unescape(way)).query)["ask"][0] for way in re.findall(r'href="([^"]+ask=\w+)"', text)
    }
    assert {"deck", "thickness_mm"} & asked
    one = sorted(asked)[0]
    assert f'name="passed" value="{one}" data-pass' in call(desk, mark=HALF, ask=one)


def test_another_question_is_asked_after_answers_too(desk: Desk) -> None:
    text = call(desk, mark=HALF, said=["stock_colour:green"], ask="pockets")
    assert 'name="passed" value="pockets" data-pass' in text


def test_enter_in_the_field_takes_what_is_typed_and_no_answer_above_it(desk: Desk) -> None:
    text = call(desk, mark=HALF)
    (form,) = [form for form in re.findall(r"<form.*?</form>", text, re.DOTALL) if 'id="told"' in form]
    (pressed_first,) = re.findall(r'<button[^>]* name="(\w+)"', form)
    assert pressed_first == "question"


def test_a_typed_answer_becomes_part_of_the_address(desk: Desk) -> None:
    answer = desk.client.get(
        "/desk/call",
        params={"mark": HALF, "question": "overall_length_mm", "told": "308,5 ", "tolerance_mm": "4 mm"},
    )
    assert answer.status_code == 303
    assert parse_qs(urlsplit(answer.headers["location"]).query)["said"] == ["overall_length_mm:308,5~4"]
    assert "give or take 4 mm" in desk.client.get(answer.headers["location"]).text


@pytest.mark.parametrize(("told", "tolerance"), [("", ""), ("  ", "5"), ("308", "a hand")])
def test_a_wrong_answer_is_said_and_stays_in_its_field(desk: Desk, told: str, tolerance: str) -> None:
    answer = desk.client.get(
        "/desk/call",
        params={"mark": HALF, "question": "overall_length_mm", "told": told, "tolerance_mm": tolerance},
    )
    assert 400 <= answer.status_code < 500
    assert 'role="alert"' in answer.text
    assert f'name="told" value="{told}"' in answer.text
    assert f'name="tolerance_mm" value="{tolerance}"' in answer.text


def test_a_mark_that_nobody_could_print_is_said_and_the_rest_is_searched_by(desk: Desk) -> None:
    answer = desk.client.get("/desk/call", params={"mark": "OSV4-Ω", "said": "stock_colour:green"})
    assert 'value="OSV4-Ω"' in answer.text
    assert "Colour of the plastic: green" in answer.text
    assert candidates(answer.text)


def test_hostile_text_is_shown_and_not_run(desk: Desk) -> None:
    text = desk.client.get(
        "/desk/call",
        params={
            "mark": HOSTILE,
            "came_by": HOSTILE,
            "said": [f"stock_colour:{HOSTILE}"],
            "passed": [HOSTILE],
            "ask": HOSTILE,
        },
    ).text
    assert "<script>alert" not in text
    assert "&lt;script&gt;alert(1)" in text


@settings(max_examples=60, deadline=None)
@given(
    mark=st.text(max_size=30),
    said=st.lists(st.text(max_size=40), max_size=4),
    passed=st.lists(st.text(max_size=20), max_size=3),
    ask=st.text(max_size=10),
)
def test_a_call_comes_back_from_its_address(mark: str, said: list[str], passed: list[str], ask: str) -> None:
    first = Call.of(mark=mark, came_by="ear", said=said, passed=passed, ask=ask, report=7)
    query = parse_qs(urlsplit(first.address).query, keep_blank_values=True)
    again = Call.of(
        mark=query.get("mark", [""])[0],
        came_by=query["came_by"][0],
        said=query.get("said", []),
        passed=query.get("passed", []),
        ask=query.get("ask", [""])[0],
        report=int(query["report"][0]),
    )
    assert again == first


def test_a_second_answer_takes_the_place_of_the_first_but_neighbours_add_up() -> None:
    told = Call().with_told(Told("deck", "upper")).with_told(Told("deck", "lower"))
    assert told.told == (Told("deck", "lower"),)
    two = Call().with_told(Told("neighbour", "SW2-U4")).with_told(Told("neighbour", "SW2-U2"))
    assert len(two.told) == 2


def test_a_number_that_was_never_issued_is_read_out(desk: Desk) -> None:
    text = desk.client.get("/desk/call", params={"mark": "OSV7-FC1-A500-RL4-X9"}).text
    assert "This number was never issued. It reads" in text


def keep(desk: Desk, way: str, **form: object) -> str:
    answer = desk.client.post(f"/desk/call/{way}", data=form)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_a_call_is_kept_with_all_that_was_said(own_desk: Desk) -> None:
    address = keep(
        own_desk,
        "note",
        mark=HALF,
        came_by="ear",
        said=["stock_colour:green", "overall_length_mm:309~5"],
        words="The green one on line 4 is in pieces.",
        caller="night shift",
    )
    (made,) = list_reports(own_desk.workshop, after=None, limit=9)
    report = show_report(own_desk.workshop, made.id)
    assert (report.mark, report.came_by, report.words, report.caller) == (
        HALF,
        "ear",
        "The green one on line 4 is in pieces.",
        "night shift",
    )
    assert [(said.question, said.answer, said.tolerance_mm) for said in report.evidence] == [
        ("stock_colour", "green", None),
        ("overall_length_mm", "309", 5.0),
    ]
    assert parse_qs(urlsplit(address).query)["report"] == [str(made.id)]
    text = own_desk.client.get(address).text
    assert f"Damage report {made.id}" in text
    assert "night shift" in text


def test_what_is_said_later_comes_beside_it_once(own_desk: Desk) -> None:
    first = keep(own_desk, "note", mark=HALF, came_by="ear", words="broken")
    report = parse_qs(urlsplit(first).query)["report"][0]
    for _ in range(2):
        keep(own_desk, "note", mark=f"{HALF}2", came_by="ear", said=["deck:upper"], report=report, words="broken")
    kept = show_report(own_desk.workshop, int(report))
    assert [(said.question, said.answer) for said in kept.evidence] == [("mark", f"{HALF}2"), ("deck", "upper")]


def test_choosing_puts_the_choice_on_record_with_what_was_ruled_out(own_desk: Desk) -> None:
    number, other = number_at(own_desk.workshop, "SW2-U3"), number_at(own_desk.workshop, "SW2-U4")
    address = keep(
        own_desk,
        "choice",
        mark=HALF,
        came_by="ear",
        number=number,
        offered=[f"{number}=0.62", f"{other}=0.31"],
        words="crushed in a jam",
        retry_key="one",
    )
    assert urlsplit(address).path == f"/desk/segments/{number}/locking"
    (made,) = list_reports(own_desk.workshop, after=None, limit=9)
    report = show_report(own_desk.workshop, made.id)
    assert report.choice is not None
    assert (report.choice.number, report.choice.rejected) == (number, (other,))
    assert [(one.number, one.probability) for one in report.choice.shown] == [(number, 0.62), (other, 0.31)]
    # What happened is not typed a second time.
    assert (
        'name="reason" required minlength="3" maxlength="240" value="crushed in a jam"'
        in own_desk.client.get(address).text
    )


def test_a_choice_that_is_none_comes_back_with_what_was_typed(own_desk: Desk) -> None:
    answer = own_desk.client.post(
        "/desk/call/choice",
        data={"mark": HALF, "number": HOSTILE, "words": "cracked & bent", "telephone": "+00 555 0199"},
    )
    assert 400 <= answer.status_code < 500
    assert "<script>alert" not in answer.text
    assert "cracked &amp; bent</textarea>" in answer.text
    assert 'value="+00 555 0199"' in answer.text


def test_an_open_order_is_noticed_on_the_spot(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    made = own_desk.client.post(
        "/desk/reorders", data={"number": piece.number, "mark": piece.key, "reason": "crushed"}
    ).headers["location"]
    locking = own_desk.client.get(f"/desk/segments/{piece.number}/locking").text
    assert "On order already" in locking
    assert f'href="{made}"' in locking
    again = own_desk.client.post(
        "/desk/reorders",
        data={"number": piece.number, "mark": piece.key, "reason": "crushed", "beside_locking": "yes"},
    )
    assert again.status_code == 409
    assert "Why one more is wanted" in again.text
    assert "What will lock" in again.text
    third = own_desk.client.post(
        "/desk/reorders",
        data={"number": piece.number, "mark": piece.number, "reason": "crushed", "also": "a second one broke"},
    )
    assert third.status_code == 303
