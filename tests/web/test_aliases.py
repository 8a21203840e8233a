"""Legacy marks on pages: put on record, imported, found, marked wrong, and read at the desk."""

from __future__ import annotations

import re

from tests.web.conftest import Desk
from tests.web.parts import KIT, a_piece

HERE = "/shop/legacy-marks"


def put(desk: Desk, mark: str, kind: str, of: str) -> None:
    answer = desk.client.post(HERE, data={"mark": mark, "kind": kind, "of": of, "source": "painted on"})
    assert answer.status_code == 303, answer.text


def send(desk: Desk, text: str, **more: str) -> str:
    answer = desk.client.post(f"{HERE}/import", files={"table": ("marks.csv", text.encode())}, data=more)
    assert answer.status_code == 200, answer.text
    return answer.text


def test_a_mark_is_put_on_record_found_and_marked_wrong(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    put(own_desk, "STERN 2 / III", "segment", piece.number)
    listed = own_desk.client.get(HERE, params={"text": "stern2"}).text
    assert "STERN 2 / III" in listed
    assert piece.number in listed
    assert "STERN 2 / III" in own_desk.client.get(f"/desk/segments/{piece.number}").text
    (wrong,) = re.findall(rf'action="({HERE}/\d+/wrong)"', listed)
    assert own_desk.client.post(wrong, data={"reason": "is the one beside it"}).status_code == 303
    assert "is the one beside it" in own_desk.client.get(HERE, params={"text": "stern 2"}).text


def test_the_desk_leads_from_a_name_to_a_machine_and_a_kit(own_desk: Desk) -> None:
    put(own_desk, "old Betty", "machine", "OSV4-FC1")
    put(own_desk, "the summer kit", "kit", KIT)
    assert 'href="/shop/machines/OSV4-FC1"' in own_desk.client.get("/desk", params={"mark": "Old  Betty"}).text
    page = own_desk.client.get("/floor", params={"mark": "the summer-kit"}).text
    assert f'href="/shop/kits/{KIT}"' in page
    assert "Not on record" not in page


def test_a_table_is_looked_at_then_imported_and_refused_lines_come_back(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    table = f"mark,number\nPO 4711-3,{piece.number}\nPO 4711-4,OSV4-FC1-A500-SW2-U3-99\n"
    looked = send(own_desk, table, prepare="yes")
    assert "1 would go in" in looked
    assert "No legacy mark is on record" in looked
    done = send(own_desk, table)
    assert "1 went in" in done
    assert "<strong>1 refused</strong>" in done
    assert "PO 4711-4" in done.partition("to mend and send again")[2]
    assert "1 on record already" in send(own_desk, table)


def test_what_cannot_go_in_comes_back_with_what_was_typed(own_desk: Desk) -> None:
    answer = own_desk.client.post(HERE, data={"mark": "old Betty", "kind": "machine", "of": "OSV9-FC9"})
    assert answer.status_code == 404
    assert 'value="old Betty"' in answer.text
    assert 'role="alert"' in answer.text
    empty = own_desk.client.post(f"{HERE}/import", files={"table": ("marks.csv", b"\xff\xfe\x00")})
    assert empty.status_code == 422
    assert 'role="alert"' in empty.text
    nothing = own_desk.client.get(HERE, params={"text": "---"})
    assert nothing.status_code == 422


def test_what_a_mark_names_has_a_page_that_is_there(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    named = {"segment": piece.number, "kit": KIT, "machine": "OSV4-FC1", "line": "OSV4", "plant": "OSV"}
    for kind, of in named.items():
        put(own_desk, f"what people call the {kind}", kind, of)
    put(own_desk, "the tall one", "container", "OSV-A500")
    listed = own_desk.client.get(HERE).text
    links = re.findall(r'<a href="([^"]+)"><span class="number">', listed)
    assert len(links) == len(named)
    for link in links:
        assert own_desk.client.get(link.replace("&amp;", "&")).status_code == 200, link
    assert "OSV-A500" in listed
    assert "what people call the kit" not in own_desk.client.get(HERE, params={"text": "the tall"}).text
