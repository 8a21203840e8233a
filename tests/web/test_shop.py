"""The shop desk: from a manifest to plates, and mending what was mistyped."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from schemas.manifest_reading import read_manifest
from service.demo.shop import demo_shop
from service.web.new_kit import EXAMPLE_TABLE, example_document
from service.work.release import cut_file
from service.work.show_kit import list_kits, show_kit
from tests.web.conftest import Desk, desk_over
from tests.web.parts import KIT, number_at

DXF = "image/vnd.dxf"


def manifest(*, container: str, place: int = 1) -> dict[str, Any]:
    """A small kit for another container on the first kit's machine, cut from files that are on record."""
    return {
        "plant": {"code": "OSV"},
        "line": {"ordinal": 4},
        "machine": {"class": "FC", "ordinal": 1},
        "container": {"name": container, "nominal": 750, "unit": "mL"},
        "stock_colour": "blue",
        "assemblies": [
            {
                "code": "RL",
                "ordinal": 1,
                "name": "rail, infeed",
                "segments": [
                    {
                        "deck": "U",
                        "ordinal": place,
                        "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
                        "material": "UHMW-PE",
                        "thickness_mm": 25.0,
                    }
                ],
            }
        ],
    }


def hidden(html: str, name: str) -> str:
    """The value of a hidden field."""
    found = re.search(rf'name="{name}" value="([^"]*)"', html)
    assert found is not None
    return found.group(1).replace("&#34;", '"').replace("&amp;", "&")


def test_the_list_names_every_kit(desk: Desk) -> None:
    text = desk.client.get("/shop").text
    assert all(kit.number in text for kit in list_kits(desk.workshop, after=None, limit=50).kits)


def test_the_kit_page_shows_every_segment_once_and_in_the_plan(desk: Desk) -> None:
    kit = show_kit(desk.workshop, KIT)
    text = desk.client.get(f"/shop/kits/{KIT}").text
    for row in kit.segments:
        assert text.count(f'data-number="{row.number}"') == 1
        assert f'href="/desk/segments/{row.number}" aria-label=' in text
    assert len(text) < 400_000


def test_preparing_shows_the_numbers_and_stores_nothing_and_issuing_keeps_them(own_desk: Desk) -> None:
    before = len(list_kits(own_desk.workshop, after=None, limit=50).kits)
    data = json.dumps(manifest(container="tall round 750 mL"))
    prepared = own_desk.client.post("/shop/prepare", data={"manifest": data})
    assert prepared.status_code == 200, prepared.text
    assert "Ready to issue" in prepared.text
    (number,) = re.findall(r'<span class="stem">|(OSV4-FC1-\w+-RL1-U1)', prepared.text)[:1]
    assert len(list_kits(own_desk.workshop, after=None, limit=50).kits) == before
    form = {name: hidden(prepared.text, name) for name in ("manifest", "token", "retry_key")}
    issued = own_desk.client.post("/shop/issue", data=form)
    assert issued.status_code == 303
    assert number in own_desk.client.get(issued.headers["location"]).text
    assert own_desk.client.post("/shop/issue", data=form).headers["location"] == issued.headers["location"]
    assert len(list_kits(own_desk.workshop, after=None, limit=50).kits) == before + 1


def test_a_manifest_file_is_taken_as_it_is(own_desk: Desk) -> None:
    data = json.dumps(manifest(container="tall round 750 mL")).encode()
    answer = own_desk.client.post("/shop/prepare", files={"manifest_file": ("kit.json", data, "application/json")})
    assert "Ready to issue" in answer.text


def test_what_stops_an_issue_is_said_with_its_place_and_what_to_do(own_desk: Desk) -> None:
    wrong = manifest(container="tall round 750 mL")
    wrong["assemblies"][0]["segments"][0]["cut_file"] = "never-uploaded.dxf"
    answer = own_desk.client.post("/shop/prepare", data={"manifest": json.dumps(wrong)})
    assert "Not ready to issue" in answer.text
    assert "never-uploaded.dxf" in answer.text
    assert "assemblies[0].segments[0]" in answer.text
    assert 'action="/shop/issue"' not in answer.text


def test_a_manifest_that_is_no_json_comes_back_as_it_was_typed(desk: Desk) -> None:
    answer = desk.client.post("/shop/prepare", data={"manifest": '{"plant": '})
    assert answer.status_code == 400
    assert "no JSON" in answer.text
    assert "{&#34;plant&#34;: </textarea>" in answer.text


