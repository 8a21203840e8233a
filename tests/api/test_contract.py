"""The calls and answers that clients rely on, field by field."""

from __future__ import annotations

import hashlib
import io
import zipfile
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, NUMBER_U4, file_of, make_dxf, manifest

KIT = "OSV4-FC1-A500"


def test_a_kit_goes_in_as_the_least_that_it_needs(client: TestClient, workshop: Workshop) -> None:
    answer = client.post("/api/kits", json=manifest())
    assert answer.status_code == 201
    assert answer.headers["Location"] == f"/api/kits/{KIT}"
    body = answer.json()
    assert (body["number"], body["status"], body["findings"]) == (KIT, "issued", [])
    row = next(row for row in body["segments"] if row["number"] == NUMBER_U3)
    assert row["place"] == "SW2-U3"
    assert row["cut_file"] == file_of("SW2-U3")
    assert (row["revision"], row["quantity"], row["material"]) == ("-", 1, "UHMW-PE")
    assert len(row["key"]) == 8
    assert row["mass_kg"] > 0
    assert [(len(piece["key"]), piece["set"]) for piece in row["pieces"]] == [(8, 1)]
    assert client.get(f"/api/kits/{KIT}").json()["segments"] == body["segments"]


def test_preparing_answers_200_with_numbers_and_a_token(client: TestClient) -> None:
    answer = client.post("/api/kits?prepare=true", json=manifest())
    body = answer.json()
    assert (answer.status_code, body["status"]) == (200, "prepared")
    assert NUMBER_U3 in [row["number"] for row in body["segments"]]
    assert {row["key"] for row in body["segments"]} == {None}
    assert client.get(f"/api/kits/{KIT}").status_code == 404
    assert client.post(f"/api/kits?token={body['token']}", json=manifest()).status_code == 201


def test_findings_of_a_dry_run_are_answered_and_not_thrown(client: TestClient) -> None:
    answer = client.post("/api/kits?prepare=true", json=manifest(stock_colour="mood"))
    assert (answer.status_code, answer.json()["status"], answer.json()["token"]) == (200, "refused", None)
    assert answer.json()["findings"][0]["code"] == "unknown_code"


@pytest.mark.parametrize(
    ("mark", "outcome"),
    [
        (NUMBER_U3, "exact"),
        ("0sv4 fc1 a5oo 5w2 u3 42", "repaired"),
        ("OSV4-FC1-A500-SW2-U3-43", "candidates"),
        ("MRG7-LB2-C330-TS1-X9-38", "unknown"),
    ],
)
def test_reading_a_mark(client: TestClient, issued: KitAnswer, mark: str, outcome: str) -> None:
    body = client.get("/api/read", params={"mark": mark}).json()
    assert body["outcome"] == outcome
    assert {"number", "key", "repairs", "candidates"} <= set(body)
    assert body["number"] == (NUMBER_U3 if outcome in ("exact", "repaired") else None)
    if outcome == "repaired":
        assert body["repairs"][0] == {"position": 0, "read": "0", "as": "O"}


def test_many_marks_at_once(client: TestClient, issued: KitAnswer) -> None:
    body = client.post("/api/read", json={"marks": [NUMBER_U4, "nothing"]}).json()
    assert [reading["outcome"] for reading in body["readings"]] == ["exact", "unknown"]


def test_a_segment_by_number_or_key(client: TestClient, issued: KitAnswer) -> None:
    body = client.get(f"/api/segments/{NUMBER_U3}").json()
    key = body["pieces"][0]["key"]
    assert client.get(f"/api/segments/{key}").json()["number"] == NUMBER_U3
    assert (body["kit"], body["current_revision"]) == (KIT, "-")
    assert {neighbour["place"] for neighbour in body["neighbours"]} == {"SW2-U2", "SW2-U4"}
    assert client.get(f"/api/segments/{NUMBER_U3}/history").status_code == 200


@pytest.mark.parametrize("paper", ["roll", "a4", "letter"])
def test_nameplates_decode(client: TestClient, issued: KitAnswer, paper: str) -> None:
    answer = client.get(f"/api/kits/{KIT}/nameplates.pdf", params={"paper": paper, "dpi": 300})
    assert answer.headers["content-type"] == "application/pdf"
    document = pypdfium2.PdfDocument(answer.content)
    texts = {found.text for page in document for found in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())}
    for row in issued.segments:
        key = row.pieces[0].key if row.pieces else row.key
        assert f"HTTP://127.0.0.1:8000/S/{key}" in texts


