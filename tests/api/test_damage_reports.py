"""Damage reports, steps and open work over HTTP: what is sent, what comes back, and who is refused."""

from __future__ import annotations

import csv
import io

from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from tests.api.conftest import Look
from tests.api.problem_documents import problem_of
from tests.camera import SECRETS, photograph_of
from tests.small_kit import NUMBER_U2, NUMBER_U4

REPORTS = "/api/damage-reports"


def test_from_half_a_number_to_the_parcel(client: TestClient, issued: KitAnswer) -> None:
    made = client.post(REPORTS, json={"words": "the green one", "mark": "A5??-SW*", "came_by": "ear"})
    assert (made.status_code, made.headers["Location"], made.json()["state"]) == (201, f"{REPORTS}/1", "reported")
    said = {"evidence": [{"question": "stock_colour", "answer": "green"}]}
    assert client.post(f"{REPORTS}/1/evidence", json=said).json()["evidence"][0]["given_by"] == "desk"
    # Declared as something else: its content decides.
    file = {"file": ("a.html", photograph_of("plate"), "text/html")}
    photo = client.post(f"{REPORTS}/1/photos", files=file, data={"typed": "A5?? SW"})
    assert (photo.status_code, photo.headers["Location"]) == (201, f"{REPORTS}/1/photos/1")
    kept = client.get(f"{REPORTS}/1/photos/1")
    assert (kept.headers["Content-Type"], kept.headers["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert not any(secret in kept.content for secret in SECRETS)
    link = client.post(f"{REPORTS}/1/link", json={"numbers": [NUMBER_U2, NUMBER_U4]})
    assert (link.status_code, link.json()["url"].endswith(f"/r/{link.json()['token']}")) == (201, True)

    choice = {"mark": NUMBER_U2, "rejected": [NUMBER_U4]}
    assert problem_of(client.post(f"{REPORTS}/1/choice", json=choice)).code == "edit_unseen"
    stale = made.headers["ETag"]
    refused = client.post(f"{REPORTS}/1/choice", json=choice, headers={"If-Match": stale})
    assert (refused.status_code, problem_of(refused).code) == (412, "stale_edit")
    seen = client.get(f"{REPORTS}/1").headers["ETag"]
    chosen = client.post(f"{REPORTS}/1/choice", json=choice, headers={"If-Match": seen})
    assert chosen.json()["choice"]["rejected"] == [NUMBER_U4]
    order = client.post("/api/reorders", json={"mark": NUMBER_U2, "reason": "crushed", "report": 1}).json()
    assert (order["state"], order["open"], order["report"]) == ("decided", True, 1)
    for state in ("released_to_cut", "cut", "inspected", "shipped"):
        order = client.post(f"/api/reorders/{order['id']}/state", json={"state": state}).json()
    assert [step["state"] for step in order["history"]][3:] == ["released_to_cut", "cut", "inspected", "shipped"]
    assert client.get("/api/reorders?state=shipped").json()["reorders"] == [order]
    assert client.get("/api/reorders?ask_fitted=true").json()["reorders"] == []
    table = client.get("/api/open-work.csv?state=shipped&plant=osv")
    assert table.headers["Content-Type"] == "text/csv; charset=utf-8"
    (row,) = csv.DictReader(io.StringIO(table.text, newline=""))
    assert (row["order"], row["report"], row["state"], row["number"]) == ("1", "1", "shipped", NUMBER_U2)
    assert client.get("/api/open-work.json?ask_fitted=true").json()["rows"] == []
    done = client.post(f"/api/reorders/{order['id']}/fitted-answer", json={"answer": "yes"}).json()
    assert (done["state"], done["open"]) == ("fitted", False)
    assert client.get(f"{REPORTS}?limit=1").json()["reports"][0]["state"] == "fitted"


def test_what_is_wrong_is_said_and_nothing_is_kept(client: TestClient, issued: KitAnswer, on_record: Look) -> None:
    client.post(REPORTS, json={"words": "x"})
    before = on_record()
    bad = client.post(f"{REPORTS}/1/photos", files={"file": ("a.jpg", b"GIF89a no picture", "image/jpeg")})
    assert problem_of(bad).code == "bad_picture"
    for path, body in (
        ("", {}),
        ("", {"words": "a\u0000b"}),
        ("", {"words": "x", "came_by": "nose"}),
        ("/1/evidence", {"evidence": []}),
        ("/1/evidence", {"evidence": [{"question": "weather", "answer": "wet"}]}),
        ("/1/evidence", {"evidence": [{"question": "thickness_mm", "answer": "25", "tolerance_mm": -1}]}),
        ("/1/link", {"numbers": []}),
        ("/1/link", {"numbers": [NUMBER_U2], "hours": 1000}),
        ("/1/given-up", {"reason": ""}),
        ("/1/duplicate", {"order": 0}),
    ):
        assert problem_of(client.post(f"{REPORTS}{path}", json=body)).code == "bad_fields", (path, body)
    for path, code in (("/9", "report_unknown"), ("/1/photos/1", "photo_unknown"), ("/9/photos/1", "report_unknown")):
        assert problem_of(client.get(f"{REPORTS}{path}")).code == code
    assert on_record() == before


def test_nobody_without_the_key_sees_a_report(guarded: TestClient, issued: KitAnswer) -> None:
    for path in (REPORTS, f"{REPORTS}/1", f"{REPORTS}/1/photos/1", "/api/open-work.csv", "/api/webhooks"):
        assert problem_of(guarded.get(path)).code == "not_signed_in"