def test_nothing_given_is_said(desk: Desk) -> None:
    answer = desk.client.post("/shop/prepare", data={"manifest": "  "})
    assert answer.status_code == 422
    assert "Choose its file or paste it" in answer.text


def test_a_stale_token_is_refused(own_desk: Desk) -> None:
    data = json.dumps(manifest(container="tall round 750 mL"))
    answer = own_desk.client.post("/shop/issue", data={"manifest": data, "token": "0" * 32})
    assert answer.status_code == 409
    assert "Prepare the kit again" in answer.text


def test_the_plates_of_a_kit_are_a_pdf(own_desk: Desk) -> None:
    (small,) = [kit.number for kit in list_kits(own_desk.workshop, after=None, limit=50).kits if "A12" in kit.number]
    form = {"template": "cart-placard-a5", "paper": "a4", "dpi": "203"}
    answer = own_desk.client.post(f"/shop/kits/{small}/nameplates.pdf", data=form)
    assert answer.content.startswith(b"%PDF")
    assert answer.headers["content-disposition"].startswith("inline")
    assert own_desk.client.post(f"/shop/kits/{small}/engraving.zip").content.startswith(b"PK")


def test_an_unknown_plate_or_paper_is_a_page_that_says_so(desk: Desk) -> None:
    unknown = desk.client.post(f"/shop/kits/{KIT}/nameplates.pdf", data={"template": "no-such-plate"})
    assert unknown.status_code == 404
    assert "no-such-plate" in unknown.text
    wrong = desk.client.post(f"/shop/kits/{KIT}/nameplates.pdf", data={"paper": "a3"})
    assert wrong.status_code == 422
    assert "a3" in wrong.text


def test_a_kit_that_was_never_issued_is_a_page_that_says_so(desk: Desk) -> None:
    answer = desk.client.get("/shop/kits/OSV4-FC1-X999")
    assert answer.status_code == 404
    assert "Write it like OSV4-FC1-A500" in answer.text


def test_a_fact_is_corrected_while_no_mark_bears_it(own_desk: Desk) -> None:
    number = number_at(own_desk.workshop, "SW2-U3")
    form = {"number": number, "field": "measured_thickness_mm", "value": "24,9", "reason": "measured at last"}
    assert own_desk.client.post(f"/shop/kits/{KIT}/correct", data=form).status_code == 303
    assert "24.9 mm" in own_desk.client.get(f"/desk/segments/{number}").text
    own_desk.client.post(f"/desk/segments/{number}/engraving.dxf")
    again = own_desk.client.post(f"/shop/kits/{KIT}/correct", data={**form, "value": "24.8"})
    assert again.status_code == 409
    assert 'value="24.8"' in again.text


def test_two_people_do_not_mend_past_each_other(own_desk: Desk) -> None:
    number = number_at(own_desk.workshop, "SW2-U3")
    version = hidden(own_desk.client.get(f"/shop/kits/{KIT}").text, "version")
    form = {"number": number, "field": "marked_face", "value": "upper", "reason": "was left out", "version": version}
    assert own_desk.client.post(f"/shop/kits/{KIT}/correct", data=form).status_code == 303
    assert own_desk.client.post(f"/shop/kits/{KIT}/correct", data=form).status_code == 412


def test_a_voided_place_is_spent_and_two_segments_take_it(own_desk: Desk) -> None:
    number = number_at(own_desk.workshop, "SW2-U3")
    lines = "osv4-fc1-a500-sw2-u3.dxf\nosv4-fc1-a500-sw2-u3.dxf rev A\n"
    form = {"number": number, "reason": "halved for the narrow door", "replacements": lines}
    answer = own_desk.client.post(f"/shop/kits/{KIT}/void", data=form)
    assert answer.status_code == 303, answer.text
    rows = {row.place: row for row in show_kit(own_desk.workshop, KIT).segments}
    assert rows["SW2-U3"].status == "voided"
    assert (rows["SW2-U5"].revision, rows["SW2-U6"].revision) == ("B", "A")
    assert "This number is spent" in own_desk.client.get(f"/desk/segments/{number}").text
    assert "Do not fit this part" in own_desk.client.get(f"/s/{rows['SW2-U3'].key}").text


