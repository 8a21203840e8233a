"""The service desk: any mark leads to the segment, or to candidates of which none is picked; a reorder is decided."""

from __future__ import annotations

import re

from service.work.reorder import list_reorders
from service.work.resolve import resolve_mark
from tests.web.conftest import Desk
from tests.web.parts import a_piece, number_at


def test_a_whole_number_leads_to_its_segment(desk: Desk) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    assert desk.client.get("/desk", params={"mark": number}).headers["location"] == f"/desk/segments/{number}"


def test_a_key_ticks_the_broken_piece(desk: Desk) -> None:
    piece = a_piece(desk.workshop)
    answer = desk.client.get("/desk", params={"mark": f"HTTP://127.0.0.1:8000/S/{piece.key}"})
    assert answer.headers["location"].startswith(f"/desk/segments/{piece.number}?mark=")
    text = desk.client.get(answer.headers["location"]).text
    assert f'value="{piece.key}" checked' in text


def test_a_repaired_mark_says_what_was_repaired(desk: Desk) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    answer = desk.client.get("/desk", params={"mark": f"0sv4 fc1 a5oo 5w2 u3 {number[-2:]}"})
    text = desk.client.get(answer.headers["location"]).text
    assert "was read with repairs" in text
    assert "character 1: “0” was read as “O”" in text


def test_a_wrong_check_gives_candidates_and_picks_none(desk: Desk) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    wrong = number[:-2] + f"{(int(number[-2:]) - 2 + 5) % 97 + 2:02}"
    answer = desk.client.get("/desk", params={"mark": wrong})
    assert answer.headers["location"].startswith("/desk/call?mark=")
    text = desk.client.get(answer.headers["location"]).text
    (first, *_) = re.findall(r'form="choose" name="number" value="([^"]+)"', text)
    assert first == number
    assert "checked" not in text
    assert "<svg" in text


def test_a_number_that_was_never_issued_is_read_out(desk: Desk) -> None:
    answer = desk.client.get("/desk", params={"mark": "MRG7-RN3-C250-RL4-X9"})
    text = desk.client.get(answer.headers["location"]).text
    assert "This number was never issued" in text


def test_the_number_of_a_kit_leads_to_the_kit(desk: Desk) -> None:
    for text in ("OSV4-FC1-A500", "osv4 fc1 a500"):
        assert desk.client.get("/desk", params={"mark": text}).headers["location"] == "/shop/kits/OSV4-FC1-A500"


def test_a_character_that_no_mark_can_hold_is_said_in_place(desk: Desk) -> None:
    answer = desk.client.get("/desk", params={"mark": "OSV4-FC1-Ω500"})
    called = desk.client.get(answer.headers["location"])
    assert 'value="OSV4-FC1-Ω500"' in called.text
    assert "The mark is left out:" in called.text
    assert "no number or key holds the character &#39;Ω&#39;" in called.text


def test_an_unknown_segment_is_a_page_that_says_what_to_do(desk: Desk) -> None:
    answer = desk.client.get("/desk/segments/OSV4-FC1-A500-SW2-U9-42")
    assert 400 <= answer.status_code < 500
    assert "<h1>" in answer.text
    assert 'role="alert"' in answer.text


def test_the_segment_page_shows_everything_on_record(desk: Desk) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    facts = resolve_mark(desk.workshop, number)
    text = desk.client.get(f"/desk/segments/{number}").text
    shown = [facts.key[:4], facts.cut_file, facts.material, facts.plant, facts.customer, facts.container.name]
    shown += [other.number[:-3] for other in facts.neighbours]
    shown += [f"<strong>{row.revision}</strong>" for row in facts.revisions]
    assert [value for value in shown if value not in text] == []
    assert text.count('name="survivors"') == len(facts.neighbours)
    assert "issued" in text


def order(desk: Desk, **form: object) -> str:
    answer = desk.client.post("/desk/reorders", data=form)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_a_reorder_says_what_to_cut_and_why_and_hands_out_the_packet(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    page = order(
        own_desk,
        number=piece.number,
        mark=piece.key,
        reason="crushed",
        survivors_asked="yes",
        survivors=[piece.neighbour],
    )
    text = own_desk.client.get(page).text
    (made,) = list_reorders(own_desk.workshop, after=None, limit=9)
    assert made.cut is not None
    assert re.search(rf"Cut revision {made.cut.revision}\b", text)
    assert all(reason in text for reason in made.reasons)
    assert made.survivors == (piece.neighbour,)
    packet = own_desk.client.post(f"{page}/packet.zip")
    assert packet.content.startswith(b"PK")
    assert "attachment" in packet.headers["content-disposition"]
    assert piece.number[:-3] in own_desk.client.get("/desk/reorders").text


def test_sending_a_reorder_twice_orders_once(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    form = {"number": piece.number, "mark": piece.key, "reason": "crushed", "retry_key": "one-sending"}
    assert order(own_desk, **form) == order(own_desk, **form)
    assert len(list_reorders(own_desk.workshop, after=None, limit=9)) == 1


def test_a_reorder_without_a_reason_comes_back_with_what_was_typed(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    answer = own_desk.client.post(
        "/desk/reorders",
        data={"number": piece.number, "mark": piece.key, "reason": "", "quantity": "3", "survivors_asked": "yes"},
    )
    assert answer.status_code == 422
    assert "Reason" in answer.text
    assert 'name="quantity" min="1" max="999" value="3"' in answer.text
    assert f'value="{piece.key}" checked' in answer.text
    assert f'value="{piece.neighbour}" checked' not in answer.text
    assert list_reorders(own_desk.workshop, after=None, limit=9) == ()


def test_a_fitted_piece_becomes_the_one_on_record(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    page = order(own_desk, number=piece.number, mark=piece.key, reason="crushed")
    assert own_desk.client.post(f"{page}/fitted", data={"deviations": "0.4 mm filed off"}).status_code == 303
    assert "What became of it" not in own_desk.client.get(page).text
    text = own_desk.client.get(f"/desk/segments/{piece.number}").text
    assert "0.4 mm filed off" in text
    assert "scrapped" in text
    again = own_desk.client.post(f"{page}/cancelled", data={"reason": "not wanted"})
    assert again.status_code == 409


def test_only_pieces_in_the_machine_can_be_broken(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    order(own_desk, number=piece.number, mark=piece.key, reason="crushed")
    text = own_desk.client.get(f"/desk/segments/{piece.number}").text
    (ordered,) = [row.key for row in resolve_mark(own_desk.workshop, piece.number).pieces if row.condition == "ordered"]
    assert f'name="mark" value="{piece.key}"' in text
    assert f'name="mark" value="{ordered}"' not in text


def test_a_scan_of_a_scrapped_piece_warns(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    page = order(own_desk, number=piece.number, mark=piece.key, reason="crushed")
    own_desk.client.post(f"{page}/fitted", data={})
    assert "Do not fit this piece" in own_desk.client.get(f"/s/{piece.key}").text