def test_one_segments_marks_in_every_form(client: TestClient, issued: KitAnswer) -> None:
    for form, begin in (("pdf", b"%PDF"), ("png", b"\x89PNG"), ("svg", b"<")):
        answer = client.get(f"/api/segments/{NUMBER_U3}/nameplate.{form}")
        assert (answer.status_code, answer.content[: len(begin)]) == (200, begin)
    for form, begin in (("dxf", b"  0"), ("svg", b"<svg")):
        answer = client.get(f"/api/segments/{NUMBER_U3}/engraving.{form}")
        assert (answer.status_code, answer.content[: len(begin)]) == (200, begin)
    with zipfile.ZipFile(io.BytesIO(client.get(f"/api/kits/{KIT}/engraving.zip").content)) as archive:
        assert f"{NUMBER_U3}.dxf" in archive.namelist()


def test_the_cutter_of_an_engraving_is_asked_for(client: TestClient, issued: KitAnswer) -> None:
    address = f"/api/segments/{NUMBER_U3}/engraving.svg"
    usual = client.get(address).text
    assert "straight cutter 0.5 mm, 0.4 mm deep" in usual
    vee = client.get(address, params={"cutter": "vee", "angle_deg": 90, "depth_mm": 0.5, "tip_mm": 0})
    assert "V cutter 90° 3 mm, 0.5 mm deep, groove 1.00 mm" in vee.text
    wrongs: tuple[dict[str, str], ...] = (
        {"cutter": "drill"},
        {"diameter_mm": "0"},
        {"cutter": "ball", "angle_deg": "60"},
        {"depth_mm": "deep"},
    )
    for wrong in wrongs:
        answer = client.get(address, params=wrong)
        assert answer.status_code in (400, 422)
        assert answer.headers["content-type"] == "application/problem+json"


def upload(client: TestClient, name: str, data: bytes, **fields: str) -> Any:
    return client.post(f"/api/cut-files/{name}/revisions", files={"file": (name, data)}, data=fields)


def test_a_revision_goes_in_and_its_bytes_come_out(client: TestClient, issued: KitAnswer) -> None:
    data = make_dxf(corner=(-150.3, -150.3), hole_mm=22.0)
    answer = upload(client, file_of("SW2-U3"), data, revision="A", note="wider", joints_changed="SW2-U4")
    assert answer.status_code == 201
    assert answer.json()["joints_changed"] == ["SW2-U4"]
    back = client.get(f"/api/cut-files/{file_of('SW2-U3')}/revisions/A/file")
    assert back.content == data
    assert back.headers["ETag"] == f'"{hashlib.sha256(data).hexdigest()}"'
    assert client.get(answer.headers["Location"]).content == data
    names = [row["name"] for row in client.get("/api/cut-files").json()["cut_files"]]
    assert file_of("SW2-U3") in names
    withdrawn = client.post(
        f"/api/cut-files/{file_of('SW2-U3')}/revisions/-/withdrawal", json={"reason": "bore too small"}
    ).json()
    assert [piece["number"] for piece in withdrawn["pieces"]] == [NUMBER_U3]


def test_a_reorder_from_mark_to_packet(client: TestClient, issued: KitAnswer) -> None:
    answer = client.post(
        "/api/reorders",
        json={
            "mark": NUMBER_U3,
            "quantity": 1,
            "reason": "crushed",
            "survivors": [NUMBER_U4],
            "prefer": "as_built",
        },
    )
    assert answer.status_code == 201
    body = answer.json()
    assert (body["number"], body["outcome"], body["also_cut"]) == (NUMBER_U3, "exact", [])
    assert set(body["cut"]) >= {"cut_file", "revision", "sha256"}
    assert len(body["key"]) == 8
    assert body["reasons"]
    assert client.get(f"/api/reorders/{body['id']}").json() == body
    with zipfile.ZipFile(io.BytesIO(client.get(f"/api/reorders/{body['id']}/packet.zip").content)) as archive:
        assert "work-sheet.pdf" in archive.namelist()
    assert client.get(f"/api/reorders/{body['id']}/work-sheet.pdf").content.startswith(b"%PDF")
    fitted = client.post(f"/api/reorders/{body['id']}/fitted", json={}).json()
    assert fitted["state"] == "fitted"
    other = client.post("/api/reorders", json={"mark": NUMBER_PLATES, "reason": "worn"}).json()
    assert client.post(f"/api/reorders/{other['id']}/cancelled", json={"reason": "found one"}).json()["state"] == (
        "cancelled"
    )
    assert [row["id"] for row in client.get("/api/reorders").json()["reorders"]] == [other["id"], body["id"]]