def test_a_line_that_names_no_cut_file_is_refused_and_nothing_is_voided(own_desk: Desk) -> None:
    number = number_at(own_desk.workshop, "SW2-U3")
    form = {"number": number, "reason": "halved", "replacements": "\nthe left half\n"}
    answer = own_desk.client.post(f"/shop/kits/{KIT}/void", data=form)
    assert answer.status_code == 422
    assert "the left half" in answer.text
    assert "line 1" in answer.text
    assert {row.place: row.status for row in show_kit(own_desk.workshop, KIT).segments}["SW2-U3"] == "active"


def test_a_revision_is_released_and_its_bytes_come_back(own_desk: Desk) -> None:
    drawing = demo_shop().cut_files[0]
    form = {"name": "new-part.dxf", "revision": "-", "note": "first", "interfaces_changed": "", "joints_changed": ""}
    answer = own_desk.client.post("/shop/cut-files", data=form, files={"file": ("any.dxf", drawing.data, DXF)})
    assert answer.headers["location"] == "/shop/cut-files/new-part.dxf"
    assert "new-part.dxf" in own_desk.client.get("/shop/cut-files").text
    again = own_desk.client.get("/shop/cut-files/new-part.dxf/revisions/-/file")
    assert again.content == drawing.data


def test_a_refused_drawing_says_why_and_keeps_what_was_typed(own_desk: Desk) -> None:
    form = {"name": "bad.dxf", "revision": "A", "note": "typed note"}
    answer = own_desk.client.post("/shop/cut-files", data=form, files={"file": ("bad.dxf", b"not a drawing", DXF)})
    assert answer.status_code == 422
    assert "typed note" in answer.text
    assert 'value="bad.dxf"' in answer.text
    assert own_desk.client.get("/shop/cut-files/bad.dxf").status_code == 404
    missing = own_desk.client.post("/shop/cut-files", data=form)
    assert "no drawing was chosen" in missing.text


def test_a_withdrawn_revision_shows_what_was_cut_from_it(own_desk: Desk) -> None:
    name = "osv4-fc1-a500-sw2-u3.dxf"
    letter = cut_file(own_desk.workshop, name).revisions[-2].revision
    way = f"/shop/cut-files/{name}/revisions/{letter}/withdraw"
    assert own_desk.client.post(way, data={"reason": ""}).status_code == 422
    assert own_desk.client.post(way, data={"reason": "pocket too deep"}).status_code == 303
    text = own_desk.client.get(f"/shop/cut-files/{name}").text
    assert "Do not cut." in text
    assert "pocket too deep" in text
    assert f"Pieces cut from revision {letter}: 1" in text


def test_the_shops_own_details_are_kept(own_desk: Desk) -> None:
    form = {"name": "Routed Parts", "address": "2 Router Lane", "telephone": "+00 555 0199"}
    assert "Kept." in own_desk.client.post("/shop/details", data=form).text
    assert 'value="Routed Parts"' in own_desk.client.get("/shop/details").text
    parts = {"street": "2 Router Lane", "postal_code": "00199", "town": "Workshop Town", "country": "gb"}
    kept = own_desk.client.post("/shop/details", data={**form, **parts}).text
    assert all(f'value="{value}"' in kept for value in ("2 Router Lane", "00199", "Workshop Town", "GB"))
    bad = own_desk.client.post("/shop/details", data={**form, "name": " "})
    assert bad.status_code == 422
    assert 'value="Routed Parts"' in own_desk.client.get("/shop/details").text


def test_what_people_typed_never_becomes_markup(own_desk: Desk) -> None:
    hostile = '<script>alert(1)</script>"><svg onload=x>'
    data = json.dumps(manifest(container=hostile))
    answer = own_desk.client.post("/shop/prepare", data={"manifest": data})
    assert "<script>alert" not in answer.text
    assert "<svg onload" not in answer.text


def test_the_examples_on_the_page_are_manifests_that_can_be_read(desk: Desk) -> None:
    from_table, from_json = (read_manifest(text.encode()) for text in (EXAMPLE_TABLE, example_document()))
    assert from_table.plant == from_json.plant
    assert from_table.assemblies[0].segments[0].cut_file == from_json.assemblies[0].segments[0].cut_file
    assert "plant.code,OSV" in desk.client.get("/shop/new-kit").text


def test_the_shop_is_told_that_its_plates_name_nobody(desk: Desk, tmp_path: Path) -> None:
    assert "do not yet say who made them" not in desk.client.get("/shop").text
    (tmp_path / "new").mkdir()
    nameless = desk_over(tmp_path / "new")
    assert "do not yet say who made them" in nameless.client.get("/shop").text
    nameless.workshop.database.close()
