"""Asking about a code before it is given, over HTTP; and what the shop desk shows while a kit is prepared."""

from __future__ import annotations

import json

from fastapi.testclient import TestClient

from tests.small_kit import manifest, segment

STAR = {"SW2": [segment("SW2-U3")]}
M500 = {"code": "M500", "name": "oval 500 mL", "nominal": 500, "unit": "mL"}
N500 = {"code": "N500", "name": "jar 500 mL", "nominal": 500, "unit": "mL"}


def test_a_code_is_compared_with_those_in_use(client: TestClient) -> None:
    assert client.post("/api/kits", json=manifest(segments=STAR, container=M500)).status_code == 201
    answer = client.get("/api/codes/check", params={"kind": "container", "code": "N500", "plant": "OSV"}).json()
    (rival,) = [rival for rival in answer["rivals"] if rival["near"]]
    assert (rival["code"], rival["distance"]) == ("M500", 0.15)
    assert rival["words"] == "N for M, which look alike, sound alike and lie side by side on a keyboard"
    assert answer["clear"] is False
    for code in answer["better"]:
        again = client.get("/api/codes/check", params={"kind": "container", "code": code, "plant": "OSV"}).json()
        assert again["clear"] is True


def test_what_cannot_be_asked_is_refused(client: TestClient) -> None:
    for query, status, code in (
        ("kind=deck&code=U", 422, "bad_fields"),
        ("kind=container&code=N500", 422, "bad_request"),
        ("kind=container&code=N500&plant=QQQ", 404, "place_unknown"),
        ("kind=plant&code=12", 422, "bad_code"),
    ):
        answer = client.get(f"/api/codes/check?{query}")
        assert (answer.status_code, answer.json()["code"]) == (status, code), query


def test_the_finding_stands_in_the_dry_run_and_on_the_page_and_stops_nothing(client: TestClient) -> None:
    client.post("/api/kits", json=manifest(segments=STAR, container=M500))
    document = manifest(segments=STAR, container=N500)
    (finding,) = client.post("/api/kits?prepare=true", json=document).json()["findings"]
    assert (finding["code"], finding["level"], finding["place"]) == ("container_code_near", "warning", "container.code")
    page = client.post("/shop/prepare", data={"manifest": json.dumps(document)}).text
    assert "M500, which is in use in this plant" in page
    assert "Ready to issue" in page
    assert client.post("/api/kits", json=document).status_code == 201