@pytest.mark.parametrize("case", ["s", "S"])
def test_the_page_behind_a_code(client: TestClient, issued: KitAnswer, case: str) -> None:
    answer = client.get(f"/{case}/{issued.segments[0].key}")
    assert answer.status_code == 200
    assert "tall round 500 mL" in answer.text


def test_lists_lead_on_by_link(client: TestClient, issued: KitAnswer) -> None:
    client.post("/api/kits", json=manifest(machine={"class": "FC", "ordinal": 2}))
    first = client.get("/api/kits", params={"limit": 1})
    assert [row["number"] for row in first.json()["kits"]] == ["OSV4-FC2-A500"]
    following = client.get(first.links["next"]["url"])
    assert [row["number"] for row in following.json()["kits"]] == [KIT]
    assert "next" not in following.links


def test_operations(client: TestClient, issued: KitAnswer) -> None:
    assert client.get("/healthz").json() == {"status": "ok"}
    assert client.get("/readyz").json() == {"status": "ok"}
    assert "kitwright_kits 1" in client.get("/metrics").text
    assert client.get("/openapi.json").json()["info"]["title"] == "Kitwright"


def test_the_shop_and_its_codes(client: TestClient) -> None:
    facts = {"name": "Kitwright demo shop", "address": "1 Workshop Lane", "telephone": "+1 202 555 0143"}
    facts |= {"street": "1 Workshop Lane", "postal_code": "00143", "town": "Workshop Town", "country": "US"}
    assert client.put("/api/shop", json=facts, headers={"If-Match": "*"}).json() == facts
    assert client.get("/api/shop").json() == facts
    added = client.post("/api/codes", json={"table": "assembly", "code": "QW", "name": "turret plate"})
    assert added.status_code == 201
    assert {"table": "assembly", "code": "QW", "name": "turret plate"} in client.get("/api/codes").json()["codes"]
    names = [row["name"] for row in client.get("/api/templates").json()["templates"]]
    assert names == [
        "cart-placard-a5",
        "crate-label-a5",
        "hardware-bag-tag",
        "nameplate-50x18",
        "nameplate-60x22",
        "nameplate-90x35",
        "rack-shelf-strip",
        "tied-tag-80x50",
    ]


def test_a_correction_takes_the_etag_of_what_was_seen(client: TestClient, issued: KitAnswer) -> None:
    etag = client.get(f"/api/kits/{KIT}").headers["ETag"]
    body = {"reason": "typed wrong", "correct": [{"number": NUMBER_U3, "facts": {"hand": "LEFT"}}]}
    first = client.post(f"/api/kits/{KIT}/corrections", json=body, headers={"If-Match": etag})
    assert first.status_code == 200
    assert first.headers["ETag"] != etag
    late = client.post(f"/api/kits/{KIT}/corrections", json=body, headers={"If-Match": etag})
    assert (late.status_code, late.json()["code"]) == (412, "stale_edit")


@pytest.mark.parametrize("key", ["k-1", '"k-1"'])
def test_a_retry_is_answered_like_the_first(client: TestClient, workshop: Workshop, key: str) -> None:
    first = client.post("/api/kits", json=manifest(), headers={"Idempotency-Key": "k-1"})
    again = client.post("/api/kits", json=manifest(), headers={"Idempotency-Key": key})
    assert (again.status_code, again.json()) == (201, first.json())
    other = client.post("/api/kits", json=manifest(stock_colour="blue"), headers={"Idempotency-Key": key})
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_mismatch")
    order = {"mark": NUMBER_U3, "reason": "crushed"}
    orders = [client.post("/api/reorders", json=order, headers={"Idempotency-Key": key}).json() for _ in range(2)]
    assert orders[0] == orders[1]
    fields = {"revision": "A"}
    uploads = [
        client.post(
            f"/api/cut-files/{file_of('SW2-U3')}/revisions",
            files={"file": ("x.dxf", make_dxf())},
            data=fields,
            headers={"Idempotency-Key": key},
        )
        for _ in range(2)
    ]
    assert [answer.status_code for answer in uploads] == [201, 201]
    assert uploads[0].json() == uploads[1].json()
